/**
 * Linear least squares by Householder QR, with iterative refinement of solution and residuals
 * together (Björck 1967, BIT 7:257), the residuals taken in twice the working precision.
 */
import { PreciseSum, preciseSum } from './double-double.ts';
import {
  applyQ,
  applyQTransposed,
  inverseNormal,
  qrFactor,
  solveR,
  solveRTransposed,
} from './qr.ts';
import type { QrFactor } from './qr.ts';

/** Thrown when two columns of a design say the same, or one says nothing. */
export class RankDeficientError extends RangeError {
  /** Column, from 0, that the others already determine. */
  readonly column: number;

  constructor(column: number, p: number) {
    super(`column ${column + 1} of ${p} is determined by the others: not all can be estimated`);
    this.name = 'RankDeficientError';
    this.column = column;
  }
}

export interface LeastSquaresFit {
  coefficients: Float64Array;
  standardErrors: Float64Array;
  /** Covariance of the coefficients, p × p row-major. */
  covariance: Float64Array;
  residuals: Float64Array;
  residualSumOfSquares: number;
  degreesOfFreedom: number;
  residualSd: number;
  /** Share of the variation about the mean that the fit explains (about zero with `intercept: false`). */
  rSquared: number;
}

/**
 * Fits y ≈ X·b. `x`: n × p row-major; put a column of ones first for an intercept. `intercept`
 * (default true) only says about what R² is counted. Throws RankDeficientError or RangeError.
 */
export function leastSquares(
  y: Float64Array,
  x: Float64Array,
  p: number,
  { intercept = true }: { intercept?: boolean } = {},
): LeastSquaresFit {
  const n = y.length;
  if (p < 1 || n < p || x.length !== n * p) {
    throw new RangeError(`design of ${x.length} numbers does not fit ${n} rows and ${p} columns`);
  }
  for (const value of y) if (!Number.isFinite(value)) throw new RangeError('y holds a non-number');
  for (const value of x) if (!Number.isFinite(value)) throw new RangeError('x holds a non-number');
  const qr = qrFactor(x, n, p);
  if (qr.rank < p) throw new RankDeficientError(qr.pivot[qr.rank], p);
  const { coefficients, residuals } = solveRefined(qr, x, y);
  const residualSumOfSquares = sumOfSquares(residuals);
  const degreesOfFreedom = n - p;
  const variance = degreesOfFreedom > 0 ? residualSumOfSquares / degreesOfFreedom : NaN;
  const covariance = inverseNormal(qr).map((value) => value * variance);
  const center = intercept ? preciseSum(y) / n : 0;
  const total = sumOfSquares(y.map((value) => value - center));
  return {
    coefficients,
    standardErrors: Float64Array.from({ length: p }, (_, j) => Math.sqrt(covariance[j * p + j])),
    covariance,
    residuals,
    residualSumOfSquares,
    degreesOfFreedom,
    residualSd: Math.sqrt(variance),
    rSquared: total > 0 ? 1 - residualSumOfSquares / total : NaN,
  };
}

function sumOfSquares(values: Float64Array): number {
  const sum = new PreciseSum();
  for (const value of values) sum.addProduct(value, value);
  return sum.value();
}

function solveRefined(qr: QrFactor, x: Float64Array, y: Float64Array) {
  const { n, p, pivot, scale } = qr;
  const coefficients = new Float64Array(p);
  const residuals = new Float64Array(n);
  let lastChange = Infinity;
  // The first pass is the plain solution; each later one gains digits until rounding stops it.
  for (let pass = 0; pass < 12; pass++) {
    const f = new Float64Array(n);
    const g = new Float64Array(p);
    const normal = Array.from({ length: p }, () => new PreciseSum());
    for (let i = 0; i < n; i++) {
      const sum = new PreciseSum();
      sum.add(y[i]);
      sum.add(-residuals[i]);
      for (let j = 0; j < p; j++) {
        sum.addProduct(-x[i * p + j], coefficients[j]);
        normal[j].addProduct(-x[i * p + j], residuals[i]);
      }
      f[i] = sum.value();
    }
    for (let j = 0; j < p; j++) g[j] = normal[pivot[j]].value() * scale[j];
    const z = solveRTransposed(qr, g);
    const d = applyQTransposed(qr, f);
    const step = solveR(
      qr,
      d.slice(0, p).map((value, j) => value - z[j]),
    );
    d.set(z, 0);
    const correction = applyQ(qr, d);
    let change = 0;
    let size = 0;
    for (let j = 0; j < p; j++) {
      const target = pivot[j];
      change = Math.max(change, Math.abs(step[j]));
      coefficients[target] += step[j] * scale[j];
      size = Math.max(size, Math.abs(coefficients[target] / scale[j]));
    }
    for (let i = 0; i < n; i++) residuals[i] += correction[i];
    if (pass > 0 && (change <= 1e-16 * size || change > 0.5 * lastChange)) break;
    lastChange = change;
  }
  return { coefficients, residuals };
}
