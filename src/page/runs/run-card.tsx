import { useState } from 'preact/hooks';
import { fixed } from '../../figures/index.ts';
import type { LapResult } from '../../application/contract.ts';
import type { FormRun, SheetForm } from '../day/sheet-form.ts';
import { setupIdFor } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { LapLine } from './lap-line.tsx';
import { recordingFacts } from './loose-recordings.tsx';
import { RunDetails } from './run-details.tsx';
import { TraceView } from './trace-view.tsx';

const newSetup = '\u0000new';

export function RunCard({
  id,
  number,
  run,
  form,
  work,
  laps,
}: {
  id: string;
  number: number;
  run: FormRun;
  form: SheetForm;
  work: DayWork;
  laps: LapResult[];
}) {
  const [naming, setNaming] = useState(false);
  const [traced, setTraced] = useState(false);
  const [more, setMore] = useState(false);
  const { say } = useNotices();
  const recording = work.view?.recordings.find((candidate) => candidate.file === run.file);
  const window_ = [run.from && `from ${run.from}`, run.to && `to ${run.to}`].filter(Boolean);
  const known = form.setups.some((setup) => setup.id === run.setup);
  const choose = (value: string) => {
    if (value === newSetup) setNaming(true);
    else void work.edit([{ op: 'set-run', run: number, setup: value === '' ? null : value }]);
  };
  const takeOut = async () => {
    const before = work.view?.sheet;
    if (!(await work.edit([{ op: 'remove-run', run: number }]))) return;
    say(`Run ${number} is out of the day; its recording stays.`, {
      label: 'Undo',
      run: () => before !== undefined && void work.writeSheet(before),
    });
  };
  return (
    <li class={`run ${run.setup === null ? 'run-waiting' : ''}`}>
      <div class="run-head">
        <h3>
          Run {number} <span class="run-file">{run.file}</span>
        </h3>
        <p class="unit">
          {recording ? recordingFacts(recording) : 'This recording is not here yet.'}
          {window_.length > 0 && `, ${window_.join(' ')}`}
        </p>
        {run.remark && <p>{run.remark}</p>}
        <div class="field">
          <label for={`setup-${number}`}>Setup ridden in run {number}</label>
          <select
            id={`setup-${number}`}
            value={naming ? newSetup : (run.setup ?? '')}
            onChange={(event) => choose(event.currentTarget.value)}
          >
            <option value="">Choose the setup …</option>
            {form.setups.map((setup) => (
              <option key={setup.id} value={setup.id}>
                {setup.name}
                {setup.id === form.control ? ' (control)' : ''}
              </option>
            ))}
            {run.setup !== null && !known && (
              <option value={run.setup}>{run.setup} (unknown)</option>
            )}
            <option value={newSetup}>New setup …</option>
          </select>
        </div>
        {naming && (
          <NameSetup
            run={number}
            done={async (name) => {
              if (name) {
                const setup = setupIdFor(
                  name,
                  form.setups.map((known_) => known_.id),
                );
                await work.edit([
                  { op: 'add-setup', setup: { id: setup, name } },
                  { op: 'set-run', run: number, setup },
                ]);
              }
              setNaming(false);
            }}
          />
        )}
      </div>
      {recording && <ProblemList problems={recording.problems} label={`About ${run.file}`} />}
      {laps.length > 0 && (
        <details ref={openAtFirst(form.runs.length, laps)}>
          <summary>
            <span class={work.stale ? 'stale' : ''}>{lapsInShort(laps)}</span>
          </summary>
          <ul class="laps" aria-label={`Laps of run ${number}`}>
            {laps.map((lap) => (
              <LapLine
                key={lap.lap}
                id={id}
                lap={lap}
                reason={
                  form.overrules.find((word) => word.run === lap.run && word.lap === lap.lap)
                    ?.reason ?? null
                }
                work={work}
              />
            ))}
          </ul>
        </details>
      )}
      <div class="actions">
        {recording?.summary && (
          <button
            type="button"
            class="button"
            aria-expanded={traced}
            onClick={() => setTraced(!traced)}
          >
            {traced ? 'Hide trace' : 'Show trace'}
            <span class="unseen"> of run {number}</span>
          </button>
        )}
        <button
          type="button"
          class="button plain"
          aria-expanded={more}
          onClick={() => setMore(!more)}
        >
          {more ? 'Less' : 'More'}
          <span class="unseen"> on run {number}</span>
        </button>
      </div>
      {more && (
        <RunDetails id={id} number={number} run={run} work={work} takeOut={() => void takeOut()} />
      )}
      {traced && <TraceView id={id} file={run.file} laps={laps} number={number} />}
    </li>
  );
}

function NameSetup({ run, done }: { run: number; done: (name: string | null) => Promise<void> }) {
  const [name, setName] = useState('');
  return (
    <form
      class="inline-form"
      onSubmit={(event) => {
        event.preventDefault();
        void done(name.trim() || null);
      }}
    >
      <div class="field grow">
        <label for={`new-setup-${run}`}>Name of the new setup</label>
        <input
          id={`new-setup-${run}`}
          value={name}
          maxLength={120}
          autocomplete="off"
          ref={focusOnce}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </div>
      <button class="button primary">Add it</button>
      <button type="button" class="button plain" onClick={() => void done(null)}>
        Cancel
      </button>
    </form>
  );
}

/** Moves the focus to a field as it appears; a stable function, so that it happens once. */
function focusOnce(element: HTMLElement | null) {
  element?.focus();
}

/** `3 laps, 1 left out, CdA 0.2310 to 0.2332`. */
function lapsInShort(laps: readonly LapResult[]): string {
  const used = laps.filter((lap) => lap.used);
  const values = used.flatMap((lap) => (lap.cdaM2 === null ? [] : [lap.cdaM2]));
  const out = laps.length - used.length;
  return [
    `${laps.length} ${laps.length === 1 ? 'lap' : 'laps'}`,
    out > 0 ? `${out} left out` : 'all used',
    values.length === 1 && `CdA ${fixed(values[0], 4)}`,
    values.length > 1 && `CdA ${fixed(Math.min(...values), 4)} to ${fixed(Math.max(...values), 4)}`,
  ]
    .filter(Boolean)
    .join(', ');
}

/** Few runs lie open; of many, only those in which something was left out or overruled. */
function openAtFirst(runs: number, laps: readonly LapResult[]) {
  return (element: HTMLDetailsElement | null) => {
    if (!element || element.dataset.placed) return;
    element.dataset.placed = 'yes';
    element.open =
      runs <= 3 || laps.some((lap) => !lap.used || lap.overruled || lap.leftOut.length > 0);
  };
}
