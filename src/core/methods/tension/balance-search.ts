/**
 * The fewest quarter turns that satisfy all rows: a sparse problem in whole numbers. First a pursuit, one
 * quarter turn a step where it helps most (as matching pursuit picks its columns), then the same with fewer and
 * fewer turns, then a search in depth for a plan with fewer still, which either finds one, or shows that there
 * is none, or is given up after a bounded number of steps.
 */
import { mostQuarters, type Rows } from './balance-task.ts';

/** Rounding that counts as satisfied. */
const tiny = 1e-9;

/** Turns found so far. */
export interface Turns {
  quarters: Int16Array;
  /** Rows after these turns. */
  values: Float64Array;
}

export interface FewestTurns extends Turns {
  /** No plan has fewer: shown, not assumed. */
  proven: boolean;
}

const start = ({ values, columns }: Rows): Turns => ({
  quarters: new Int16Array(columns.length),
  values: values.slice(),
});

function turn(state: Turns, rows: Rows, nipple: number, by: number): void {
  state.quarters[nipple] += by;
  const column = rows.columns[nipple];
  for (let i = 0; i < column.length; i++) state.values[i] += by * column[i];
}

const copyOf = ({ quarters, values }: Turns): Turns => ({
  quarters: quarters.slice(),
  values: values.slice(),
});

export const quartersOf = ({ quarters }: Turns): number =>
  quarters.reduce((sum, q) => sum + Math.abs(q), 0);

export const satisfied = (values: Float64Array): boolean => values.every((r) => r <= tiny);

/** What is above zero, to a power. */
export function violation(values: Float64Array, power: number): number {
  let sum = 0;
  for (const r of values) if (r > tiny) sum += r ** power;
  return sum;
}

/** As `violation` with one nipple turned, without turning it; stops where it is above `bound`. */
function violationAfter(
  values: Float64Array,
  column: Float64Array,
  by: number,
  power: number,
  bound: number,
): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) {
    const r = values[i] + by * column[i];
    if (r <= tiny) continue;
    sum += power === 2 ? r * r : power === 1 ? r : r ** power;
    if (sum >= bound) return sum;
  }
  return sum;
}

type Move = readonly [nipple: number, by: number];

const allMoves = (state: Turns): Move[] =>
  Array.from(state.quarters).flatMap((q, nipple) =>
    [1, -1].flatMap((by): Move[] => (Math.abs(q + by) <= mostQuarters ? [[nipple, by]] : [])),
  );

/** Steps for which a nipple that was just turned is left alone, so that the pursuit gets out of a hollow. */
const leaveAlone = 6;

/**
 * One quarter turn a step, where it leaves least violation; uphill too, but never straight back (tabu search;
 * Glover 1989, ORSA J. Comput. 1:190), and never above `most` quarter turns together. True when all rows are
 * satisfied.
 */
function pursue(state: Turns, rows: Rows, power: number, most: number, steps: number): boolean {
  const free = new Int32Array(rows.columns.length);
  let least = violation(state.values, power);
  let used = quartersOf(state);
  for (let step = 0; step < steps && least > 0; step++) {
    let best: Move | null = null;
    let bestAfter = Infinity;
    for (const move of allMoves(state)) {
      const [nipple, by] = move;
      if (used + costOf(state, move) > most) continue;
      const bound = free[nipple] > step ? Math.min(bestAfter, least) : bestAfter;
      const after = violationAfter(state.values, rows.columns[nipple], by, power, bound);
      if (after < bound) [bestAfter, best] = [after, move];
    }
    if (best === null) return false;
    used += costOf(state, best);
    turn(state, rows, ...best);
    free[best[0]] = step + 1 + leaveAlone;
    least = Math.min(least, bestAfter);
  }
  return satisfied(state.values);
}

/** One more quarter turn, or one less. */
const costOf = ({ quarters }: Turns, [nipple, by]: Move): number =>
  quarters[nipple] * by >= 0 ? 1 : -1;

