import {
  dunnettAdjustedP,
  dunnettCriticalValue,
  normalCdf,
  tQuantile,
} from '../../statistics/index.ts';
import { invertDefinite } from './bordered.ts';
import type { Sensitivities } from './wind-fit.ts';

/** One lap that takes part in the comparison. */
export interface ComparedLap {
  setup: number;
  run: number;
  /** Day time at its middle, hours. */
  timeH: number;
  cdaM2: number;
}

export interface CompareInput {
  laps: ComparedLap[];
  /** Covariance of the laps' values from sensors and wind, m⁴, row by row. */
  covariance: Float64Array;
  setupCount: number;
  control: number;
  sensitivity: Sensitivities;
  /** Standard uncertainties of the constants. */
  uncertainty: {
    crr: number;
    massKg: number;
    /** Of power and drivetrain together, relative to the efficiency. */
    efficiency: number;
    meanSquareM2PerS2: number;
    /** Of the model itself, relative to the drag area: absolute values only. */
    model: number;
  };
}

export interface Estimate {
  value: number;
  standardUncertainty: number;
  halfWidth95: number;
  degreesOfFreedom: number;
}

export interface Comparison {
  absolute: (Estimate | null)[];
  difference: (Estimate | null)[];
  halfWidthSimultaneous: (number | null)[];
  pAdjusted: (number | null)[];
  smallestVisible: (number | null)[];
  drift: { perHour: number; standardUncertainty: number } | null;
  lapScatter: number;
  runScatter: number;
  budget: { source: string; ofDifferenceM2: number; ofAbsoluteM2: number }[];
  /** Residual of each lap about setup and drift, m². */
  lapResidual: number[];
}

/** Values tried for each variance component, relative to the drag area, with prior weights. */
const lapGrid = [0.0005, 0.001, 0.002, 0.003, 0.0045, 0.007, 0.011, 0.018, 0.03, 0.05];
const runGrid = [0, 0.0007, 0.0015, 0.003, 0.005, 0.008, 0.013, 0.022];
const driftGrid = [0, 0.003, 0.008];
const windGrid = [0.6, 1, 1.7];

/**
 * Prior of the lap scatter: flat in its logarithm, falling off beyond what riders hold. Of the run
 * scatter: flat in its logarithm above a knee of 0.1 %, up to 2.5 %; published field work on a track
 * finds 0.2 % within and 0.9 % between efforts (Kordi et al. 2021, abstract). The data decide wherever
 * runs are repeated.
 */
const lapPrior = (share: number): number => 1 / (1 + (share / 0.012) ** 2);
const runKnee = 0.0004;
const runPrior = (share: number): number => 1 / (share + runKnee);
/** Width of the stretch of the grid that a node stands for. */
const runWidths = runGrid.map((share, k) => {
  const low = k === 0 ? 0 : 0.5 * (runGrid[k - 1] + share);
  const high =
    k === runGrid.length - 1
      ? share + 0.5 * (share - runGrid[k - 1])
      : 0.5 * (share + runGrid[k + 1]);
  return high - low;
});
const driftPrior = (share: number): number => 1 / (1 + (share / 0.004) ** 2);
const windPrior = (factor: number): number => Math.exp(-0.5 * (Math.log(factor) / 0.5) ** 2);

interface Node {
  weight: number;
  lapVariance: number;
  runVariance: number;
  driftVariance: number;
  windFactor: number;
  beta: Float64Array;
  /** Covariance of beta. */
  covariance: Float64Array;
}

/**
 * Compares setups from lap values with a mixed model: setups and a straight drift fixed; slow drift,
 * runs (remounts) and laps random; the laps' own covariance known up to a factor.
 *
 * The restricted likelihood is not maximised but averaged over the variance components on a grid, so
 * the doubt about them is in the intervals (a mixture of normals, much like Student's t). Where the
 * components are known this is generalised least squares.
 */
