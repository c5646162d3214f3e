import { useCallback, useEffect, useState } from 'preact/hooks';
import type { BenchKind, BenchSummary, Problem } from '../../application/contract.ts';
import { createBench, demoDay, listBench, problemsOf, removeBench, restoreBench } from '../api.ts';
import { AreaLinks } from '../parts/area-links.tsx';
import { useDroppedFiles } from '../parts/dropped-files.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { RemovedList } from '../parts/removed-list.tsx';
import { benchHref } from '../route.ts';
import { EmptyBench } from './empty-bench.tsx';
import { ItemList } from './item-list.tsx';
import { recogniseFile } from './recognise.ts';
import { kindNames } from './words.ts';

const purposes: Record<BenchKind, string> = {
  stiffness: 'Load against deflection: stiffness, slop, hysteresis',
  tension: 'Spoke by spoke: mean, spread, what to turn',
  wheel: 'From its parts: stiffness, and why',
};

export function BenchScreen() {
  const { say, complain } = useNotices();
  const [items, setItems] = useState<BenchSummary[] | null>(null);
  const [removed, setRemoved] = useState<BenchSummary[]>([]);
  const [problems, setProblems] = useState<Problem[]>([]);

  const load = useCallback(async () => {
    try {
      const [present, gone] = await Promise.all([listBench(), listBench(true)]);
      setItems(present);
      setRemoved(gone);
      setProblems([]);
    } catch (error) {
      setProblems(problemsOf(error));
    }
  }, []);
  useEffect(() => {
    document.title = 'Bench · Lapbench';
    void load();
  }, [load]);

  const attempt = async (work: () => Promise<unknown>) => {
    try {
      await work();
    } catch (error) {
      complain(problemsOf(error));
    }
    await load();
  };
  const restore = (item: BenchSummary) =>
    attempt(async () => {
      await restoreBench(item.id);
      say(`"${item.title}" is back.`);
    });
  const remove = (item: BenchSummary) =>
    attempt(async () => {
      await removeBench(item.id);
      say(`"${item.title}" is removed.`, { label: 'Undo', run: () => void restore(item) });
    });
  const openDemo = () =>
    attempt(async () => {
      await demoDay();
      // Whoever took the demo off the bench does not get it again unasked.
      if ((await listBench()).length === 0) say('The demo was removed before; restore it below.');
    });

  return (
    <div class="days">
      <header class="days-head">
        <h1>Bench</h1>
        <AreaLinks here="bench" />
      </header>
      <main id="main" tabIndex={-1}>
        <NewItem made={load} />
        <ProblemList problems={problems} />
        {items === null && problems.length === 0 && <p role="status">Reading the library …</p>}
        {items !== null && items.length === 0 && <EmptyBench openDemo={openDemo} />}
        {items !== null && items.length > 0 && (
          <ItemList items={items} remove={(item) => void remove(item)} />
        )}
        <RemovedList
          title="Removed from the bench"
          removed={removed}
          tag={({ kind }) => kindNames[kind]}
          restore={restore}
        />
      </main>
    </div>
  );
}

/** An item of a kind, to be filled on the spot; or one from each file that is chosen or dropped. */
function NewItem({ made }: { made: () => Promise<void> }) {
  const { say, complain } = useNotices();
  const [busy, setBusy] = useState('');
  const [refused, setRefused] = useState<Problem[]>([]);
  const create = async (kind: BenchKind) => {
    setBusy('Making it …');
    try {
      window.location.hash = benchHref((await createBench({ kind })).id);
    } catch (error) {
      complain(problemsOf(error));
      setBusy('');
    }
  };
  const take = async (files: File[]) => {
    const wrong: Problem[] = [];
    const ids: string[] = [];
    setRefused([]);
    for (const [i, file] of files.entries()) {
      setBusy(`Reading ${file.name}, ${i + 1} of ${files.length} …`);
      try {
        const found = await recogniseFile(file);
        if ('problem' in found) wrong.push(found.problem);
        else ids.push((await createBench({ ...found, title: titleOf(file.name) })).id);
      } catch (error) {
        wrong.push(...problemsOf(error).map((problem) => ({ ...problem, file: file.name })));
      }
    }
    setBusy('');
    setRefused(wrong);
    if (ids.length === 1 && wrong.length === 0) {
      window.location.hash = benchHref(ids[0]);
      return;
    }
    if (ids.length > 0) say(`${ids.length} ${ids.length === 1 ? 'item' : 'items'} made.`);
    await made();
  };
  const over = useDroppedFiles((files) => void take(files));
  return (
    <section aria-label="New on the bench" class="block">
      <div class="new-item">
        {(Object.keys(purposes) as BenchKind[]).map((kind) => (
          <button
            key={kind}
            type="button"
            class="button"
            disabled={busy !== ''}
            onClick={() => void create(kind)}
          >
            <b>New: {kindNames[kind].toLowerCase()}</b>
            <span>{purposes[kind]}</span>
          </button>
        ))}
      </div>
      <label class={`drop-text ${over ? 'drop-over' : ''}`}>
        <span>
          {over ? (
            'Let go: each file makes an item.'
          ) : (
            <>
              <b>Choose files</b> or drop them on the page: readings as CSV, wheel sheets as YAML
            </>
          )}
        </span>
        <input
          type="file"
          multiple
          accept=".csv,.txt,.yaml,.yml,.json,text/plain"
          onChange={(event) => {
            void take([...(event.currentTarget.files ?? [])]);
            event.currentTarget.value = '';
          }}
        />
      </label>
      <p role="status" class={busy ? '' : 'unseen'}>
        {busy}
      </p>
      <ProblemList problems={refused} label="Files that were not usable" />
    </section>
  );
}

/** A file's name as a title: without its ending, words apart. */
function titleOf(file: string): string {
  const name = file
    .replace(/\.[^.]{1,5}$/, '')
    .replace(/[_]+/g, ' ')
    .trim();
  return (name || file).slice(0, 200);
}