/** The same with fewer and fewer quarter turns, until that no longer works. */
function squeeze(state: Turns, rows: Rows, power: number, steps: number): Turns {
  let best = state;
  for (;;) {
    const next = copyOf(best);
    const moves = allMoves(next).filter((move) => costOf(next, move) < 0);
    if (moves.length === 0) return best;
    const after = moves.map(([nipple, by]) =>
      violationAfter(next.values, rows.columns[nipple], by, power, Infinity),
    );
    turn(next, rows, ...moves[after.indexOf(Math.min(...after))]);
    if (!pursue(next, rows, power, quartersOf(best) - 1, steps)) return best;
    best = next;
  }
}

/**
 * Least number of quarter turns that could still satisfy the rows: for weights λ ≥ 0 on them,
 * Σ λ·r / max over nipples |Σ λ·G|. Tried for every violated row alone, all alike, and by their size.
 */
function atLeast({ values }: Turns, { columns }: Rows, strongest: Float64Array): number {
  let bound = 0;
  let alike = 0;
  let weighted = 0;
  const violated: number[] = [];
  for (let i = 0; i < values.length; i++) {
    if (values[i] <= tiny) continue;
    violated.push(i);
    bound = Math.max(bound, values[i] / strongest[i]);
    alike += values[i];
    weighted += values[i] ** 2;
  }
  if (violated.length === 0) return 0;
  let alikeMost = 0;
  let weightedMost = 0;
  for (const column of columns) {
    let same = 0;
    let bySize = 0;
    for (const i of violated) {
      same += column[i];
      bySize += column[i] * values[i];
    }
    alikeMost = Math.max(alikeMost, Math.abs(same));
    weightedMost = Math.max(weightedMost, Math.abs(bySize));
  }
  return Math.ceil(Math.max(bound, alike / alikeMost, weighted / weightedMost) - 1e-7);
}

/** Largest change of each row for a quarter turn of any nipple. */
const strongestOf = ({ values, columns }: Rows): Float64Array =>
  values.map((_, i) => columns.reduce((most, column) => Math.max(most, Math.abs(column[i])), 0));

/** Outcome of the search in depth. */
type Depth = Turns | 'none' | 'given up';

/** A plan with at most `most` quarter turns, by iterative deepening. */
function searchDepth(rows: Rows, most: number, steps: number): Depth {
  const from = start(rows);
  const strongest = strongestOf(rows);
  let left = steps;
  for (let depth = Math.max(1, atLeast(from, rows, strongest)); depth <= most; depth++) {
    const seen = new Set<string>();
    const dive = (state: Turns, budget: number): Turns | null => {
      const need = atLeast(state, rows, strongest);
      if (need === 0) return state;
      if (need > budget || left <= 0) return null;
      const key = state.quarters.join();
      if (seen.has(key)) return null;
      seen.add(key);
      left--;
      for (const [nipple, by] of helpful(state, rows, strongest, budget)) {
        const next = copyOf(state);
        turn(next, rows, nipple, by);
        const found = dive(next, budget - 1);
        if (found) return found;
      }
      return null;
    };
    const found = dive(from, depth);
    if (found) return found;
    if (left <= 0) return 'given up';
  }
  return 'none';
}

/**
 * Turns that help the most violated row: one of them must be in every plan. None goes back on a turn made
 * before, since a shorter plan would leave both out.
 */
function helpful(state: Turns, rows: Rows, strongest: Float64Array, budget: number): Move[] {
  let worst = 0;
  for (let i = 1; i < state.values.length; i++)
    if (state.values[i] > state.values[worst]) worst = i;
  const gains = rows.columns.map((column) => -column[worst]);
  const needed = state.values[worst] - (budget - 1) * strongest[worst] - tiny;
  return gains
    .map((gain, nipple) => ({ nipple, by: Math.sign(gain), size: Math.abs(gain) }))
    .filter(({ nipple, by, size }) => {
      const q = state.quarters[nipple];
      return size > 0 && size >= needed && q * by >= 0 && Math.abs(q + by) <= mostQuarters;
    })
    .sort((a, b) => b.size - a.size)
    .map(({ nipple, by }): Move => [nipple, by]);
}

