import { gaussLegendre } from './gauss-legendre.ts';
import type { GaussRule } from './gauss-legendre.ts';
import { standardNormalBetween } from './normal.ts';
import { scaleRule } from './scale-quadrature.ts';

/**
 * P(|T_1| ≤ c, …, |T_k| ≤ c) by nested Gauss–Legendre rules over all but the last coordinate of the
 * Cholesky-separated variables, for 2 to 5 comparisons (cost grows as the k − 1st power). `factor`:
 * lower Cholesky factor of the correlation, row-major.
 */
export function nestedBox(factor: Float64Array, k: number, df: number, c: number): number {
  const { nodes: scale, weights } = scaleRule(df, c, 0.75);
  const rules = new Map<number, GaussRule>();
  // How sharply the later coordinates react to coordinate j: decides the number of nodes.
  const sharpness = Array.from({ length: k - 1 }, (_, j) => {
    let sum = 1;
    for (let i = j + 1; i < k; i++) sum += (factor[i * k + j] / factor[i * k + i]) ** 2;
    return Math.sqrt(sum);
  });
  const given = new Float64Array(k);

  const integrate = (j: number, bound: number): number => {
    let shift = 0;
    for (let m = 0; m < j; m++) shift += factor[j * k + m] * given[m];
    const pivot = factor[j * k + j];
    const from = (-bound - shift) / pivot;
    const to = (bound - shift) / pivot;
    if (j === k - 1) return standardNormalBetween(from, to);
    // Outside ±6.5 lies less than 1e-10. The first coordinate is even: half of it counts twice.
    const low = j === 0 ? 0 : Math.max(from, -6.5);
    const high = Math.min(to, 6.5);
    if (high <= low) return 0;
    const half = (high - low) / 2;
    const middle = (high + low) / 2;
    const count = Math.min(48, 4 + Math.ceil(2 * half * sharpness[j]));
    let rule = rules.get(count);
    if (!rule) rules.set(count, (rule = gaussLegendre(count)));
    let sum = 0;
    for (let i = 0; i < count; i++) {
      const y = middle + half * rule.nodes[i];
      given[j] = y;
      sum += rule.weights[i] * Math.exp(-0.5 * y * y) * integrate(j + 1, bound);
    }
    return ((j === 0 ? 2 : 1) * half * sum) / Math.sqrt(2 * Math.PI);
  };

  let total = 0;
  for (let n = 0; n < scale.length; n++) {
    if (weights[n] > 1e-12) total += weights[n] * integrate(0, c * scale[n]);
  }
  return total;
}
