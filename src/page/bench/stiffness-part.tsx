import { useState } from 'preact/hooks';
import type { BenchView, Problem, StiffnessOptions } from '../../application/contract.ts';
import { keepText, keptText } from '../parts/kept-text.ts';
import { useNotices } from '../parts/notices.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { saveFile } from '../parts/save-file.ts';
import { readNumber } from '../parts/typed-number.ts';
import { DropText } from './drop-text.tsx';
import { InputText } from './input-text.tsx';
import { About, Cautions } from './item-parts.tsx';
import { ProblemsToMend } from './problem-list.tsx';
import { ReadingList } from './reading-list.tsx';
import { seriesOf } from './next-reading.ts';
import { readReadings, swappedColumns, withExchanged, without } from './readings.ts';
import { StiffnessEntry } from './stiffness-entry.tsx';
import { splitWarnings, StiffnessResult } from './stiffness-result.tsx';
import { inLoadUnit, seriesName, unitAnswers } from './stiffness-words.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'stiffness' }>;

export function StiffnessPart({ item, work }: { item: Item; work: ItemWork }) {
  const { id, title } = item;
  const { editing, open, leave, goToLine } = useEditing(id, work);
  const readings = readReadings(work.input);
  const { unit } = inLoadUnit(item.options);
  const mistakes = item.problems.filter(inText);
  return (
    <>
      <section class="bench-entry block" aria-label="Entry" id="entry">
        <StiffnessEntry item={item} work={work} editing={editing} leave={leave} />
        <p class="legend">
          Stand clear of the hanging load and stay below the maker's limits for rim and spokes.
        </p>
      </section>
      <section class="bench-result block" aria-label="Result">
        <Outcome item={item} work={work} goToLine={goToLine} />
      </section>
      <section class="bench-rest block" aria-label="Readings and settings">
        {readings.rows.length > 0 && (
          <section class="block">
            <h2>Readings</h2>
            <p class="field-help">Press one to change it or take it out.</p>
            <ReadingList rows={readings.rows} unit={unit} editing={editing} open={open} />
          </section>
        )}
        <DropText work={work} what="a CSV file" accept=".csv,.txt,text/csv" />
        <Settings item={item} work={work} />
        <About id={id} work={work} />
        <details open={mistakes.length > 0}>
          <summary>Readings as text (CSV)</summary>
          <InputText id={id} work={work} label="Readings, comma-separated" mistakes={mistakes} />
          <button
            type="button"
            class="button"
            onClick={() => saveFile(`${title}.csv`, work.input, 'text/csv')}
          >
            Save the readings as a file
          </button>
        </details>
      </section>
    </>
  );
}

/** A slip in the text itself, against one in what was read. */
const inText = ({ code }: Problem): boolean =>
  code === 'value-invalid' || code === 'column-missing';

/** Which old reading is open; kept over a reload with what is typed into it. */
function useEditing(id: string, work: ItemWork) {
  const name = `${id}:editing`;
  const [editing, setEditing] = useState<number | null>(() => {
    const kept = Number(keptText(name) ?? NaN);
    return Number.isInteger(kept) && kept >= 0 ? kept : null;
  });
  const set = (at: number | null) => {
    keepText(name, at === null ? null : String(at));
    setEditing(at);
  };
  const focusEntry = () =>
    document.getElementById('entry-deflection_mm')?.focus({ preventScroll: true });
  const open = (at: number) => {
    set(at);
    window.requestAnimationFrame(() => {
      document.getElementById('entry')?.scrollIntoView({ block: 'start' });
      focusEntry();
    });
  };
  const leave = () => {
    set(null);
    window.requestAnimationFrame(focusEntry);
  };
  const goToLine = (line: number) => {
    const at = readReadings(work.input).lines.indexOf(line);
    if (at >= 0) open(at);
  };
  return { editing, open, leave, goToLine };
}

