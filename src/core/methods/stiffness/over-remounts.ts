/** One value for each series put together: means over remounts, with what their interval rests on. */
import { leastSquares, mean, standardDeviation, tQuantile } from '../../statistics/index.ts';
import type { Interval } from '../../units/index.ts';

/** One value of one series. */
export interface SeriesValue {
  remount: string;
  positionDeg: number | null;
  value: number;
  /** Standard uncertainty of the value from the readings of its own series. */
  standardUncertainty: number;
  /** Degrees of freedom behind that uncertainty. */
  degreesOfFreedom: number;
}

export interface OverRemounts {
  value: number;
  ci95: Interval;
  from: 'remounts' | 'readings';
  degreesOfFreedom: number;
  /** Standard deviation from remount to remount; null with one. */
  scatter: number | null;
}

/**
 * Mean over remounts with its 95 % interval. A remount is the replicate: positions and loadings within one
 * are averaged first (Hurlbert 1984), and the interval is Student's over the remounts' means. Where not
 * every remount was read at every position, positions are levelled first by an additive fit. With one
 * remount the interval holds the readings' scatter alone. `floor`: least standard error, from the dial's
 * steps. Null when nothing bounds the interval (one remount without spare readings).
 */
export function overRemounts(values: readonly SeriesValue[], floor: number): OverRemounts | null {
  const remounts = [...new Set(values.map(({ remount }) => remount))];
  const means = levelled(values, remounts);
  const value = mean(means);
  if (remounts.length > 1) {
    const scatter = standardDeviation(means);
    const degreesOfFreedom = remounts.length - 1;
    const standardError = Math.max(scatter, floor) / Math.sqrt(remounts.length);
    const half = tQuantile(0.975, degreesOfFreedom) * standardError;
    return {
      value,
      ci95: [value - half, value + half],
      from: 'remounts',
      degreesOfFreedom,
      scatter,
    };
  }
  const degreesOfFreedom = values.reduce((sum, one) => sum + one.degreesOfFreedom, 0);
  if (degreesOfFreedom < 1) return null;
  const variance = values.reduce((sum, one) => sum + one.standardUncertainty ** 2, 0);
  const standardError = Math.max(Math.sqrt(variance), floor) / values.length;
  const half = tQuantile(0.975, degreesOfFreedom) * standardError;
  return {
    value,
    ci95: [value - half, value + half],
    from: 'readings',
    degreesOfFreedom,
    scatter: null,
  };
}

/** Mean of each remount, as if it had been read at every position. */
function levelled(values: readonly SeriesValue[], remounts: readonly string[]): number[] {
  const positions = [...new Set(values.map(({ positionDeg }) => positionDeg))];
  const ofRemount = (remount: string) => values.filter((one) => one.remount === remount);
  const plain = remounts.map((remount) => mean(ofRemount(remount).map(({ value }) => value)));
  const complete = remounts.every((remount) => {
    const counts = positions.map(
      (position) => ofRemount(remount).filter((one) => one.positionDeg === position).length,
    );
    return counts.every((count) => count === counts[0] && count > 0);
  });
  if (complete || positions.length === 1) return plain;
  const p = remounts.length + positions.length - 1;
  if (values.length < p) return plain;
  const x = new Float64Array(values.length * p);
  values.forEach(({ remount, positionDeg }, row) => {
    x[row * p + remounts.indexOf(remount)] = 1;
    const at = positions.indexOf(positionDeg);
    // Effects of the positions sum to zero.
    for (let j = 0; j < positions.length - 1; j++)
      x[row * p + remounts.length + j] = at === j ? 1 : at === positions.length - 1 ? -1 : 0;
  });
  try {
    const fit = leastSquares(
      Float64Array.from(values, ({ value }) => value),
      x,
      p,
    );
    return [...fit.coefficients.slice(0, remounts.length)];
  } catch (error) {
    // Positions and remounts that share nothing cannot be told apart.
    if (error instanceof RangeError) return plain;
    throw error;
  }
}
