/** Tables from the bench as evidence: deflections, spokes, and the calibration of a gauge. */
import type { DeflectionReading, GaugePoint, Side, SpokeReading } from '../core/evidence/index.ts';
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

const sideWords: Record<string, Side | undefined> = {
  left: 'left',
  l: 'left',
  right: 'right',
  r: 'right',
};
const sideOf = (word: string): Side | undefined =>
  Object.hasOwn(sideWords, word.toLowerCase()) ? sideWords[word.toLowerCase()] : undefined;

/** No wheel has more spokes, as the wheel sheet knows it: 72 a side. */
const mostSpokes = 144;

/**
 * Reads `spoke, side, reading`; a spoke may stand on several lines when it was read several times.
 *
 * @throws LapbenchError `columns-swapped`, or every fault with its line
 */
export function readSpokes(text: string, file: string): SpokeReading[] {
  const columns = (number: boolean): BenchColumn[] => [
    column('spoke', 'the number of the spoke, from 1 round the rim', { number }),
    column('side', '"left" or "right"', { number: false }),
    column('reading', 'what was read', { number }),
  ];
  refuseSwapped(readBenchTable(text, file, columns(false), 'spoke readings'), file);
  const rows = readBenchTable(text, file, columns(true), 'spoke readings');
  const sides = new Map<number, { side: Side; line: number }>();
  return checked(rows, file, (row, say) => {
    const spoke = row.numbers.spoke!;
    if (!Number.isInteger(spoke) || spoke < 1 || spoke > mostSpokes)
      say(`"spoke" is ${spoke}.`, 'Write a whole number from 1, round the rim from the valve.');
    const side = sideOf(row.words.side);
    const before = sides.get(spoke);
    if (side === undefined) {
      say(`"side" is ${JSON.stringify(row.words.side)}.`, 'Write "left" or "right".');
    } else if (before && before.side !== side) {
      say(
        `Spoke ${spoke} is on the ${side} here and on the ${before.side} in line ${before.line}.`,
        'Correct the number or the side.',
      );
    } else sides.set(spoke, { side, line: row.line });
    const reading = row.numbers.reading!;
    if (!(reading >= 0)) say(`"reading" is ${reading}.`, 'A reading is zero or more.');
    return { spoke, side: side ?? 'left', reading, line: row.line };
  });
}

/** Columns under each other's names, told by what most of their cells hold. */
function refuseSwapped(rows: readonly BenchRow[], file: string): void {
  const most = (name: string, is: (cell: string) => boolean): boolean =>
    rows.filter(({ words }) => is(words[name])).length > 0.6 * rows.length;
  const isSide = (cell: string): boolean => sideOf(cell) !== undefined;
  const asNumber = (cell: string): number => (cell === '' ? NaN : Number(cell.replace(',', '.')));
  const isSpoke = (cell: string): boolean =>
    Number.isInteger(asNumber(cell)) && asNumber(cell) >= 1 && asNumber(cell) <= mostSpokes;
  const refuse = (a: string, b: string, holds: string): never => {
    throw new LapbenchError({
      code: 'columns-swapped',
      file,
      place: { line: rows[0].line },
      message: `The columns ${a} and ${b} look swapped: ${holds}.`,
      remedy: 'Exchange the two names in the header.',
    });
  };
  for (const other of ['spoke', 'reading']) {
    if (most(other, isSide) && !most('side', isSide))
      refuse('side', other, `"${other}" holds left and right`);
  }
  const numbers = rows.map(({ words }) => asNumber(words.reading));
  const distinct = new Set(numbers);
  // 1 to n round the rim in the wrong column, beside numbers that repeat, break or run past them.
  const counted =
    most('reading', isSpoke) && distinct.size >= 3 && Math.max(...numbers) <= distinct.size * 1.2;
  const spokes = rows.map(({ words }) => asNumber(words.spoke));
  if (counted && (!most('spoke', isSpoke) || Math.min(...spokes) > 1.5 * Math.max(...numbers)))
    refuse('spoke', 'reading', '"reading" counts the spokes');
}

/**
 * Reads the table of a gauge, `reading, tension_n` and, where it differs by spoke, `spoke_type`.
 *
 * @throws LapbenchError with every fault and its line
 */
export function readCalibration(text: string, file: string): GaugePoint[] {
  const rows = readBenchTable(
    text,
    file,
    [
      column('spoke_type', 'the kind of spoke', { number: false, required: false }),
      column('reading', 'the number on the gauge'),
      column('tension_n', 'the tension in newtons'),
    ],
    'gauge calibration',
  );
  return checked(rows, file, (row, say) => {
    const tensionN = row.numbers.tension_n!;
    if (tensionN < 0 || tensionN > 5000)
      say(`"tension_n" is ${tensionN}.`, 'Write newtons, from 0 to 5000.');
    return {
      spokeType: row.words.spoke_type || null,
      reading: row.numbers.reading!,
      tensionN,
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