export function compareSetups(input: CompareInput): Comparison {
  const { laps, covariance, setupCount, control } = input;
  const n = laps.length;
  const counts = new Array<number>(setupCount).fill(0);
  laps.forEach((lap) => counts[lap.setup]++);
  const present = counts.map((count, id) => ({ count, id })).filter(({ count }) => count > 0);
  const columnOf = new Map(present.map(({ id }, column) => [id, column]));
  const setups = present.length;
  const withDrift = n - setups >= 4;
  const p = setups + (withDrift ? 1 : 0);
  const times = laps.map((lap) => lap.timeH);
  const meanTime = times.reduce((sum, t) => sum + t, 0) / n;
  const design = (i: number, j: number): number =>
    j < setups ? (columnOf.get(laps[i].setup) === j ? 1 : 0) : times[i] - meanTime;
  const sizes = laps.map((lap) => lap.cdaM2).sort((a, b) => a - b);
  const size = Math.abs(sizes[n >> 1]) || 0.25;
  const firstTime = Math.min(...times);

  const y = Float64Array.from(laps, (lap) => lap.cdaM2);
  const X = new Float64Array(n * p);
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) X[i * p + j] = design(i, j);
  const sameRun = (i: number, j: number) => laps[i].run === laps[j].run;

  const nodes: Node[] = [];
  const logWeights: number[] = [];
  const sigma = new Float64Array(n * n);
  for (const windFactor of matters(covariance, n, size) ? windGrid : [1]) {
    for (const driftShare of withDrift ? driftGrid : [0]) {
      for (const [runAt, runShare] of runGrid.entries()) {
        for (const lapShare of lapGrid) {
          const lapVariance = (lapShare * size) ** 2;
          const runVariance = (runShare * size) ** 2;
          const driftVariance = (driftShare * size) ** 2;
          for (let i = 0; i < n; i++) {
            for (let j = 0; j <= i; j++) {
              let value = windFactor * covariance[i * n + j];
              if (sameRun(i, j)) value += runVariance;
              if (i === j) value += lapVariance;
              value += driftVariance * (Math.min(times[i], times[j]) - firstTime);
              sigma[i * n + j] = sigma[j * n + i] = value;
            }
          }
          const fit = generalisedLeastSquares(y, X, sigma, n, p);
          if (!fit) continue;
          logWeights.push(
            fit.logRestrictedLikelihood +
              Math.log(lapPrior(lapShare)) +
              Math.log(runPrior(runShare) * runWidths[runAt]) +
              Math.log(driftPrior(driftShare)) +
              Math.log(windPrior(windFactor)),
          );
          nodes.push({
            weight: 0,
            lapVariance,
            runVariance,
            driftVariance,
            windFactor,
            beta: fit.beta,
            covariance: fit.covariance,
          });
        }
      }
    }
  }
  const top = Math.max(...logWeights);
  let total = 0;
  nodes.forEach((node, k) => {
    node.weight = Math.exp(logWeights[k] - top);
    total += node.weight;
  });
  nodes.forEach((node) => (node.weight /= total));
  const kept = nodes.filter((node) => node.weight > 1e-7);
  const best = kept.reduce((a, b) => (b.weight > a.weight ? b : a));

  // Linear operator of the best node: how each lap's value enters each coefficient.
  fillSigma(best);
  const operator = gainOf(X, sigma, n, p);
  const constants = [
    { source: 'rolling resistance', u: input.uncertainty.crr, by: input.sensitivity.crr },
    { source: 'mass', u: input.uncertainty.massKg, by: input.sensitivity.massKg },
    {
      source: 'power scale and drivetrain',
      u: input.uncertainty.efficiency,
      by: input.sensitivity.efficiency,
    },
    {
      source: 'crosswind not seen',
      u: input.uncertainty.meanSquareM2PerS2,
      by: input.sensitivity.meanSquareM2PerS2,
    },
  ].filter(({ u }) => u > 0);

  function fillSigma(node: Node): void {
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        let value = node.windFactor * covariance[i * n + j];
        if (sameRun(i, j)) value += node.runVariance;
        if (i === j) value += node.lapVariance;
        value += node.driftVariance * (Math.min(times[i], times[j]) - firstTime);
        sigma[i * n + j] = value;
      }
    }
  }

  /** Shift of a contrast of coefficients for one standard uncertainty of a constant. */
  const systematic = (contrast: Float64Array, constant: (typeof constants)[number]): number => {
    let sum = 0;
    for (let j = 0; j < p; j++) {
      if (contrast[j] === 0) continue;
      for (let i = 0; i < n; i++) sum += contrast[j] * operator[j * n + i] * constant.by[i];
    }
    return sum * constant.u;
  };

  const estimate = (contrast: Float64Array, own = 0): Estimate => {
    const means: number[] = [];
    const variances: number[] = [];
    for (const node of kept) {
      let mean = 0;
      let variance = 0;
      for (let a = 0; a < p; a++) {
        if (contrast[a] === 0) continue;
        mean += contrast[a] * node.beta[a];
        for (let b = 0; b < p; b++) {
          variance += contrast[a] * contrast[b] * node.covariance[a * p + b];
        }
      }
      means.push(mean);
      variances.push(variance);
    }
    let value = 0;
    let precision = 0;
    kept.forEach((node, k) => {
      value += node.weight * means[k];
      precision += node.weight / variances[k];
    });
    const extra = constants.reduce((sum, c) => sum + systematic(contrast, c) ** 2, own ** 2);
    const scale = Math.sqrt(1 / precision);
    const half = mixtureHalfWidth(
      kept.map((node) => node.weight),
      means,
      variances,
      value,
    );
    const halfWidth95 = Math.hypot(half, 1.959964 * Math.sqrt(extra));
    return {
      value,
      standardUncertainty: Math.hypot(scale, Math.sqrt(extra)),
      halfWidth95,
      degreesOfFreedom: equivalentDegrees(half / scale),
    };
  };

  const unit = (id: number): Float64Array => {
    const contrast = new Float64Array(p);
    contrast[columnOf.get(id)!] = 1;
    return contrast;
  };
  const against = (id: number): Float64Array => {
    const contrast = unit(id);
    contrast[columnOf.get(control)!] -= 1;
    return contrast;
  };
  const others = present.map(({ id }) => id).filter((id) => id !== control);
  const estimates = others.map((id) => estimate(against(id)));
  const absolute = Array.from({ length: setupCount }, (_, id) =>
    counts[id] > 0 ? estimate(unit(id), input.uncertainty.model * size) : null,
  );

  // Joint distribution of the differences: correlation from the averaged covariance.
  const joint = new Float64Array(p * p);
  for (const node of kept) {
    for (let k = 0; k < p * p; k++) joint[k] += node.weight * node.covariance[k];
  }
  const correlation = others.map((a, i) =>
    others.map((b, j) => {
      if (i === j) return 1;
      const c = crossCovariance(joint, against(a), against(b), p);
      const aa = crossCovariance(joint, against(a), against(a), p);
      const bb = crossCovariance(joint, against(b), against(b), p);
      return Math.max(-0.999, Math.min(0.999, c / Math.sqrt(aa * bb)));
    }),
  );
  const df = Math.min(...estimates.map((e) => e.degreesOfFreedom));
  const difference = new Array<Estimate | null>(setupCount).fill(null);
  const halfWidthSimultaneous = new Array<number | null>(setupCount).fill(null);
  const pAdjusted = new Array<number | null>(setupCount).fill(null);
  const smallestVisible = new Array<number | null>(setupCount).fill(null);
  if (others.length > 0) {
    // Standard error such that the single interval is the one computed: half-width / t quantile.
    const single = tQuantile(0.975, df);
    const errors = estimates.map((e) => e.halfWidth95 / single);
    const ps = dunnettAdjustedP({
      t: estimates.map((e, i) => e.value / errors[i]),
      correlation,
      df,
    });
    const critical = dunnettCriticalValue({ correlation, df, level: 0.95 });
    const power = tQuantile(0.8, df);
    others.forEach((id, i) => {
      difference[id] = estimates[i];
      pAdjusted[id] = ps[i];
      halfWidthSimultaneous[id] = critical * errors[i];
      smallestVisible[id] = (critical + power) * errors[i];
    });
  }

  const driftContrast = new Float64Array(p);
  if (withDrift) driftContrast[setups] = 1;
  const drift = withDrift ? estimate(driftContrast) : null;
  const mean = (pick: (node: Node) => number): number =>
    kept.reduce((sum, node) => sum + node.weight * pick(node), 0);
  const lapResidual = laps.map((_, i) => {
    let fitted = 0;
    for (let j = 0; j < p; j++) fitted += X[i * p + j] * best.beta[j];
    return y[i] - fitted;
  });
  return {
    absolute,
    difference,
    halfWidthSimultaneous,
    pAdjusted,
    smallestVisible,
    drift: drift && { perHour: drift.value, standardUncertainty: drift.standardUncertainty },
    lapScatter: mean((node) => Math.sqrt(node.lapVariance)),
    runScatter: mean((node) => Math.sqrt(node.runVariance)),
    budget: budget(),
    lapResidual,
  };

  function budget(): Comparison['budget'] {
    const contrastOf = others.length > 0 ? against(others[0]) : null;
    const absoluteOf = unit(present[0].id);
    const lapWeights = mean((node) => node.lapVariance);
    const runWeights = mean((node) => node.runVariance);
    const windWeights = mean((node) => node.windFactor);
    const driftWeights = mean((node) => node.driftVariance);
    const through = (contrast: Float64Array | null, of: (i: number, j: number) => number) => {
      if (!contrast) return 0;
      const gain = new Float64Array(n);
      for (let i = 0; i < n; i++) {
        for (let j = 0; j < p; j++) gain[i] += contrast[j] * operator[j * n + i];
      }
      let sum = 0;
      for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) sum += gain[i] * gain[j] * of(i, j);
      return Math.sqrt(Math.max(0, sum));
    };
    const line = (source: string, of: (i: number, j: number) => number) => ({
      source,
      ofDifferenceM2: through(contrastOf, of),
      ofAbsoluteM2: through(absoluteOf, of),
    });
    return [
      line('laps (rider and traffic)', (i, j) => (i === j ? lapWeights : 0)),
      line('remounts (runs)', (i, j) => (sameRun(i, j) ? runWeights : 0)),
      line('sensors, wind and road', (i, j) => windWeights * covariance[i * n + j]),
      line('slow drift', (i, j) => driftWeights * (Math.min(times[i], times[j]) - firstTime)),
      ...constants.map((constant) => ({
        source: constant.source,
        ofDifferenceM2: contrastOf ? Math.abs(systematic(contrastOf, constant)) : 0,
        ofAbsoluteM2: Math.abs(systematic(absoluteOf, constant)),
      })),
      {
        source: 'the model itself',
        ofDifferenceM2: 0,
        ofAbsoluteM2: input.uncertainty.model * size,
      },
    ];
  }
}

