/** In which order to turn, so that no spoke passes the maximum or goes slack on the way. */

export interface OrderedTurns {
  /** Nipples from 0, in the order to turn them. */
  order: number[];
  highestOnTheWayN: number;
}

/** Steps of the search for an order before it is given up. */
const mostSteps = 3000;

/**
 * An order of the turns under which, after each one, no spoke is above the maximum unless it came from higher
 * still, and none is slack. Tension changes in proportion while one nipple is turned, so what holds before and
 * after a turn holds during it. The turn that leaves the lowest peak comes first, with a step back where that
 * leads nowhere. Null when no order was found.
 *
 * @param perQuarterN row-major n × n, column = the nipple turned
 */
export function orderOfTurns(
  quarters: ArrayLike<number>,
  tensionsN: readonly number[],
  perQuarterN: ArrayLike<number>,
  maximumN: number | null,
): OrderedTurns | null {
  const n = tensionsN.length;
  const all = Array.from({ length: n }, (_, j) => j).filter((j) => quarters[j] !== 0);
  let steps = 0;
  const after = (tensions: readonly number[], j: number): number[] =>
    tensions.map((tension, i) => tension + perQuarterN[i * n + j] * quarters[j]);
  const allowed = (before: readonly number[], now: readonly number[]): boolean =>
    now.every(
      (tension, i) =>
        (tension > 0 || tension >= before[i]) &&
        (maximumN === null || tension <= maximumN + 1e-9 || tension <= before[i]),
    );
  const go = (
    tensions: readonly number[],
    left: readonly number[],
    highest: number,
  ): OrderedTurns | null => {
    if (left.length === 0) return { order: [], highestOnTheWayN: highest };
    const next = left
      .map((j) => ({ j, tensions: after(tensions, j) }))
      .filter((one) => allowed(tensions, one.tensions))
      .map((one) => ({ ...one, peak: Math.max(...one.tensions) }))
      .sort((a, b) => a.peak - b.peak || a.j - b.j);
    for (const { j, tensions: now, peak } of next) {
      if (++steps > mostSteps) return null;
      const rest = go(
        now,
        left.filter((other) => other !== j),
        Math.max(highest, peak),
      );
      if (rest) return { ...rest, order: [j, ...rest.order] };
    }
    return null;
  };
  return go(tensionsN, all, Math.max(...tensionsN));
}
