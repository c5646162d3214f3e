/**
 * P(|T_1| ≤ c, …, |T_k| ≤ c) of the central multivariate t for any correlation.
 *
 * Product structure ρ_ij = λ_i·λ_j: given one common normal and the scale, the statistics are
 * independent, so a double quadrature is exact to rounding (Dunnett 1955).
 * Up to five comparisons of any other correlation: nested quadrature (box-quadrature.ts), about 1e-7.
 * More: separation of variables (Genz 1992, J Comput Graph Stat 1:141; Genz & Bretz
 * 1999) over a fixed rank-one lattice, with the nearest product structure as control variate: only
 * the difference between the two is left to the lattice.
 */
import { nestedBox } from './box-quadrature.ts';
import { chiSquareCdf, normalQuantile } from './distributions.ts';
import { choleskyOfCorrelation, nearestProductStructure } from './correlation.ts';
import { standardNormalBetween, standardNormalCdf } from './normal.ts';
import { scaleRule } from './scale-quadrature.ts';

/** P(all |T_j| ≤ c) as the sum of an exact part and a small lattice correction (0 when none is needed). */
export interface BoxProbability {
  exact: (c: number) => number;
  correction: (c: number) => number;
}

/** Prepares the probability for one matrix. Checks it: square, unit diagonal, positive definite. */
export function multivariateTBox(
  correlation: readonly (readonly number[])[],
  df: number,
): BoxProbability {
  if (!(df > 0)) throw new RangeError(`df must be above zero, got ${df}`);
  const k = correlation.length;
  const factor = choleskyOfCorrelation(correlation);
  const { loadings, worst } = nearestProductStructure(correlation);
  const exact = (c: number): number => productStructureBox(loadings, df, c);
  // A misfit of 1e-9 in a correlation moves the probability by less than that.
  if (worst < 1e-9) return { exact, correction: () => 0 };
  const order = Array.from({ length: k }, (_, i) => i);
  const near = choleskyOfCorrelation(
    order.map((i) => order.map((j) => (i === j ? 1 : loadings[i] * loadings[j]))),
  );
  if (k <= 5) return { exact, correction: (c) => nestedBox(factor, k, df, c) - exact(c) };
  const lattice = separationLattice(k, df);
  return { exact, correction: (c) => lattice(factor, c) - lattice(near, c) };
}

function productStructureBox(loadings: readonly number[], df: number, c: number): number {
  if (!(c > 0)) return 0;
  if (c === Infinity) return 1;
  const k = loadings.length;
  const spread = loadings.map((l) => Math.sqrt(1 - l * l));
  // Trapezoid rule in the common normal z. The step follows the bandwidth of the integrand: the bell
  // times k steps of width spread/|loading|.
  const bandwidth = Math.sqrt(1 + loadings.reduce((sum, l, i) => sum + (l / spread[i]) ** 2, 0));
  const step = Math.max(0.75 / bandwidth, 0.002);
  const points = Math.ceil(8.3 / step);
  const bell = Float64Array.from({ length: points + 1 }, (_, i) => {
    const z = i * step;
    // Even in z, so half of it counts twice.
    return ((i === 0 ? 1 : 2) * step * Math.exp(-0.5 * z * z)) / Math.sqrt(2 * Math.PI);
  });
  const { nodes, weights } = scaleRule(df, c);
  let total = 0;
  for (let n = 0; n < nodes.length; n++) {
    if (weights[n] < 1e-15) continue;
    const bound = c * nodes[n];
    let inner = 0;
    for (let i = 0; i <= points; i++) {
      const z = i * step;
      let product = bell[i];
      for (let j = 0; j < k && product > 1e-18; j++) {
        const shift = loadings[j] * z;
        product *= standardNormalBetween((-bound - shift) / spread[j], (bound - shift) / spread[j]);
      }
      inner += product;
    }
    total += weights[n] * inner;
  }
  return Math.min(1, total);
}

