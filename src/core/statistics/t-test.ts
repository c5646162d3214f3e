/** Differences of two means: paired (Student 1908, Biometrika 6:1) and of two groups with unequal spread (Welch 1947, Biometrika 34:28). */
import { mean, standardDeviation } from './describe.ts';
import { tQuantile, tTwoSidedP } from './distributions.ts';

export interface DifferenceOfMeans {
  difference: number;
  standardError: number;
  t: number;
  df: number;
  /** Two-sided. */
  pValue: number;
  /** Interval of the level asked for. */
  interval: [low: number, high: number];
}

function finish(
  difference: number,
  standardError: number,
  df: number,
  level: number,
): DifferenceOfMeans {
  const t = difference / standardError;
  const half = tQuantile((1 + level) / 2, df) * standardError;
  return {
    difference,
    standardError,
    t,
    df,
    pValue: tTwoSidedP(t, df),
    interval: [difference - half, difference + half],
  };
}

/** Mean of a_i − b_i. At least two pairs that do not all differ by the same amount. */
export function pairedT(
  a: ArrayLike<number>,
  b: ArrayLike<number>,
  level = 0.95,
): DifferenceOfMeans {
  if (a.length !== b.length)
    throw new RangeError(`${a.length} values cannot pair with ${b.length}`);
  const differences = Float64Array.from(a, (value, i) => value - b[i]);
  const standardError = standardDeviation(differences) / Math.sqrt(differences.length);
  if (standardError === 0) throw new RangeError('all pairs differ by the same amount');
  return finish(mean(differences), standardError, differences.length - 1, level);
}

/** mean(a) − mean(b) of independent groups, at least two values each. */
export function welchT(
  a: ArrayLike<number>,
  b: ArrayLike<number>,
  level = 0.95,
): DifferenceOfMeans {
  const va = standardDeviation(a) ** 2 / a.length;
  const vb = standardDeviation(b) ** 2 / b.length;
  if (va + vb === 0) throw new RangeError('neither group scatters');
  const df = (va + vb) ** 2 / (va ** 2 / (a.length - 1) + vb ** 2 / (b.length - 1));
  return finish(mean(a) - mean(b), Math.sqrt(va + vb), df, level);
}
