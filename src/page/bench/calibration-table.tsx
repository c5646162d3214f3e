import { useRef } from 'preact/hooks';
import type { BenchView } from '../../application/contract.ts';
import { useKeptText } from '../parts/kept-text.ts';
import { readNumber } from '../parts/typed-number.ts';
import { readReadings } from './readings.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;
type Pair = [reading: string, tension: string];

const head = 'reading,tension_n';

/** Rows of a table of two columns; null for one that has more (then it is edited as text). */
function pairsOf(text: string): Pair[] | null {
  const { columns, rows } = readReadings(text.trim() === '' ? head : text);
  if (columns.join() !== head) return null;
  return rows.map((row) => [row.reading, row.tension_n]);
}

/** Kinds of spoke that the saved table tells apart. */
const spokeTypes = (text: string): string[] => [
  ...new Set(readReadings(text).rows.flatMap((row) => (row.spoke_type ? [row.spoke_type] : []))),
];

const textOf = (pairs: readonly Pair[]): string =>
  `${[head, ...pairs.filter((pair) => pair.some((cell) => cell.trim() !== '')).map((pair) => pair.join(','))].join('\n')}\n`;

const isNumber = (text: string): boolean => Number.isFinite(readNumber(text.trim()));

/** The gauge's own table for these spokes: what it shows at which tension, row by row or as text. */
export function CalibrationTable({ item, work }: { item: Item; work: ItemWork }) {
  const typed = useKeptText(`${item.id}:calibration`, item.options.calibration);
  const pairs = pairsOf(typed.text);
  const types = spokeTypes(item.options.calibration);
  const complete = pairs?.every((pair) => pair.every(isNumber)) ?? true;
  const latest = useRef(typed.text);
  latest.current = typed.text;
  const save = async (text: string) => {
    const done = await work.change({ options: { calibration: text } });
    // What was typed while this was on its way stays.
    if (done && latest.current === text) typed.clear();
  };
  /** Half a row waits in the browser until its other half is there. */
  const leave = () => {
    if (typed.dirty && complete && pairs) void save(textOf(pairs));
  };
  const put = (at: number, column: 0 | 1, cell: string) => {
    const next = [...(pairs ?? [])];
    const row: Pair = [...(next[at] ?? ['', ''])];
    row[column] = cell.replace(',', '.');
    next[at] = row;
    typed.set(textOf(next));
  };
  return (
    <fieldset class="block">
      <legend>The gauge’s table for these spokes</legend>
      <p class="legend">
        What the gauge shows at which tension, from its maker, for spokes of this thickness and
        material. At least two rows.
      </p>
      {pairs && (
        <table class="calibration">
          <thead>
            <tr>
              <th scope="col">Reading</th>
              <th scope="col">Tension, N</th>
            </tr>
          </thead>
          <tbody onFocusOut={leave}>
            {[...pairs, ['', ''] as Pair].map((pair, at) => (
              <tr key={at}>
                {([0, 1] as const).map((column) => (
                  <td key={column}>
                    <input
                      class="number"
                      inputMode="decimal"
                      autocomplete="off"
                      aria-label={`${column === 0 ? 'Reading' : 'Tension in N'} of row ${at + 1}`}
                      aria-invalid={pair[column].trim() !== '' && !isNumber(pair[column])}
                      value={pair[column]}
                      onInput={(event) => put(at, column, event.currentTarget.value)}
                    />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {typed.dirty && !complete && (
        <p class="field-help">Saved as soon as every row has both numbers.</p>
      )}
      {types.length > 1 && (
        <div class="field">
          <label for="spoke-type">Kind of spoke in the table</label>
          <select
            id="spoke-type"
            value={item.options.spokeType ?? ''}
            onChange={(event) =>
              void work.change({ options: { spokeType: event.currentTarget.value || null } })
            }
          >
            <option value="">Not chosen</option>
            {types.map((type) => (
              <option key={type} value={type}>
                {type}
              </option>
            ))}
          </select>
        </div>
      )}
      <details open={pairs === null}>
        <summary>The table as text (CSV)</summary>
        <div class="block">
          <textarea
            aria-label="Table of the gauge, comma-separated"
            rows={8}
            spellcheck={false}
            value={typed.text}
            placeholder={`${head}\n18,600\n22,1000`}
            onInput={(event) => typed.set(event.currentTarget.value)}
          />
          <div class="actions">
            <button
              type="button"
              class="button"
              disabled={!typed.dirty}
              onClick={() => void save(typed.text)}
            >
              Save the table
            </button>
          </div>
        </div>
      </details>
    </fieldset>
  );
}
