/** Location and spread of a sample, plain and robust, accurate also far from zero. */
import { PreciseSum, preciseSum } from './double-double.ts';

function checkSample(values: ArrayLike<number>, least: number): void {
  if (values.length < least) {
    throw new RangeError(`${values.length} values are too few, at least ${least} are needed`);
  }
  for (let i = 0; i < values.length; i++) {
    if (!Number.isFinite(values[i])) throw new RangeError(`value ${i + 1} is not a number`);
  }
}

/** Arithmetic mean, rounded once. At least one value. */
export function mean(values: ArrayLike<number>): number {
  checkSample(values, 1);
  return preciseSum(values) / values.length;
}

/** Sum of squares about the mean; the mean's own rounding is taken out again. */
export function sumOfSquaresAboutMean(values: ArrayLike<number>): number {
  const center = mean(values);
  const squares = new PreciseSum();
  const rest = new PreciseSum();
  for (let i = 0; i < values.length; i++) {
    const off = values[i] - center;
    squares.addProduct(off, off);
    rest.add(off);
  }
  return squares.value() - rest.value() ** 2 / values.length;
}

/** Standard deviation with n − 1. At least two values. */
export function standardDeviation(values: ArrayLike<number>): number {
  checkSample(values, 2);
  return Math.sqrt(sumOfSquaresAboutMean(values) / (values.length - 1));
}

/** Middle value, or the mean of the two middle ones. */
export function median(values: ArrayLike<number>): number {
  checkSample(values, 1);
  const sorted = Float64Array.from(values).sort();
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** Median of the distances from the median, unscaled. Times 1.4826 it estimates a normal's σ. */
export function medianAbsoluteDeviation(values: ArrayLike<number>): number {
  const center = median(values);
  return median(Float64Array.from(values, (value) => Math.abs(value - center)));
}

/**
 * Robust z of each value: 0.6745·(x − median)/MAD, or (x − median)/(1.2533·mean distance) where more
 * than half of the values agree. After Iglewicz & Hoaglin (1993), How to Detect and Handle Outliers.
 */
export function robustZ(values: ArrayLike<number>): Float64Array {
  const center = median(values);
  const off = Float64Array.from(values, (value) => value - center);
  const mad = medianAbsoluteDeviation(values);
  const spread = mad > 0 ? mad / 0.6745 : 1.2533 * mean(off.map(Math.abs));
  return off.map((value) => (spread > 0 ? value / spread : 0));
}

/** Which values stand apart: |robust z| above `limit` (3.5 by Iglewicz & Hoaglin). Fewer than four values: none. */
export function robustOutliers(values: ArrayLike<number>, limit = 3.5): boolean[] {
  if (values.length < 4) return Array.from(values, () => false);
  return Array.from(robustZ(values), (z) => Math.abs(z) > limit);
}
