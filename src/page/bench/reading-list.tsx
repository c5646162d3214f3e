import { seriesOf } from './next-reading.ts';
import { seriesName } from './stiffness-words.ts';

type Row = Record<string, string>;

/** All readings by series, loads down the side: each is a button that opens it to be changed. */
export function ReadingList({
  rows,
  unit,
  editing,
  open,
}: {
  rows: readonly Row[];
  unit: string;
  editing: number | null;
  open: (at: number) => void;
}) {
  let first = 0;
  const series = seriesOf(rows).map((own) => {
    const start = first;
    first += own.length;
    return { own, start };
  });
  const table = ({ own, start }: (typeof series)[number]) => (
    <SeriesTable key={start} own={own} start={start} unit={unit} editing={editing} open={open} />
  );
  const newest = series.toReversed();
  const older = newest.slice(shownAtOnce);
  const opened = editing !== null && older.some(({ own, start }) => editing < start + own.length);
  return (
    <>
      <div class="reading-series">{newest.slice(0, shownAtOnce).map(table)}</div>
      {older.length > 0 && (
        <details open={opened}>
          <summary>
            Series before <span class="unit">({older.length})</span>
          </summary>
          <div class="reading-series">{older.map(table)}</div>
        </details>
      )}
    </>
  );
}

const shownAtOnce = 2;

function SeriesTable({
  own,
  start,
  unit,
  editing,
  open,
}: {
  own: readonly Row[];
  /** Place of its first reading among all. */
  start: number;
  unit: string;
  editing: number | null;
  open: (at: number) => void;
}) {
  return (
    <table class="reading-table">
      <caption>{seriesName(own[0])}</caption>
      <thead>
        <tr>
          <th scope="col">Load, {unit}</th>
          <th scope="col">Up, mm</th>
          <th scope="col">Down, mm</th>
        </tr>
      </thead>
      <tbody>
        {[...byLoad(own)].map(([load, places]) => (
          <tr key={load}>
            <th scope="row">{load}</th>
            {(['load', 'unload'] as const).map((direction) => (
              <td key={direction}>
                {places
                  .filter((k) => (own[k].direction === 'unload') === (direction === 'unload'))
                  .map((k) => (
                    <button
                      key={k}
                      type="button"
                      class={`reading ${editing === start + k ? 'reading-open' : ''}`}
                      aria-label={`Change reading ${start + k + 1}: ${own[k].deflection_mm} mm at ${load} ${unit}`}
                      onClick={() => open(start + k)}
                    >
                      {own[k].deflection_mm}
                    </button>
                  ))}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Places in the series by load, in the order in which the loads first came. */
function byLoad(own: readonly Row[]): Map<string, number[]> {
  const loads = new Map<string, number[]>();
  own.forEach(({ load_n: load }, k) => loads.set(load, [...(loads.get(load) ?? []), k]));
  return loads;
}
