/**
 * Variance components s_k of V = C + Σ s_k·G_k by restricted or full likelihood: Fisher scoring with
 * step halving, components held at zero when the likelihood falls there (Patterson & Thompson 1971;
 * Searle, Casella, McCulloch 1992, Variance Components, chapter 6).
 */
import { cholesky, choleskyInverse, choleskySolve, dot, multiply } from './linear-algebra.ts';
import { generalisedLeastSquares } from './restricted-likelihood.ts';
import type { GeneralisedFit } from './restricted-likelihood.ts';

export interface ComponentProblem {
  y: Float64Array;
  /** n × p row-major. */
  x: Float64Array;
  p: number;
  /** Symmetric n × n patterns G_k, row-major. */
  patterns: Float64Array[];
  /** Known part C, n × n, or null. */
  known: Float64Array | null;
  restricted: boolean;
}

export interface ComponentFit {
  variances: number[];
  fit: GeneralisedFit;
  /** Projected precision matrix P = V⁻¹ − V⁻¹X(XᵀV⁻¹X)⁻¹XᵀV⁻¹ and V⁻¹. */
  projection: Float64Array;
  precision: Float64Array;
  iterations: number;
  converged: boolean;
}

function assemble(problem: ComponentProblem, variances: readonly number[]): Float64Array {
  const n = problem.y.length;
  const v = problem.known ? problem.known.slice() : new Float64Array(n * n);
  problem.patterns.forEach((pattern, k) => {
    const s = variances[k];
    if (s !== 0) for (let i = 0; i < v.length; i++) v[i] += s * pattern[i];
  });
  return v;
}

/** V⁻¹ and P for a fit. */
function projections(problem: ComponentProblem, fit: GeneralisedFit) {
  const n = problem.y.length;
  const p = problem.p;
  const precision = choleskyInverse(fit.factor, n);
  const vx = multiply(precision, problem.x, n, n, p);
  const left = multiply(vx, fit.covariance, n, p, p);
  const projection = precision.slice();
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      let sum = 0;
      for (let c = 0; c < p; c++) sum += left[i * p + c] * vx[j * p + c];
      projection[i * n + j] -= sum;
    }
  }
  return { precision, projection };
}

/** Score and information (expected and observed) of the components listed in `active`. */
export function scoreAndInformation(
  problem: ComponentProblem,
  projection: Float64Array,
  precision: Float64Array,
  active: readonly number[],
): { score: Float64Array; expected: Float64Array; observed: Float64Array } {
  const n = problem.y.length;
  const weight = problem.restricted ? projection : precision;
  const py = multiply(projection, problem.y, n, n, 1);
  const m = active.length;
  const products = active.map((k) => multiply(weight, problem.patterns[k], n, n, n));
  const gpy = active.map((k) => multiply(problem.patterns[k], py, n, n, 1));
  const pgpy = gpy.map((vector) => multiply(projection, vector, n, n, 1));
  const score = new Float64Array(m);
  const expected = new Float64Array(m * m);
  const observed = new Float64Array(m * m);
  for (let a = 0; a < m; a++) {
    let trace = 0;
    for (let i = 0; i < n; i++) trace += products[a][i * n + i];
    score[a] = -0.5 * (trace - dot(py, gpy[a]));
    for (let b = 0; b <= a; b++) {
      let traceProduct = 0;
      for (let i = 0; i < n; i++) {
        for (let j = 0; j < n; j++) traceProduct += products[a][i * n + j] * products[b][j * n + i];
      }
      expected[a * m + b] = expected[b * m + a] = 0.5 * traceProduct;
      const curvature = dot(gpy[a], pgpy[b]) - 0.5 * traceProduct;
      observed[a * m + b] = observed[b * m + a] = curvature;
    }
  }
  return { score, expected, observed };
}

/** Maximises the likelihood from given starting variances (all above zero). */
export function fitComponents(problem: ComponentProblem, start: readonly number[]): ComponentFit {
  const likelihood = (fit: GeneralisedFit): number =>
    problem.restricted ? fit.restrictedLogLikelihood : fit.logLikelihood;
  const evaluate = (variances: readonly number[]): GeneralisedFit =>
    generalisedLeastSquares(problem.y, problem.x, problem.p, assemble(problem, variances));

  let variances = [...start];
  const scale = start.reduce((a, b) => a + b, 0);
  let fit = evaluate(variances);
  let converged = false;
  let iterations = 0;
  let parts = projections(problem, fit);
  for (; iterations < 100 && !converged; iterations++) {
    const all = variances.map((_, k) => k);
    const { score } = scoreAndInformation(problem, parts.projection, parts.precision, all);
    // A component at zero stays there while the likelihood falls away from zero.
    const active = all.filter((k) => variances[k] > 0 || score[k] > 0);
    const here = scoreAndInformation(problem, parts.projection, parts.precision, active);
    const step = solveInformation(here.expected, here.score);
    const trial = (fraction: number): number[] => {
      const next = [...variances];
      active.forEach((k, a) => (next[k] = Math.max(0, variances[k] + fraction * step[a])));
      return next;
    };
    const before = likelihood(fit);
    let fraction = 1;
    let next = trial(1);
    let nextFit = tryFit(evaluate, next);
    while (
      fraction > 1e-10 &&
      (nextFit === null || likelihood(nextFit) < before - 1e-12 * Math.abs(before))
    ) {
      fraction /= 2;
      next = trial(fraction);
      nextFit = tryFit(evaluate, next);
    }
    if (nextFit === null) break;
    const change = Math.max(...next.map((value, k) => Math.abs(value - variances[k])));
    variances = next;
    fit = nextFit;
    parts = projections(problem, fit);
    converged = change <= 1e-10 * (scale + Math.max(...variances));
  }
  return { variances, fit, ...parts, iterations, converged };
}

function tryFit(
  evaluate: (variances: readonly number[]) => GeneralisedFit,
  variances: readonly number[],
): GeneralisedFit | null {
  try {
    return evaluate(variances);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** Solves information·step = score, adding to the diagonal where two components cannot be told apart. */
function solveInformation(information: Float64Array, score: Float64Array): Float64Array {
  const m = score.length;
  for (let ridge = 0; ; ridge = ridge === 0 ? 1e-10 : ridge * 100) {
    const damped = information.slice();
    for (let i = 0; i < m; i++) damped[i * m + i] *= 1 + ridge;
    try {
      return choleskySolve(cholesky(damped, m), m, score);
    } catch (error) {
      if (!(error instanceof RangeError) || ridge > 1e6) throw error;
    }
  }
}
