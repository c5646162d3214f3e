/** Tables from the bench as evidence. */
import type { DeflectionReading } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { readBenchTable, shortened, type BenchColumn, type BenchRow } from './bench-table.ts';

const column = (
  name: string,
  holds: string,
  { number = true, required = true }: { number?: boolean; required?: boolean } = {},
): BenchColumn => ({ name, holds, number, required });

/**
 * Reads `remount, position_deg, direction, load_n, deflection_mm`; `position_deg` may be missing or empty.
 *
 * @throws LapbenchError with every fault and its line
 */
export function readDeflections(text: string, file: string): DeflectionReading[] {
  const rows = readBenchTable(
    text,
    file,
    [
      column('remount', 'the number of the mounting', { number: false }),
      column('position_deg', 'the place on the rim in degrees', { required: false }),
      column('direction', '"load" or "unload"', { number: false }),
      column('load_n', 'the load in newtons'),
      column('deflection_mm', 'the reading of the dial in millimetres'),
    ],
    'bench readings',
  );
  return checked(rows, file, (row, say) => {
    const direction = row.words.direction.toLowerCase();
    if (direction !== 'load' && direction !== 'unload') {
      say(
        `"direction" is ${JSON.stringify(row.words.direction)}.`,
        'Write "load" on the way up and "unload" on the way down.',
      );
    }
    const positionDeg = row.numbers.position_deg;
    if (positionDeg !== null && Math.abs(positionDeg) > 720)
      say(`"position_deg" is ${positionDeg}.`, 'Write the place on the rim from 0 to 360 degrees.');
    return {
      remount: row.words.remount,
      positionDeg,
      direction: direction === 'unload' ? 'unload' : 'load',
      loadN: row.numbers.load_n!,
      deflectionMm: row.numbers.deflection_mm!,
      line: row.line,
    };
  });
}

function checked<Value>(
  rows: readonly BenchRow[],
  file: string,
  read: (row: BenchRow, say: (message: string, remedy: string) => void) => Value,
): Value[] {
  const problems: Problem[] = [];
  const values = rows.map((row) =>
    read(row, (message, remedy) =>
      problems.push({ code: 'value-invalid', file, place: { line: row.line }, message, remedy }),
    ),
  );
  if (problems.length > 0) throw new LapbenchError(shortened(problems, file));
  return values;
}
