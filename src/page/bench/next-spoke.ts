/** Which spoke is read next, and on which side it is: a suggestion, always to be changed. */

type Row = Record<string, string>;
export type Side = 'left' | 'right';

/** The spokes of the wheel in their order, where a wheel sheet is named. */
export type KnownSpokes = readonly { spoke: number; side: Side }[] | null;

export interface SpokeStep {
  spoke: string;
  side: Side;
  /** Every spoke of the wheel has been read, and all equally often. */
  roundDone: boolean;
}

const numberOf = (row: Row): number => Number(row.spoke);

/**
 * The spoke after the last one that has been read least often, so that a spoke passed over or read again is
 * not forgotten. Without a wheel sheet the wheel has no known end: the next one that was not read.
 */
export function nextSpoke(rows: readonly Row[], wheel: KnownSpokes): SpokeStep {
  const times = new Map<number, number>();
  for (const row of rows) times.set(numberOf(row), (times.get(numberOf(row)) ?? 0) + 1);
  const last = rows.length > 0 ? numberOf(rows[rows.length - 1]) : 0;
  if (wheel === null || wheel.length === 0) {
    let spoke = last + 1;
    while (times.has(spoke)) spoke++;
    return { spoke: String(spoke), side: sideOf(spoke, rows, wheel), roundDone: false };
  }
  const counts = wheel.map(({ spoke }) => times.get(spoke) ?? 0);
  const least = Math.min(...counts);
  const after = wheel.findIndex(({ spoke }) => spoke === last) + 1;
  const order = wheel.map((_, i) => (after + i) % wheel.length);
  const { spoke, side } = wheel[order.find((i) => counts[i] === least) ?? 0];
  const roundDone = least > 0 && counts.every((count) => count === least);
  return { spoke: String(spoke), side, roundDone };
}

/** From the wheel; else from an earlier reading of that spoke, or from the pattern that the readings repeat. */
export function sideOf(spoke: number, rows: readonly Row[], wheel: KnownSpokes): Side {
  const known = wheel?.find((one) => one.spoke === spoke)?.side;
  if (known) return known;
  const sides = new Map(rows.map((row) => [numberOf(row), row.side.toLowerCase()]));
  const before = sides.get(spoke);
  if (before === 'left' || before === 'right') return before;
  for (const period of [1, 2, 3]) {
    const repeats =
      sides.size > period &&
      [...sides].every(([n, side]) => !sides.has(n + period) || sides.get(n + period) === side);
    const found = sides.get(spoke - period);
    if (repeats && (found === 'left' || found === 'right')) return found;
  }
  return sides.get(spoke - 1) === 'left' ? 'right' : 'left';
}
