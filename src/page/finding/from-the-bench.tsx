import type { FieldDragFinding } from '../../application/contract.ts';
import { BenchLinks, useSetupBench } from '../bench/setup-items.tsx';
import { dragWords, setupName } from './words.ts';

/** What the bench says of the setups, each beside its field drag. */
export function FromTheBench({
  id,
  changedAt,
  finding,
}: {
  id: string;
  changedAt: string | undefined;
  finding: FieldDragFinding;
}) {
  const setups = useSetupBench(id, changedAt).filter(({ items }) => items.length > 0);
  if (setups.length === 0) return null;
  return (
    <section class="block" aria-label="From the bench">
      <h2>From the bench</h2>
      {setups.map(({ setup, items }) => {
        const name = setupName(finding, setup);
        const drag = finding.setups.find((one) => one.id === setup);
        return (
          <div class="block" key={setup}>
            <p class="setup-drag">
              <b>{name}</b>
              {drag && <span>CdA {dragWords(drag)}</span>}
            </p>
            <BenchLinks items={items} of={name} />
          </div>
        );
      })}
    </section>
  );
}