/** The result; or why there is none, with what mends it, over the last one that there was. */
function Outcome({
  item,
  work,
  goToLine,
}: {
  item: Item;
  work: ItemWork;
  goToLine: (line: number) => void;
}) {
  const { result, problems, earlier, title } = item;
  const actionsFor = useRemedies(item, work, goToLine);
  const few = readReadings(work.input).rows.length < 3 && !problems.some(inText);
  const shown = result ?? earlier?.result ?? null;
  const told = shown && splitWarnings(shown);
  return (
    <>
      {result === null && (
        <section class="block">
          <h2 class="sentence">No result yet.</h2>
          {few ? (
            <p>
              It appears here as soon as the readings from the preload upwards make a line: read at
              no load, at the preload, at several loads up, and at the same on the way down. Three
              remounts or more tell how sure it is.
            </p>
          ) : (
            <ProblemsToMend
              problems={problems}
              label="Why there is no result"
              actionsFor={actionsFor}
            />
          )}
        </section>
      )}
      {result === null && shown && (
        <p class="left-out">The last result, from the readings before the latest change:</p>
      )}
      {shown && told && (
        <div class="block outcome">
          <StiffnessResult finding={shown} title={title} />
          {told.beingRead !== null && (
            <p class="legend">Remount {told.beingRead} is being read and not in the result yet.</p>
          )}
          {result !== null && told.leftOut.length > 0 && (
            <section class="block">
              <h2>Left out</h2>
              <ProblemsToMend
                problems={told.leftOut}
                label="Series left out"
                actionsFor={actionsFor}
              />
            </section>
          )}
          {told.others.length > 0 && (
            <section class="block">
              <h2>To know about this result</h2>
              <ProblemsToMend problems={told.others} label="Warnings" actionsFor={actionsFor} />
            </section>
          )}
          <Cautions cautions={shown.cautions} />
        </div>
      )}
    </>
  );
}

/** Buttons that mend what is wrong; each can be taken back. */
function useRemedies(item: Item, work: ItemWork, goToLine: (line: number) => void) {
  const { say } = useNotices();
  const undoable = async (told: string, change: Parameters<ItemWork['change']>[0]) => {
    const before = { input: work.input, options: { ...item.options } };
    if (!(await work.change(change))) return;
    const back = change.input === undefined ? { options: before.options } : { input: before.input };
    say(told, { label: 'Undo', run: () => void work.change(back) });
  };
  /** The whole series that a line belongs to. */
  const takeOut = (line: number) => {
    const { rows, lines } = readReadings(work.input);
    let first = 0;
    for (const own of seriesOf(rows)) {
      const places = own.map((_, k) => first + k);
      first += own.length;
      if (!places.some((at) => lines[at] === line)) continue;
      const name = seriesName(own[0]);
      const input = without(work.input, places);
      const run = () => void undoable(`${name} is taken out.`, { input });
      return [{ text: `Take out ${name.toLowerCase()}`, run }];
    }
    return [];
  };
  return (problem: Problem) => {
    const units = unitAnswers(problem, item.options).map(({ text, options }) => ({
      text,
      run: () => void undoable('The units are set.', { options }),
    }));
    if (units.length > 0) return { actions: units, instead: true };
    const { line } = problem.place ?? {};
    const open =
      line === undefined
        ? []
        : [{ text: `Open the reading of line ${line}`, run: () => goToLine(line) }];
    if (problem.code === 'dial-reset' && line !== undefined)
      return { actions: [...open, ...takeOut(line)], instead: false };
    const swapped = problem.code === 'columns-swapped' ? swappedColumns(problem) : null;
    if (swapped === null) return { actions: open, instead: false };
    const exchange = () => {
      const input = withExchanged(work.input, ...swapped);
      void undoable('The two columns are exchanged.', { input });
    };
    return { actions: [{ text: 'Exchange the two columns', run: exchange }], instead: true };
  };
}

function Settings({ item, work }: { item: Item; work: ItemWork }) {
  const { id, options } = item;
  const set = (change: Partial<StiffnessOptions>) => work.change({ options: change });
  return (
    <section class="block">
      <h2>How it is read</h2>
      <div class="fields">
        {(['preloadN', 'loadN'] as const).map((name) => (
          <SavedField
            key={name}
            name={`${id}:${name}`}
            label={name === 'preloadN' ? 'Preload' : 'Load on top of it'}
            unit="N"
            numeric
            value={String(options[name])}
            help={
              name === 'loadN'
                ? '20 kg hung at the rim is 196.1 N.'
                : 'Enough to take up the slop of bearings and fixture.'
            }
            check={(text) => (readNumber(text) >= 0 ? null : 'A number in newtons is needed.')}
            save={(text) => set({ [name]: readNumber(text) })}
          />
        ))}
        <div class="field">
          <label for="load-unit">Loads are written in</label>
          <select
            id="load-unit"
            value={options.loadUnit ?? 'N'}
            onChange={(event) =>
              void set({ loadUnit: event.currentTarget.value === 'kg' ? 'kg' : 'N' })
            }
          >
            <option value="N">newtons</option>
            <option value="kg">kilograms hung up</option>
          </select>
        </div>
      </div>
    </section>
  );
}
