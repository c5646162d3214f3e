/**
 * Many-to-one comparison, two-sided: several setups against one control at once, for any correlation
 * of the comparisons. After Dunnett (1955), J Am Stat Assoc 50:1096, and (1964), Biometrics 20:482.
 * The joint probability is in multivariate-t.ts.
 */
import { tQuantile, tTwoSidedP } from './distributions.ts';
import { multivariateTBox } from './multivariate-t.ts';

/**
 * Adjusted two-sided p of each comparison: P(max |T_j| ≥ |t_i|) when no setup differs from control.
 * `t`: statistics; `correlation`: k × k of the comparisons' estimates; `df`: of the shared scale,
 * fractional or Infinity. Accuracy 1e-8 where the correlation is ρ_ij = λ_i·λ_j (as in designs with
 * one shared control); otherwise 1e-7 up to five comparisons, and above that 1e-5 near that form to
 * 3e-4 far from it. The same input always gives the same number.
 */
export function dunnettAdjustedP(input: {
  t: readonly number[];
  correlation: readonly (readonly number[])[];
  df: number;
}): number[] {
  const { t, correlation, df } = input;
  if (t.length !== correlation.length) {
    throw new RangeError(`${t.length} statistics but a correlation of ${correlation.length} rows`);
  }
  const box = multivariateTBox(correlation, df);
  return t.map((statistic) => {
    const size = Math.abs(statistic);
    const single = tTwoSidedP(size, df);
    // Never below the unadjusted p nor above Bonferroni's: true of every correlation, and it keeps
    // rounding out of very small p.
    return Math.min(
      1,
      t.length * single,
      Math.max(single, 1 - box.exact(size) - box.correction(size)),
    );
  });
}

/**
 * The c with P(max |T_j| ≤ c) = level: half-width of simultaneous intervals in standard errors.
 * `level` between 0 and 1, e.g. 0.95.
 */
export function dunnettCriticalValue(input: {
  correlation: readonly (readonly number[])[];
  df: number;
  level: number;
}): number {
  const { correlation, df, level } = input;
  if (!(level > 0 && level < 1)) throw new RangeError(`level lies between 0 and 1, got ${level}`);
  const box = multivariateTBox(correlation, df);
  const k = correlation.length;
  const low = tQuantile((1 + level) / 2, df);
  if (k === 1) return low;
  const high = tQuantile(1 - (1 - level) / 2 / k, df);
  // The exact part gives the start and the first slope; the dear correction then takes two secant steps.
  const start = solveIncreasing(box.exact, level, low, high);
  const step = 1e-3 * start;
  let slope = (box.exact(start + step) - box.exact(start - step)) / (2 * step);
  let before = start;
  let excess = box.exact(start) + box.correction(start) - level;
  let c = start - excess / slope;
  for (let round = 0; round < 6 && Math.abs(c - before) > 1e-7 * c; round++) {
    const next = box.exact(c) + box.correction(c) - level;
    slope = (next - excess) / (c - before);
    [before, excess] = [c, next];
    c -= next / slope;
    if (Math.abs(c - before) < 1e-5 * c) break;
  }
  return c;
}

/** Bracketed secant (Illinois); answers the nearer bound when the target lies outside. */
function solveIncreasing(
  f: (x: number) => number,
  target: number,
  from: number,
  to: number,
): number {
  let [low, high] = [from, to];
  let atLow = f(low) - target;
  let atHigh = f(high) - target;
  if (atLow >= 0) return low;
  if (atHigh <= 0) return high;
  for (let i = 0; i < 60; i++) {
    const middle = high - (atHigh * (high - low)) / (atHigh - atLow);
    const atMiddle = f(middle) - target;
    if (Math.abs(atMiddle) < 1e-11 || high - low < 1e-11 * high) return middle;
    if (atMiddle > 0) {
      high = middle;
      atHigh = atMiddle;
      atLow /= 2;
    } else {
      low = middle;
      atLow = atMiddle;
      atHigh /= 2;
    }
  }
  return (low + high) / 2;
}
