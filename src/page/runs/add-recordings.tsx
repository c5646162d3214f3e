import { useRef, useState } from 'preact/hooks';
import type { DayView, Problem } from '../../application/contract.ts';
import { editDay, problemsOf, sendRecording } from '../api.ts';
import { readForm } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { useDroppedFiles } from '../parts/dropped-files.ts';
import { ProblemList } from '../parts/problems.tsx';

interface Sending {
  key: number;
  name: string;
  share: number;
  state: 'waiting' | 'sending' | 'reading' | 'done' | 'refused';
  problems: Problem[];
}

const stateWords: Record<Sending['state'], string> = {
  waiting: 'waiting',
  sending: 'sending',
  reading: 'being read',
  done: 'added',
  refused: 'not usable',
};

/** Takes the run of a file out of the sheet again, when there is one. */
async function withoutRun(id: string, view: DayView, file: string): Promise<DayView> {
  const at = readForm(view.sheetData)?.runs.findIndex((run) => run.file === file) ?? -1;
  return at < 0 ? view : editDay(id, [{ op: 'remove-run', run: at + 1 }]);
}

/** Button and drop area in one; files may also be dropped anywhere on the page. */
export function AddRecordings({ id, work }: { id: string; work: DayWork }) {
  const [list, setList] = useState<Sending[]>([]);
  const next = useRef(1);
  const chain = useRef<Promise<unknown>>(Promise.resolve());
  const { accept } = work;

  const change = (key: number, part: Partial<Sending>) =>
    setList((now) => now.map((item) => (item.key === key ? { ...item, ...part } : item)));

  const add = (files: readonly File[]) => {
    for (const file of files) {
      const key = next.current++;
      setList((now) => [
        ...now,
        { key, name: file.name, share: 0, state: 'waiting', problems: [] },
      ]);
      // One after the other: runs then stand in the sheet in the order in which they were chosen.
      chain.current = chain.current.then(async () => {
        change(key, { state: 'sending' });
        try {
          const view = await sendRecording(id, file, (share) =>
            change(key, { share, state: share >= 1 ? 'reading' : 'sending' }),
          );
          const stored =
            view.recordings.find((recording) => recording.file === file.name) ??
            view.recordings[view.recordings.length - 1];
          const unreadable = stored !== undefined && stored.summary === null;
          // What cannot be read makes no run: the rest of the day goes on without it.
          accept(unreadable ? await withoutRun(id, view, stored.file) : view);
          change(key, {
            share: 1,
            state: unreadable ? 'refused' : 'done',
            problems: stored?.problems ?? [],
          });
        } catch (error) {
          change(key, { state: 'refused', problems: problemsOf(error) });
        }
      });
    }
  };

  const over = useDroppedFiles(add);

  const busy = list.filter((item) => !['done', 'refused'].includes(item.state)).length;
  const refused = list.filter((item) => item.state === 'refused').length;
  return (
    <section class="block" aria-label="Add recordings">
      <div class={`drop ${over ? 'drop-over' : ''}`}>
        <label class="button primary file-button">
          Add recordings
          <input
            type="file"
            multiple
            class="file-input"
            onChange={(event) => {
              add([...(event.currentTarget.files ?? [])]);
              event.currentTarget.value = '';
            }}
          />
        </label>
        <p>{over ? 'Let go to add them.' : 'or drop the files here: FIT, TCX, GPX, CSV.'}</p>
      </div>
      {list.length === 0 && work.view?.recordings.length === 0 && (
        <p class="legend">
          Each recording becomes a run; then choose the setup that was ridden in it. Nothing leaves
          this computer.
        </p>
      )}
      <p role="status" class={list.length === 0 ? 'unseen' : 'sending-sum'}>
        {list.length === 0
          ? ''
          : busy > 0
            ? `${list.length - busy} of ${list.length} done.`
            : `${list.length - refused} added${refused > 0 ? `, ${refused} not usable` : ''}.`}
      </p>
      {list.length > 0 && (
        <>
          <ul class="sending">
            {list.map((item) => (
              <li key={item.key} class={`sending-${item.state}`}>
                <span class="sending-name">{item.name}</span>
                <span class="sending-state">
                  {stateWords[item.state]}
                  {item.state === 'done' && item.problems.length > 0 && ', see its run'}
                </span>
                {!['done', 'refused'].includes(item.state) && (
                  <progress max={1} value={item.share} aria-label={`${item.name} sent`} />
                )}
                {item.state === 'refused' && (
                  <ProblemList problems={item.problems} label={`About ${item.name}`} />
                )}
              </li>
            ))}
          </ul>
          {busy === 0 && (
            <button type="button" class="button plain" onClick={() => setList([])}>
              Clear this list
            </button>
          )}
        </>
      )}
    </section>
  );
}
