/** Power of a t test and the smallest true difference it would show (Cohen 1988, chapter 2). */
import { tQuantile } from './distributions.ts';
import { standardNormalCdf } from './normal.ts';
import { scaleRule } from './scale-quadrature.ts';

/**
 * P(T ≤ t) of the noncentral t: the mean of Φ(t·S − δ) over the scale S. `df` above zero, fractional
 * or Infinity.
 */
export function noncentralTCdf(t: number, df: number, noncentrality: number): number {
  const { nodes, weights } = scaleRule(df, Math.abs(t) + 1, 0.4);
  let sum = 0;
  for (let i = 0; i < nodes.length; i++) {
    sum += weights[i] * standardNormalCdf(t * nodes[i] - noncentrality);
  }
  return sum;
}

/**
 * Chance that |T| exceeds the critical value when the true difference is `noncentrality` standard
 * errors. The critical value may be Student's or Dunnett's.
 */
export function powerOfT(input: {
  noncentrality: number;
  df: number;
  criticalValue: number;
}): number {
  const { noncentrality, df, criticalValue } = input;
  // The upper tail as a lower tail of the mirrored problem keeps its digits.
  return (
    noncentralTCdf(-criticalValue, df, -noncentrality) +
    noncentralTCdf(-criticalValue, df, noncentrality)
  );
}

/**
 * Smallest true difference, in standard errors, that a two-sided comparison shows with the given
 * power: the root of `powerOfT`. `criticalValue` defaults to Student's at `alpha` (default 0.05).
 */
export function detectableInStandardErrors(input: {
  df: number;
  power?: number;
  alpha?: number;
  criticalValue?: number;
}): number {
  const { df, power = 0.8, alpha = 0.05 } = input;
  const criticalValue = input.criticalValue ?? tQuantile(1 - alpha / 2, df);
  const at = (noncentrality: number): number => powerOfT({ noncentrality, df, criticalValue });
  if (!(power > at(0) && power < 1)) {
    throw new RangeError(`power ${power} must lie between ${at(0).toPrecision(2)} and 1`);
  }
  let low = 0;
  let high = criticalValue + 2;
  while (at(high) < power) {
    low = high;
    high *= 2;
  }
  for (let i = 0; i < 60 && high - low > 1e-12 * high; i++) {
    const middle = (low + high) / 2;
    if (at(middle) < power) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Degrees of freedom and standard error (in units of σ) of a plain comparison of n pairs or of two groups of n. */
function layout(kind: 'pairs' | 'two groups', n: number): { df: number; se: number } {
  if (!(n >= 2)) throw new RangeError(`${n} repeats are too few for a spread`);
  return kind === 'pairs'
    ? { df: n - 1, se: Math.sqrt(1 / n) }
    : { df: 2 * n - 2, se: Math.sqrt(2 / n) };
}

/** Power to see a difference of `effect` standard deviations (of the differences, or within groups). */
export function powerOfComparison(input: {
  kind: 'pairs' | 'two groups';
  n: number;
  effect: number;
  alpha?: number;
}): number {
  const { df, se } = layout(input.kind, input.n);
  const criticalValue = tQuantile(1 - (input.alpha ?? 0.05) / 2, df);
  return powerOfT({ noncentrality: input.effect / se, df, criticalValue });
}

/** Smallest difference, in standard deviations, that n pairs or two groups of n show with the power. */
export function detectableEffect(input: {
  kind: 'pairs' | 'two groups';
  n: number;
  power?: number;
  alpha?: number;
}): number {
  const { df, se } = layout(input.kind, input.n);
  return se * detectableInStandardErrors({ df, power: input.power, alpha: input.alpha });
}
