/** In which order to turn, so that no spoke passes the maximum or goes slack on the way. */

export interface OrderedTurns {
  /** Nipples from 0, in the order to turn them. */
  order: number[];
  highestOnTheWayN: number;
  /**
   * `below`: no spoke passes the maximum. `down`: spokes were above it, and none of those gets tighter on the
   * way. `sum`: they were, and only the sum of what is above the maximum falls with every turn.
   */
  keeps: 'below' | 'down' | 'sum';
}

/** Steps of the search for an order before it is given up. */
const mostSteps = 3000;

/**
 * An order of the turns under which the maximum is kept after each one, and no spoke goes slack. Tension changes
 * in proportion while one nipple is turned, so what holds before and after a turn holds during it. On a wheel
 * that is too tight all round, loosening one spoke loads its neighbours for a while, so there the sum of what is
 * above the maximum must fall with each turn. The turn that leaves the lowest peak comes first, with a step back
 * where that leads nowhere. Null when no order was found.
 *
 * @param perQuarterN row-major n × n, column = the nipple turned
 */
export function orderOfTurns(
  quarters: ArrayLike<number>,
  tensionsN: readonly number[],
  perQuarterN: ArrayLike<number>,
  maximumN: number | null,
): OrderedTurns | null {
  const limit = maximumN ?? Infinity;
  const excess = (tensions: readonly number[]): number =>
    tensions.reduce((sum, tension) => sum + Math.max(0, tension - limit), 0);
  const tooTight = excess(tensionsN) > 0;
  const standing = (before: readonly number[], now: readonly number[]): boolean =>
    now.every((tension, i) => tension > 0 || tension >= before[i]);
  const noneUp: Rule = (before, now) =>
    standing(before, now) &&
    now.every((tension, i) => tension <= limit + 1e-9 || tension <= before[i]);
  const sumDown: Rule = (before, now) =>
    standing(before, now) && excess(now) <= Math.max(0, excess(before) - 1e-9);
  const strict = search(quarters, tensionsN, perQuarterN, noneUp);
  if (strict) return { ...strict, keeps: tooTight ? 'down' : 'below' };
  const sum = tooTight ? search(quarters, tensionsN, perQuarterN, sumDown) : null;
  return sum && { ...sum, keeps: 'sum' };
}

/** Whether a turn may lead from these tensions to those. */
type Rule = (before: readonly number[], now: readonly number[]) => boolean;

function search(
  quarters: ArrayLike<number>,
  tensionsN: readonly number[],
  perQuarterN: ArrayLike<number>,
  allowed: Rule,
): Omit<OrderedTurns, 'keeps'> | null {
  const n = tensionsN.length;
  let steps = 0;
  const after = (tensions: readonly number[], j: number): number[] =>
    tensions.map((tension, i) => tension + perQuarterN[i * n + j] * quarters[j]);
  const go = (
    tensions: readonly number[],
    left: readonly number[],
    highest: number,
  ): Omit<OrderedTurns, 'keeps'> | null => {
    if (left.length === 0) return { order: [], highestOnTheWayN: highest };
    const next = left
      .map((j) => ({ j, tensions: after(tensions, j) }))
      .filter((one) => allowed(tensions, one.tensions))
      .map((one) => ({ ...one, peak: Math.max(...one.tensions) }))
      .sort((a, b) => a.peak - b.peak || a.j - b.j);
    for (const { j, tensions: now, peak } of next) {
      if (++steps > mostSteps) return null;
      const others = left.filter((other) => other !== j);
      const rest = go(now, others, Math.max(highest, peak));
      if (rest) return { ...rest, order: [j, ...rest.order] };
    }
    return null;
  };
  const all = Array.from({ length: n }, (_, j) => j).filter((j) => quarters[j] !== 0);
  return go(tensionsN, all, Math.max(...tensionsN));
}
