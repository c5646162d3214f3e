/** Quadrature over the estimated scale of a t statistic: S = √(χ²_df / df). */

export interface ScaleRule {
  nodes: Float64Array;
  /** Sum to one. */
  weights: Float64Array;
}

/**
 * Nodes and weights for the mean of g(S), S = √(χ²_df/df): trapezoid rule in u = ln S, whose density
 * ∝ exp(df·(u − e^{2u}/2)) falls off at both ends, so that the rule converges geometrically. Weights
 * are normalised on the nodes, which needs no gamma function. `sharpness`: how many times faster than
 * 1 unit of S the integrand g changes (the critical value, roughly). `coarseness` 0.6 is exact to
 * rounding, 0.75 to about 1e-8. df above zero or Infinity.
 */
export function scaleRule(df: number, sharpness = 3, coarseness = 0.6): ScaleRule {
  if (!(df > 0)) throw new RangeError(`df must be above zero, got ${df}`);
  if (df > 1e9) return { nodes: Float64Array.of(1), weights: Float64Array.of(1) };
  // Two limits: the bell's width at large df; the strip |Im u| < π/4 of analyticity at small df.
  const step = coarseness * Math.min(0.3, 1 / Math.sqrt(2 * df + 0.15 * sharpness * sharpness));
  const logDensity = (u: number): number => df * (u - Math.expm1(2 * u) / 2);
  const u: number[] = [];
  // The peak is at u = 0; walk out both ways until nothing is left (e^-32 is about 1e-14).
  for (let i = 0; logDensity(-i * step) > -32; i++) u.unshift(-i * step);
  for (let i = 1; logDensity(i * step) > -32; i++) u.push(i * step);
  const weights = Float64Array.from(u, (value) => Math.exp(logDensity(value)));
  const total = weights.reduce((sum, w) => sum + w, 0);
  return {
    nodes: Float64Array.from(u, Math.exp),
    weights: weights.map((w) => w / total),
  };
}
