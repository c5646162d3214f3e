import { useState } from 'preact/hooks';
import { thin } from '../../figures/index.ts';
import type { BenchView, WheelFinding } from '../../application/contract.ts';
import { keepText, keptText } from '../parts/kept-text.ts';
import { ProblemList } from '../parts/problems.tsx';
import { DropText } from './drop-text.tsx';
import { InputText } from './input-text.tsx';
import { About, NoResult, Remarks } from './item-parts.tsx';
import { Segments } from './segments.tsx';
import type { ItemWork } from './use-item.ts';
import { WheelAgainst } from './wheel-against.tsx';
import { RimFitPart, WheelComparisonPart } from './wheel-comparison.tsx';
import { WheelForm } from './wheel-form.tsx';
import { three, WheelNumbers } from './wheel-numbers.tsx';
import { WheelSpokes } from './wheel-spokes.tsx';
import { WheelUnderLoad } from './wheel-under-load.tsx';

type Item = Extract<BenchView, { kind: 'wheel' }>;

export function WheelPart({ item, work }: { item: Item; work: ItemWork }) {
  const { id, result, earlier } = item;
  const finding = result ?? earlier?.result ?? null;
  return (
    <>
      <section class="bench-result block" aria-label="Result" aria-busy={work.saving}>
        {work.saving && <progress aria-label="Working the wheel out" />}
        {!result && earlier && <Earlier item={item} madeAt={earlier.madeAt} />}
        {finding ? (
          <div class={`block ${work.saving ? 'stale' : ''}`}>
            <Result item={item} finding={finding} />
          </div>
        ) : (
          <NoResult work={work} waiting="The sheet is not sound yet." />
        )}
      </section>
      <section class="bench-rest block" aria-label="Sheet and settings">
        <Sheet item={item} work={work} />
        <WheelAgainst item={item} work={work} />
        <About id={id} work={work} />
      </section>
    </>
  );
}

/** A slip in the sheet takes nothing away: what is shown is the wheel before it. */
function Earlier({ item, madeAt }: { item: Item; madeAt: string }) {
  return (
    <section class="block">
      <h2>The sheet cannot be used as it stands</h2>
      <ProblemList problems={item.problems} label="Mistakes in the sheet" />
      <p>
        What follows is of the sheet as it was before, {madeAt.slice(0, 16).replace('T', ' ')} UTC.
      </p>
    </section>
  );
}

/** The same sheet as a form of its main numbers, or as the text that it is. */
function Sheet({ item, work }: { item: Item; work: ItemWork }) {
  const { id } = item;
  const kept = `${id}:sheet-as`;
  const [as, setAs] = useState<'form' | 'text'>(() =>
    keptText(kept) === 'text' ? 'text' : 'form',
  );
  const unsaved = keptText(`${id}:bench-text`);
  const waits = unsaved !== null && unsaved !== work.input;
  return (
    <section class="block">
      <h2 id="wheel-sheet" tabIndex={-1}>
        Wheel sheet
      </h2>
      <Segments
        name="sheet-as"
        label="Sheet shown as"
        value={as}
        options={[
          { value: 'form', text: 'Main numbers' },
          { value: 'text', text: 'Whole text' },
        ]}
        choose={(one) => {
          keepText(kept, one);
          setAs(one);
        }}
      />
      <p class="legend">Left and right as the rider sees them; spoke 1 is at the valve.</p>
      {as === 'text' && <InputText id={id} work={work} label="Wheel sheet, YAML" />}
      {as === 'form' && !waits && <WheelForm item={item} work={work} />}
      {as === 'form' && waits && (
        <p>The text has changes that are not saved; save them or go back, then use the form.</p>
      )}
      <DropText work={work} what="a wheel sheet" accept=".yaml,.yml,.json,text/plain" />
    </section>
  );
}

function Result({ item, finding }: { item: Item; finding: WheelFinding }) {
  const { comparison, fit } = finding;
  return (
    <>
      <div class="sentence">
        <p>
          {finding.name}: {three(finding.lateralNPerMm)}
          {thin}N/mm sideways
        </p>
        <p>From the sheet’s numbers, hub held; a bench reading holds slop and fixture as well.</p>
      </div>
      <button
        type="button"
        class="button to-sheet"
        onClick={() => {
          const sheet = document.getElementById('wheel-sheet');
          sheet?.scrollIntoView({ block: 'start' });
          sheet?.focus({ preventScroll: true });
        }}
      >
        Change the wheel
      </button>
      <WheelUnderLoad id={item.id} input={item.input} />
      <WheelNumbers finding={finding} />
      {comparison && <WheelComparisonPart finding={finding} comparison={comparison} />}
      {fit && <RimFitPart fit={fit} other={comparison?.other ?? null} />}
      <WheelSpokes finding={finding} />
      <Remarks warnings={finding.warnings} cautions={finding.cautions} />
    </>
  );
}
