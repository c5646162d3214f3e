/**
 * The balance of a wheel as inequalities. With q quarter turns at the nipples, tension and trueness follow the
 * influence matrix: T = T₀ + A·q, and the rim moves by B·q. Wanted is the q of whole numbers with the least
 * Σ|q| under
 *
 *   |T − mean of the side| ≤ tolerance · mean,  T ≤ maximum,  |lateral| and |radial| move ≤ their limits,
 *
 * and each side's mean kept within a twentieth: more tension all round widens a tolerance in percent, and
 * would pass for evening out.
 *
 * Every inequality is one row r = g + G·q ≤ 0, divided by what it allows, so that rows compare.
 */
import type { Side } from '../../evidence/index.ts';
import { bothSides } from './model.ts';

/** Everything a plan is made from; matrices row-major n × n, column = the nipple turned by a quarter. */
export interface BalanceTask {
  sides: readonly Side[];
  tensionsN: readonly number[];
  tensionPerQuarterN: ArrayLike<number>;
  lateralPerQuarterM: ArrayLike<number>;
  radialPerQuarterM: ArrayLike<number>;
  /** Share of the side's mean. */
  tolerance: number;
  maximumN: number | null;
  lateralLimitM: number;
  radialLimitM: number;
}

/** What an inequality is about. */
export type RowKind = 'tolerance' | 'maximum' | 'mean' | 'lateral' | 'radial';

/** All inequalities: `values[i]` at q = 0, `columns[j][i]` its change for a quarter turn of nipple j. */
export interface Rows {
  kinds: RowKind[];
  values: Float64Array;
  columns: Float64Array[];
}

/** Largest number of quarter turns one nipple may be given: four whole turns. */
export const mostQuarters = 16;

/** Share by which the mean of a side may change; it may fall further where a spoke is above the maximum. */
export const meanRoom = 0.05;

/** Rows of the kinds asked for. */
export function rowsOf(task: BalanceTask, without: readonly RowKind[] = []): Rows {
  const { sides, tensionsN, tolerance, maximumN } = task;
  const n = sides.length;
  const kinds: RowKind[] = [];
  const values: number[] = [];
  const rows: number[][] = [];
  const add = (kind: RowKind, value: number, change: (nipple: number) => number): void => {
    if (without.includes(kind)) return;
    kinds.push(kind);
    values.push(value);
    rows.push(Array.from({ length: n }, (_, j) => change(j)));
  };
  const tension = (i: number, j: number): number => task.tensionPerQuarterN[i * n + j];
  for (const side of bothSides) {
    const own = sides.flatMap((one, i) => (one === side ? [i] : []));
    const meanN = own.reduce((sum, i) => sum + tensionsN[i], 0) / own.length;
    const meanChange = Array.from(
      { length: n },
      (_, j) => own.reduce((sum, i) => sum + tension(i, j), 0) / own.length,
    );
    const allowed = tolerance * meanN;
    const tooTight = maximumN !== null && tensionsN.some((tension) => tension > maximumN);
    for (const sign of tooTight ? [1] : [1, -1])
      add('mean', -1, (j) => (sign * meanChange[j]) / (meanRoom * meanN));
    for (const i of own) {
      for (const sign of [1, -1]) {
        const edge = 1 + sign * tolerance;
        add('tolerance', (sign * (tensionsN[i] - edge * meanN)) / allowed, (j) => {
          return (sign * (tension(i, j) - edge * meanChange[j])) / allowed;
        });
      }
      if (maximumN !== null) {
        add('maximum', (tensionsN[i] - maximumN) / allowed, (j) => tension(i, j) / allowed);
      }
    }
  }
  const moves: [RowKind, ArrayLike<number>, number][] = [
    ['lateral', task.lateralPerQuarterM, task.lateralLimitM],
    ['radial', task.radialPerQuarterM, task.radialLimitM],
  ];
  for (const [kind, matrix, limit] of moves) {
    for (let i = 0; i < n; i++) {
      for (const sign of [1, -1]) add(kind, -1, (j) => (sign * matrix[i * n + j]) / limit);
    }
  }
  const columns = Array.from({ length: n }, (_, j) => Float64Array.from(rows, (row) => row[j]));
  return { kinds, values: Float64Array.from(values), columns };
}

/** What the turns change at every spoke: matrix times q. */
export function changeBy(matrix: ArrayLike<number>, quarters: ArrayLike<number>): number[] {
  const n = quarters.length;
  return Array.from({ length: n }, (_, i) => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += matrix[i * n + j] * quarters[j];
    return sum;
  });
}
