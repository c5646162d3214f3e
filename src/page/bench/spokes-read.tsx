import { fixed } from '../../figures/index.ts';
import type { TensionFinding } from '../../application/contract.ts';

type Row = Record<string, string>;

/** All spokes as read, in their order: each is a button that has it read again. */
export function SpokesRead({
  rows,
  finding,
  again,
  open,
}: {
  rows: readonly Row[];
  finding: TensionFinding | null;
  again: number | null;
  open: (spoke: number) => void;
}) {
  const numbers = [...new Set(rows.map((row) => Number(row.spoke)))]
    .filter(Number.isInteger)
    .sort((a, b) => a - b);
  const missing = (finding?.missing ?? []).filter((spoke) => !numbers.includes(spoke));
  return (
    <section class="block" aria-label="Spokes read">
      <h2>Spokes read</h2>
      <p class="field-help">Press one to read it again or take it out.</p>
      <ul class="spokes-read">
        {numbers.map((spoke) => {
          const own = rows.filter((row) => Number(row.spoke) === spoke);
          const found = finding?.spokes.find((one) => one.spoke === spoke);
          const outside = found !== undefined && (!found.insideTolerance || found.aboveMaximum);
          const read = own.map((row) => row.reading).join(', ');
          return (
            <li key={spoke}>
              <button
                type="button"
                class={`spoke-read ${outside ? 'spoke-outside' : ''} ${again === spoke ? 'reading-open' : ''}`}
                aria-label={`Spoke ${spoke}, ${own[0].side}: read ${read}${outside ? ', outside the tolerance' : ''}. Read it again`}
                onClick={() => open(spoke)}
              >
                <span>
                  {spoke} {own[0].side.slice(0, 1).toUpperCase()}
                </span>
                <b>{own.length === 1 ? read : meanOf(own)}</b>
              </button>
            </li>
          );
        })}
        {missing.map((spoke) => (
          <li key={spoke}>
            <button
              type="button"
              class={`spoke-read ${again === spoke ? 'reading-open' : ''}`}
              aria-label={`Spoke ${spoke} is not read yet. Read it`}
              onClick={() => open(spoke)}
            >
              <span>{spoke}</span>
              <b>not read</b>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

const meanOf = (rows: readonly Row[]): string =>
  fixed(rows.reduce((sum, row) => sum + Number(row.reading), 0) / rows.length, 0);
