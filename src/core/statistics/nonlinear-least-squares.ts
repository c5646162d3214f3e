/**
 * Nonlinear least squares: Levenberg–Marquardt with scaling by column lengths (Moré 1978) and damping
 * steered by the gain ratio (Nielsen 1999). Each step is a linear least-squares problem by QR.
 */
import { PreciseSum } from './double-double.ts';
import { applyQTransposed, inverseNormal, qrFactor, solveR } from './qr.ts';
import { RankDeficientError } from './least-squares.ts';

export interface NonlinearProblem {
  /** Residuals (observed minus model) for parameters b; always the same length n. */
  residuals: (b: Float64Array) => Float64Array;
  /** ∂residual_i/∂b_j, n × p row-major. Default: central differences. */
  jacobian?: (b: Float64Array) => Float64Array;
  start: readonly number[];
  /** Default 2000. */
  maxIterations?: number;
}

export interface NonlinearFit {
  coefficients: Float64Array;
  standardErrors: Float64Array;
  /** p × p row-major, linearised at the solution. */
  covariance: Float64Array;
  residuals: Float64Array;
  residualSumOfSquares: number;
  residualSd: number;
  degreesOfFreedom: number;
  iterations: number;
  /** False when the iterations ran out: the numbers are then no solution. */
  converged: boolean;
}

/** Fits the problem. Throws RankDeficientError where the data cannot tell two parameters apart. */
export function nonlinearLeastSquares(problem: NonlinearProblem): NonlinearFit {
  const p = problem.start.length;
  const jacobianAt = problem.jacobian ?? ((b) => centralDifferences(problem.residuals, b));
  const maxIterations = problem.maxIterations ?? 2000;
  let b = Float64Array.from(problem.start);
  let r = problem.residuals(b);
  const n = r.length;
  if (n < p) throw new RangeError(`${n} observations cannot give ${p} parameters`);
  let cost = sumOfSquares(r);
  if (!Number.isFinite(cost)) throw new RangeError('the model is not finite at the start');
  const lengths = new Float64Array(p);
  let damping = 1e-3;
  let growth = 2;
  let iterations = 0;
  let converged = false;
  let small = 0;
  while (iterations < maxIterations && !converged) {
    const jacobian = jacobianAt(b);
    for (let j = 0; j < p; j++) {
      let length = 0;
      for (let i = 0; i < n; i++) length += jacobian[i * p + j] ** 2;
      lengths[j] = Math.max(lengths[j], Math.sqrt(length)) || 1;
    }
    let accepted = false;
    while (!accepted && iterations < maxIterations && !converged) {
      iterations++;
      const step = dampedStep(jacobian, r, n, p, damping, lengths);
      const next = b.map((value, j) => value + step[j]);
      const nextR = problem.residuals(next);
      const nextCost = sumOfSquares(nextR);
      const predicted = predictedGain(jacobian, step, n, p, damping, lengths);
      const change = relativeChange(step, b);
      // Gains below rounding say nothing: accept the step, and stop after two such small ones.
      const rounding = 1e-14 * cost;
      const gain = cost - nextCost;
      if (Number.isFinite(nextCost) && (gain > 0 || (gain >= -rounding && change < 1e-7))) {
        accepted = true;
        const ratio = predicted > rounding ? gain / predicted : 1;
        damping *= Math.max(1 / 3, 1 - (2 * ratio - 1) ** 3);
        growth = 2;
        b = next;
        r = nextR;
        cost = nextCost;
        small = change < 1e-11 ? small + 1 : 0;
        converged = small >= 2 || cost === 0 || change === 0;
      } else {
        damping *= growth;
        growth *= 2;
        if (change < 1e-14) converged = true;
      }
    }
  }
  const qr = qrFactor(jacobianAt(b), n, p);
  if (qr.rank < p) throw new RankDeficientError(qr.pivot[qr.rank], p);
  const degreesOfFreedom = n - p;
  const variance = degreesOfFreedom > 0 ? cost / degreesOfFreedom : NaN;
  const covariance = inverseNormal(qr).map((value) => value * variance);
  return {
    coefficients: b,
    standardErrors: Float64Array.from({ length: p }, (_, j) => Math.sqrt(covariance[j * p + j])),
    covariance,
    residuals: r,
    residualSumOfSquares: cost,
    residualSd: Math.sqrt(variance),
    degreesOfFreedom,
    iterations,
    converged,
  };
}

function sumOfSquares(values: Float64Array): number {
  const sum = new PreciseSum();
  for (const value of values) sum.addProduct(value, value);
  return sum.value();
}

/** Minimises |r + J·δ|² + damping·|D·δ|². */
function dampedStep(
  jacobian: Float64Array,
  r: Float64Array,
  n: number,
  p: number,
  damping: number,
  lengths: Float64Array,
): Float64Array {
  const stacked = new Float64Array((n + p) * p);
  stacked.set(jacobian);
  for (let j = 0; j < p; j++) stacked[(n + j) * p + j] = Math.sqrt(damping) * lengths[j];
  const target = new Float64Array(n + p);
  for (let i = 0; i < n; i++) target[i] = -r[i];
  const qr = qrFactor(stacked, n + p, p, 0);
  const z = solveR(qr, applyQTransposed(qr, target));
  const step = new Float64Array(p);
  for (let j = 0; j < p; j++) step[qr.pivot[j]] = z[j] * qr.scale[j];
  return step;
}

/** Fall of the cost that the linear model promises: |J·δ|² + 2·damping·|D·δ|². */
function predictedGain(
  jacobian: Float64Array,
  step: Float64Array,
  n: number,
  p: number,
  damping: number,
  lengths: Float64Array,
): number {
  let sum = 0;
  for (let i = 0; i < n; i++) {
    let moved = 0;
    for (let j = 0; j < p; j++) moved += jacobian[i * p + j] * step[j];
    sum += moved * moved;
  }
  for (let j = 0; j < p; j++) sum += 2 * damping * (lengths[j] * step[j]) ** 2;
  return sum;
}

function relativeChange(step: Float64Array, b: Float64Array): number {
  let change = 0;
  for (let j = 0; j < b.length; j++) {
    change = Math.max(change, Math.abs(step[j]) / (Math.abs(b[j]) + Number.MIN_VALUE * 1e16));
  }
  return change;
}

/** Jacobian by fourth-order central differences: error about 1e-12 of each element. */
function centralDifferences(
  residuals: (b: Float64Array) => Float64Array,
  b: Float64Array,
): Float64Array {
  const p = b.length;
  let jacobian: Float64Array | null = null;
  for (let j = 0; j < p; j++) {
    const h = 6e-4 * (Math.abs(b[j]) || 1e-3);
    const at = (factor: number): Float64Array => {
      const moved = b.slice();
      moved[j] += factor * h;
      return residuals(moved);
    };
    const [m2, m1, p1, p2] = [at(-2), at(-1), at(1), at(2)];
    jacobian ??= new Float64Array(m1.length * p);
    for (let i = 0; i < m1.length; i++) {
      jacobian[i * p + j] = (m2[i] - 8 * m1[i] + 8 * p1[i] - p2[i]) / (12 * h);
    }
  }
  return jacobian ?? new Float64Array(0);
}