/** Whether sensors and wind, beyond what all laps share, can rival the laps' own scatter. */
function matters(covariance: Float64Array, n: number, size: number): boolean {
  let all = 0;
  const rows = new Float64Array(n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) rows[i] += covariance[i * n + j] / n;
  for (let i = 0; i < n; i++) all += rows[i] / n;
  let own = 0;
  for (let i = 0; i < n; i++) own += (covariance[i * n + i] - 2 * rows[i] + all) / n;
  return own > (0.0012 * size) ** 2;
}

function crossCovariance(
  matrix: Float64Array,
  a: Float64Array,
  b: Float64Array,
  p: number,
): number {
  let sum = 0;
  for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) sum += a[i] * b[j] * matrix[i * p + j];
  return sum;
}

interface GlsFit {
  beta: Float64Array;
  covariance: Float64Array;
  logRestrictedLikelihood: number;
}

/** Cholesky whitening: solves L Z = [X y] and then the small normal equations. */
function generalisedLeastSquares(
  y: Float64Array,
  X: Float64Array,
  sigma: Float64Array,
  n: number,
  p: number,
): GlsFit | null {
  const L = new Float64Array(n * n);
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = sigma[i * n + j];
      for (let k = 0; k < j; k++) sum -= L[i * n + k] * L[j * n + k];
      if (i === j) {
        if (!(sum > 0)) return null;
        L[i * n + i] = Math.sqrt(sum);
        logDeterminant += Math.log(sum);
      } else L[i * n + j] = sum / L[j * n + j];
    }
  }
  const q = p + 1;
  const Z = new Float64Array(n * q);
  for (let i = 0; i < n; i++) {
    for (let a = 0; a < q; a++) {
      let sum = a < p ? X[i * p + a] : y[i];
      for (let k = 0; k < i; k++) sum -= L[i * n + k] * Z[k * q + a];
      Z[i * q + a] = sum / L[i * n + i];
    }
  }
  const M = new Float64Array(p * p);
  const b = new Float64Array(p);
  let yy = 0;
  for (let i = 0; i < n; i++) {
    const zy = Z[i * q + p];
    yy += zy * zy;
    for (let a = 0; a < p; a++) {
      b[a] += Z[i * q + a] * zy;
      for (let c = 0; c < p; c++) M[a * p + c] += Z[i * q + a] * Z[i * q + c];
    }
  }
  let inverse;
  try {
    inverse = invertDefinite(M, p);
  } catch {
    return null;
  }
  const beta = new Float64Array(p);
  let explained = 0;
  for (let a = 0; a < p; a++) {
    for (let c = 0; c < p; c++) beta[a] += inverse.inverse[a * p + c] * b[c];
    explained += beta[a] * b[a];
  }
  return {
    beta,
    covariance: inverse.inverse,
    logRestrictedLikelihood: -0.5 * (logDeterminant + inverse.logDeterminant + (yy - explained)),
  };
}

