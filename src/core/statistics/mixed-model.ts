/**
 * Mixed model y = X·b + Σ Z_k·u_k + e with variance components, by restricted or full maximum
 * likelihood, with an optional known covariance of y; degrees of freedom after Satterthwaite (1946),
 * as by Giesbrecht & Burns (1985), Biometrics 41:477.
 */
import { cholesky, choleskyInverse, multiply, multiplyTransposed } from './linear-algebra.ts';
import type { GeneralisedFit } from './restricted-likelihood.ts';
import { fitComponents, scoreAndInformation } from './variance-components.ts';
import type { ComponentProblem } from './variance-components.ts';

export interface RandomEffect {
  name: string;
  /** Group of each row: rows of one group share one random value. */
  groups: readonly (string | number)[];
}

export interface MixedModelInput {
  y: Float64Array;
  /** Fixed effects, n × p row-major, full column rank. */
  x: Float64Array;
  p: number;
  random: readonly RandomEffect[];
  /** Known part of the covariance of y, n × n row-major (measurement uncertainty of each value). */
  known?: Float64Array;
  /** Whether to estimate a residual variance. Default true; false needs `known`. */
  residual?: boolean;
  /** Default 'restricted'. */
  likelihood?: 'restricted' | 'full';
}

export interface MixedModelFit {
  /** Variance of each random effect, in the order given. */
  randomVariances: number[];
  /** Null when no residual variance was asked for. */
  residualVariance: number | null;
  coefficients: Float64Array;
  /** p × p row-major. */
  covariance: Float64Array;
  logLikelihood: number;
  restrictedLogLikelihood: number;
  residuals: Float64Array;
  iterations: number;
  converged: boolean;
  /** Estimate, standard error and degrees of freedom of a contrast lᵀ·b, `l` of p numbers. */
  contrast: (l: readonly number[]) => { estimate: number; standardError: number; df: number };
}

/** Fits the model. Throws RangeError when sizes do not match, NotPositiveDefiniteError when X is short of rank. */
export function fitMixedModel(input: MixedModelInput): MixedModelFit {
  const n = input.y.length;
  const withResidual = input.residual ?? true;
  if (!withResidual && !input.known) {
    throw new RangeError('without a residual variance a known covariance is needed');
  }
  const patterns = input.random.map((effect) => groupPattern(effect, n));
  if (withResidual) patterns.push(identity(n));
  if (patterns.length === 0) throw new RangeError('no variance component to estimate');
  const problem: ComponentProblem = {
    y: input.y,
    x: input.x,
    p: input.p,
    patterns,
    known: input.known ?? null,
    restricted: (input.likelihood ?? 'restricted') === 'restricted',
  };
  const start = startVariance(input) / patterns.length;
  const fitted = fitComponents(
    problem,
    patterns.map(() => start),
  );
  const { fit, variances } = fitted;
  return {
    randomVariances: variances.slice(0, input.random.length),
    residualVariance: withResidual ? variances[variances.length - 1] : null,
    coefficients: fit.coefficients,
    covariance: fit.covariance,
    logLikelihood: fit.logLikelihood,
    restrictedLogLikelihood: fit.restrictedLogLikelihood,
    residuals: fit.residuals,
    iterations: fitted.iterations,
    converged: fitted.converged,
    contrast: contrastOf(problem, fit, fitted.precision, fitted.projection, variances),
  };
}

function contrastOf(
  problem: ComponentProblem,
  fit: GeneralisedFit,
  precision: Float64Array,
  projection: Float64Array,
  variances: readonly number[],
): MixedModelFit['contrast'] {
  const n = problem.y.length;
  const p = problem.p;
  const active = variances.map((_, k) => k).filter((k) => variances[k] > 0);
  // ∂cov(b)/∂s_k = cov·XᵀV⁻¹G_kV⁻¹X·cov.
  const vx = multiply(precision, problem.x, n, n, p);
  const left = multiply(vx, fit.covariance, n, p, p);
  const slopes = active.map((k) =>
    multiplyTransposed(left, multiply(problem.patterns[k], left, n, n, p), n, p, p),
  );
  const m = active.length;
  let spread: Float64Array | null = null;
  if (m > 0) {
    const { observed, expected } = scoreAndInformation(problem, projection, precision, active);
    // Observed information, as the usual programs use; expected where that is not positive definite.
    for (const information of [observed, expected]) {
      try {
        spread = choleskyInverse(cholesky(information, m), m);
        break;
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
      }
    }
  }
  return (l) => {
    if (l.length !== p) throw new RangeError(`a contrast of ${l.length} for ${p} coefficients`);
    const form = (matrix: Float64Array): number => {
      let sum = 0;
      for (let i = 0; i < p; i++)
        for (let j = 0; j < p; j++) sum += l[i] * matrix[i * p + j] * l[j];
      return sum;
    };
    const variance = form(fit.covariance);
    const gradient = slopes.map(form);
    let uncertainty = 0;
    for (let a = 0; a < m; a++) {
      for (let b = 0; b < m; b++) {
        uncertainty += gradient[a] * gradient[b] * (spread ? spread[a * m + b] : 0);
      }
    }
    return {
      estimate: l.reduce((sum, value, i) => sum + value * fit.coefficients[i], 0),
      standardError: Math.sqrt(variance),
      df: uncertainty > 0 ? (2 * variance * variance) / uncertainty : Infinity,
    };
  };
}

function groupPattern(effect: RandomEffect, n: number): Float64Array {
  if (effect.groups.length !== n) {
    throw new RangeError(`${effect.name}: ${effect.groups.length} groups for ${n} rows`);
  }
  const pattern = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      if (effect.groups[i] === effect.groups[j]) pattern[i * n + j] = 1;
    }
  }
  return pattern;
}

function identity(n: number): Float64Array {
  const pattern = new Float64Array(n * n);
  for (let i = 0; i < n; i++) pattern[i * n + i] = 1;
  return pattern;
}

/** Residual variance of ordinary least squares: the right order of size to start from. */
function startVariance({ y, x, p }: MixedModelInput): number {
  const n = y.length;
  const normal = cholesky(multiplyTransposed(x, x, n, p, p), p);
  const inverse = choleskyInverse(normal, p);
  const b = multiply(inverse, multiplyTransposed(x, y, n, p, 1), p, p, 1);
  let sum = 0;
  for (let i = 0; i < n; i++) {
    let fit = 0;
    for (let j = 0; j < p; j++) fit += x[i * p + j] * b[j];
    sum += (y[i] - fit) ** 2;
  }
  return Math.max(sum / Math.max(1, n - p), Number.MIN_VALUE * 1e16);
}
