import { useState } from 'preact/hooks';
import type { BenchView } from '../../application/contract.ts';
import { saveFile } from '../parts/save-file.ts';
import { DropText } from './drop-text.tsx';
import { InputText } from './input-text.tsx';
import { About, Cautions } from './item-parts.tsx';
import { ProblemsToMend } from './problem-list.tsx';
import { readReadings } from './readings.ts';
import { SpokesRead } from './spokes-read.tsx';
import { TensionEntry } from './tension-entry.tsx';
import { TensionPlan } from './tension-plan.tsx';
import { useTensionRemedies } from './tension-remedies.ts';
import { TensionResult } from './tension-result.tsx';
import { TensionSettings } from './tension-settings.tsx';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;

export function TensionPart({ item, work }: { item: Item; work: ItemWork }) {
  const { id, title, result, problems } = item;
  const [again, setAgain] = useState<number | null>(null);
  const { rows } = readReadings(work.input);
  const open = (spoke: number) => {
    setAgain(spoke);
    window.requestAnimationFrame(() => {
      document.getElementById('entry')?.scrollIntoView({ block: 'start' });
      document.getElementById('entry-reading')?.focus({ preventScroll: true });
    });
  };
  return (
    <>
      <section class="bench-entry block" aria-label="Entry" id="entry">
        <TensionEntry item={item} work={work} again={again} leave={() => setAgain(null)} />
      </section>
      <section class="bench-result block" aria-label="Result" aria-busy={work.saving}>
        <Outcome item={item} work={work} rows={rows.length} open={open} />
      </section>
      <section class="bench-rest block" aria-label="Readings and settings">
        {rows.length > 0 && <SpokesRead rows={rows} finding={result} again={again} open={open} />}
        <TensionSettings item={item} work={work} />
        <DropText work={work} what="a CSV file" accept=".csv,.txt,text/csv" />
        <About id={id} work={work} />
        <details open={problems.some((one) => one.place?.line !== undefined)}>
          <summary>Readings as text (CSV)</summary>
          <InputText id={id} work={work} label="Readings, comma-separated" />
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

const noActions = () => ({ actions: [], instead: false });

/** The result; or why there is none, over the last one that there was. */
function Outcome({
  item,
  work,
  rows,
  open,
}: {
  item: Item;
  work: ItemWork;
  rows: number;
  open: (spoke: number) => void;
}) {
  const { result, earlier, problems } = item;
  const shown = result ?? earlier?.result ?? null;
  const actionsFor = useTensionRemedies(item, work, open);
  return (
    <>
      {work.saving && <progress aria-label="Working the readings out" />}
      {result === null && (
        <section class="block">
          <h2 class="sentence">No result yet.</h2>
          {rows < 3 ? (
            <p>
              Read the spokes one after the other from the valve, in the direction of rotation. The
              rim appears here laid flat; with a wheel sheet, so does what to turn.
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
      {result !== null && problems.length > 0 && (
        <ProblemsToMend problems={problems} label="To mend" actionsFor={actionsFor} />
      )}
      {result === null && shown && (
        <p class="left-out">The last result, from the readings before the latest change:</p>
      )}
      {shown && (
        <div class={`block tension-result ${work.saving ? 'stale' : ''}`}>
          <TensionResult finding={shown} />
          <TensionPlan item={item} finding={shown} />
          {shown.warnings.length > 0 && (
            <section class="block">
              <h2>To know about this result</h2>
              <ProblemsToMend
                problems={shown.warnings}
                label="Warnings"
                actionsFor={result === null ? noActions : actionsFor}
              />
            </section>
          )}
          <Cautions cautions={shown.cautions} />
        </div>
      )}
    </>
  );
}
