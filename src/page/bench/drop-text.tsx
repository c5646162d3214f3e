import { useDroppedFiles } from '../parts/dropped-files.ts';
import { useNotices } from '../parts/notices.tsx';
import { benchHref } from '../route.ts';
import { recogniseFile } from './recognise.ts';
import type { ItemWork } from './use-item.ts';
import { kindNames } from './words.ts';

/** A file in place of what was entered: chosen, or dropped anywhere on the page. Can be undone. */
export function DropText({ work, what, accept }: { work: ItemWork; what: string; accept: string }) {
  const { say, complain } = useNotices();
  const take = async ([file, ...more]: File[]) => {
    if (!file) return;
    const found = await recogniseFile(file);
    if ('problem' in found) return complain([found.problem]);
    if (found.kind !== work.view?.kind) {
      return say(
        `${file.name} holds something else (${kindNames[found.kind].toLowerCase()}); nothing is changed. On the bench it makes an item of its own.`,
        { label: 'To the bench', run: () => (window.location.hash = benchHref()) },
      );
    }
    const before = work.input;
    if (!(await work.change({ input: found.input }))) return;
    const others = more.length > 0 ? ' Only one file fits here; the others are left.' : '';
    say(`${file.name} is in place of what was here.${others}`, {
      label: 'Undo',
      run: () => void work.change({ input: before }),
    });
  };
  const over = useDroppedFiles((files) => void take(files));
  return (
    <label class={`drop-text ${over ? 'drop-over' : ''}`}>
      <span>{over ? 'Let go to put it in place of what is here.' : <Offer what={what} />}</span>
      <input
        type="file"
        accept={accept}
        onChange={(event) => {
          void take([...(event.currentTarget.files ?? [])]);
          event.currentTarget.value = '';
        }}
      />
    </label>
  );
}

function Offer({ what }: { what: string }) {
  return (
    <>
      <b>Choose {what}</b> or drop it on the page
    </>
  );
}