/** (Xᵀ Σ⁻¹ X)⁻¹ Xᵀ Σ⁻¹, p rows of n. */
function gainOf(X: Float64Array, sigma: Float64Array, n: number, p: number): Float64Array {
  const { inverse } = invertDefinite(sigma, n);
  const XtS = new Float64Array(p * n);
  for (let a = 0; a < p; a++) {
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += X[k * p + a] * inverse[k * n + i];
      XtS[a * n + i] = sum;
    }
  }
  const M = new Float64Array(p * p);
  for (let a = 0; a < p; a++) {
    for (let c = 0; c < p; c++) {
      for (let i = 0; i < n; i++) M[a * p + c] += XtS[a * n + i] * X[i * p + c];
    }
  }
  const small = invertDefinite(M, p).inverse;
  const out = new Float64Array(p * n);
  for (let a = 0; a < p; a++) {
    for (let c = 0; c < p; c++) {
      for (let i = 0; i < n; i++) out[a * n + i] += small[a * p + c] * XtS[c * n + i];
    }
  }
  return out;
}

/** Half-width h with P(|x − centre| ≤ h) = 0.95 for a mixture of normals. */
function mixtureHalfWidth(
  weights: number[],
  means: number[],
  variances: number[],
  centre: number,
): number {
  const sds = variances.map(Math.sqrt);
  const inside = (h: number): number =>
    weights.reduce(
      (sum, w, k) =>
        sum +
        w *
          (normalCdf((centre + h - means[k]) / sds[k]) -
            normalCdf((centre - h - means[k]) / sds[k])),
      0,
    );
  let low = 0;
  let high = 8 * Math.max(...sds.map((sd, k) => sd + Math.abs(means[k] - centre)));
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (inside(middle) < 0.95) low = middle;
    else high = middle;
    if (high - low < 1e-9 * high) break;
  }
  return 0.5 * (low + high);
}

/** Degrees of freedom at which Student's 97.5 % quantile is `ratio`. */
function equivalentDegrees(ratio: number): number {
  if (!(ratio > 1.965)) return 400;
  let low = 1;
  let high = 400;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    if (tQuantile(0.975, middle) > ratio) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}
