/**
 * Generalised least squares and the likelihood of y ~ N(X·b, V) for a given V. Restricted likelihood
 * after Patterson & Thompson (1971), Biometrika 58:545, in the form of Harville (1974) without the
 * constant ½·ln|XᵀX| (the convention of the usual mixed-model programs).
 */
import {
  cholesky,
  choleskyInverse,
  choleskyLogDet,
  choleskySolve,
  dot,
  multiplyTransposed,
  solveLower,
} from './linear-algebra.ts';

export interface GeneralisedFit {
  /** −½[(n−p)·ln 2π + ln|V| + ln|XᵀV⁻¹X| + rᵀV⁻¹r]. */
  restrictedLogLikelihood: number;
  /** −½[n·ln 2π + ln|V| + rᵀV⁻¹r]. */
  logLikelihood: number;
  /** Generalised least squares estimate b, p numbers. */
  coefficients: Float64Array;
  /** Covariance of b, (XᵀV⁻¹X)⁻¹, p × p row-major. */
  covariance: Float64Array;
  /** rᵀV⁻¹r; has n − p degrees of freedom when V is right. */
  residualQuadratic: number;
  /** y − X·b. */
  residuals: Float64Array;
  /** Lower Cholesky factor of V, for further solves. */
  factor: Float64Array;
}

/**
 * Fits b for given V. `y`: n; `x`: n × p row-major of full column rank; `v`: n × n row-major, lower
 * triangle read. Throws NotPositiveDefiniteError when V is not positive definite or X not of full rank.
 */
export function generalisedLeastSquares(
  y: Float64Array,
  x: Float64Array,
  p: number,
  v: Float64Array,
): GeneralisedFit {
  const n = y.length;
  if (p < 1 || p >= n || x.length !== n * p) {
    throw new RangeError(`design of ${x.length} numbers does not fit ${n} rows and ${p} columns`);
  }
  const factor = cholesky(v, n);
  const whiteX = solveLower(factor, n, x, p);
  const whiteY = solveLower(factor, n, y);
  const normal = multiplyTransposed(whiteX, whiteX, n, p, p);
  const normalFactor = cholesky(normal, p);
  const coefficients = choleskySolve(normalFactor, p, multiplyTransposed(whiteX, whiteY, n, p, 1));
  const residuals = new Float64Array(n);
  const whiteResiduals = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let fit = 0;
    let whiteFit = 0;
    for (let j = 0; j < p; j++) {
      fit += x[i * p + j] * coefficients[j];
      whiteFit += whiteX[i * p + j] * coefficients[j];
    }
    residuals[i] = y[i] - fit;
    whiteResiduals[i] = whiteY[i] - whiteFit;
  }
  const residualQuadratic = dot(whiteResiduals, whiteResiduals);
  const logDetV = choleskyLogDet(factor, n);
  const ln2Pi = Math.log(2 * Math.PI);
  return {
    restrictedLogLikelihood:
      -0.5 * ((n - p) * ln2Pi + logDetV + choleskyLogDet(normalFactor, p) + residualQuadratic),
    logLikelihood: -0.5 * (n * ln2Pi + logDetV + residualQuadratic),
    coefficients,
    covariance: choleskyInverse(normalFactor, p),
    residualQuadratic,
    residuals,
    factor,
  };
}
