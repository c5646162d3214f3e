/** Median of the finite values; NaN when there are none. */
export function median(values: number[]): number {
  const sorted = values.filter(Number.isFinite).sort((a, b) => a - b);
  if (sorted.length === 0) return NaN;
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

export const percent = (share: number): string =>
  Number.isFinite(share) ? `${(100 * share).toFixed(1)} %` : '-';

export interface Coverage {
  /** Differences counted. */
  count: number;
  share: number;
  /** 95 % interval of the share. */
  low: number;
  high: number;
  text: string;
}

/**
 * Share of intervals that hold the truth, with its 95 % interval (Wilson 1927). Differences of one day
 * share a control and are not independent: the count is divided by the design effect, the ratio of the
 * variance between days to that of independent draws, never below one.
 */
export function countCoverage(days: boolean[][]): Coverage {
  const count = days.reduce((sum, day) => sum + day.length, 0);
  if (count === 0) return { count, share: NaN, low: NaN, high: NaN, text: '-' };
  const hits = days.reduce((sum, day) => sum + day.filter(Boolean).length, 0);
  const share = hits / count;
  const between = days.reduce(
    (sum, day) => sum + (day.filter(Boolean).length - share * day.length) ** 2,
    0,
  );
  const independent = count * share * (1 - share);
  const n = count / Math.max(1, independent > 0 ? between / independent : 1);
  const z = 1.959964;
  const centre = (share + (z * z) / (2 * n)) / (1 + (z * z) / n);
  const spread =
    (z / (1 + (z * z) / n)) * Math.sqrt((share * (1 - share)) / n + (z * z) / (4 * n * n));
  const low = centre - spread;
  const high = centre + spread;
  const text = `${percent(share)} (${(100 * low).toFixed(1)} to ${(100 * high).toFixed(1)})`;
  return { count, share, low, high, text };
}