/** Number of lattice points (prime) and Korobov generator, chosen by the P2 criterion over 3 to 10 dimensions. */
const latticePoints = 4093;
const latticeGenerator = 1817;

function separationLattice(k: number, df: number): (factor: Float64Array, c: number) => number {
  const finite = df <= 1e9;
  // First coordinate: the scale; k − 1 more for the separated normals.
  const scale = new Float64Array(latticePoints).fill(1);
  const coordinates = new Float64Array(latticePoints * k);
  let multiplier = 1;
  for (let d = 0; d < k; d++) {
    for (let i = 0; i < latticePoints; i++) {
      const x = ((i * multiplier + 0.5) % latticePoints) / latticePoints;
      // Baker's transform makes the integrand periodic: error falls with the square of the points.
      coordinates[i * k + d] = 1 - Math.abs(2 * x - 1);
    }
    multiplier = (multiplier * latticeGenerator) % latticePoints;
  }
  if (finite) {
    const quantile = scaleQuantile(df);
    for (let i = 0; i < latticePoints; i++) scale[i] = quantile(coordinates[i * k]);
  }
  const given = new Float64Array(k);
  return (factor, c) => {
    let sum = 0;
    for (let i = 0; i < latticePoints; i++) {
      const bound = c * scale[i];
      let low = standardNormalCdf(-bound);
      let width = standardNormalBetween(-bound, bound);
      let probability = width;
      for (let j = 1; j < k && probability > 0; j++) {
        const u = low + coordinates[i * k + j] * width;
        given[j - 1] = normalQuantile(Math.min(1 - 1e-16, Math.max(1e-300, u)));
        let shift = 0;
        for (let m = 0; m < j; m++) shift += factor[j * k + m] * given[m];
        const pivot = factor[j * k + j];
        low = standardNormalCdf((-bound - shift) / pivot);
        width = standardNormalBetween((-bound - shift) / pivot, (bound - shift) / pivot);
        probability *= width;
      }
      sum += probability;
    }
    return sum / latticePoints;
  };
}

/** Quantile of S = √(χ²/df) by cubic interpolation in a table of its exact distribution, to about 1e-7. */
function scaleQuantile(df: number): (p: number) => number {
  const step = 0.12 / Math.sqrt(2 * df);
  const logS: number[] = [];
  const logDensity = (u: number): number => df * (u - Math.expm1(2 * u) / 2);
  for (let i = 0; logDensity(-i * step) > -18; i++) logS.unshift(-i * step);
  for (let i = 1; logDensity(i * step) > -18; i++) logS.push(i * step);
  const p = logS.map((u) => chiSquareCdf(df * Math.exp(2 * u), df));
  // dp/du up to the constant that the table itself fixes at the peak.
  const peak = logS.indexOf(0) >= 0 ? logS.indexOf(0) : logS.findIndex((u) => u > -step / 2);
  const constant = (p[peak + 1] - p[peak - 1]) / simpson(logDensity, logS[peak], step);
  const slope = logS.map((u) => constant * Math.exp(logDensity(u)));
  return (target) => {
    if (target <= p[0]) return Math.exp(logS[0]);
    if (target >= p[p.length - 1]) return Math.exp(logS[p.length - 1]);
    let low = 0;
    let high = p.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (p[middle] <= target) low = middle;
      else high = middle;
    }
    const h = p[high] - p[low];
    const x = (target - p[low]) / h;
    const x2 = x * x;
    const x3 = x2 * x;
    const u =
      (2 * x3 - 3 * x2 + 1) * logS[low] +
      ((x3 - 2 * x2 + x) * h) / slope[low] +
      (3 * x2 - 2 * x3) * logS[high] +
      ((x3 - x2) * h) / slope[high];
    return Math.exp(Math.min(logS[high], Math.max(logS[low], u)));
  };
}

function simpson(logDensity: (u: number) => number, middle: number, step: number): number {
  const f = (u: number): number => Math.exp(logDensity(u));
  return (step / 3) * (f(middle - step) + 4 * f(middle) + f(middle + step));
}