/** Steps of one pursuit, and of one attempt with a quarter turn less. */
const pursuitSteps = 1500;
const squeezeSteps = 400;

/** Steps of the search in depth: a tenth of a second or two on a wheel of 32 spokes. */
const usualSteps = 4000;

/** The fewest quarter turns that satisfy all rows, even among as many; null when none were found. */
export function fewestTurns(rows: Rows, steps = usualSteps): FewestTurns | null {
  const found = fewest(rows, steps);
  if (found) evenOut(found, rows);
  return found;
}

function fewest(rows: Rows, steps: number): FewestTurns | null {
  let best: Turns | null = null;
  const most = mostQuarters * rows.columns.length;
  for (const power of [2, 1, 4]) {
    const state = start(rows);
    if (!pursue(state, rows, power, most, pursuitSteps)) continue;
    const squeezed = squeeze(state, rows, power, squeezeSteps);
    if (best === null || quartersOf(squeezed) < quartersOf(best)) best = squeezed;
  }
  if (best === null) {
    const found = searchDepth(rows, 4, steps / 4);
    return typeof found === 'string' ? null : { ...found, proven: true };
  }
  const fewer = searchDepth(rows, quartersOf(best) - 1, steps);
  if (fewer === 'none') return { ...best, proven: true };
  if (fewer === 'given up') return { ...best, proven: false };
  return { ...fewer, proven: true };
}

/** How uneven the spokes are left: the fourth power lets the worst of them count. */
function unevenness(values: Float64Array, { kinds }: Rows): number {
  let sum = 0;
  kinds.forEach((kind, i) => {
    if (kind === 'tolerance' && values[i] > -1) sum += (values[i] + 1) ** 4;
  });
  return sum;
}

/** Puts quarter turns in the place of others while that leaves the spokes more even, all rows still satisfied. */
function evenOut(state: Turns, rows: Rows): void {
  const count = quartersOf(state);
  for (let round = 0; round < 50; round++) {
    let least = unevenness(state.values, rows) * (1 - 1e-6);
    let best: Turns | null = null;
    for (const away of allMoves(state).filter((move) => costOf(state, move) < 0)) {
      const without = copyOf(state);
      turn(without, rows, ...away);
      for (const put of allMoves(without)) {
        if (violationAfter(without.values, rows.columns[put[0]], put[1], 1, tiny) > 0) continue;
        const next = copyOf(without);
        turn(next, rows, ...put);
        const after = unevenness(next.values, rows);
        if (quartersOf(next) <= count && after < least) [least, best] = [after, next];
      }
    }
    if (best === null) return;
    state.quarters = best.quarters;
    state.values = best.values;
  }
}

/**
 * As near as quarter turns come where the rows cannot all be satisfied: downhill on `soft` rows, while no
 * other row is left more violated than it was at the start.
 */
export function nearestTurns(rows: Rows, soft: (row: number) => boolean): Turns {
  const state = start(rows);
  const hard = rows.kinds.map((_, i) => !soft(i));
  const room = rows.values.map((r) => Math.max(0, r) + tiny);
  const fits = ([nipple, by]: Move): boolean =>
    rows.columns[nipple].every((change, i) => !hard[i] || state.values[i] + by * change <= room[i]);
  let now = violation(state.values, 2);
  for (let step = 0; step < 40 * rows.columns.length; step++) {
    let best: Move | null = null;
    // A quarter turn that gains next to nothing is not worth the tool.
    let least = now * 0.995;
    for (const move of allMoves(state)) {
      if (!fits(move)) continue;
      const after = violationAfter(state.values, rows.columns[move[0]], move[1], 2, least);
      if (after < least) [least, best] = [after, move];
    }
    if (best === null) break;
    turn(state, rows, ...best);
    now = violation(state.values, 2);
  }
  return state;
}
