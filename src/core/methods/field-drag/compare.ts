import {
  dunnettAdjustedP,
  dunnettCriticalValue,
  multiplyTransposed,
  tQuantile,
} from '../../statistics/index.ts';
import { budgetOf, constantsOf, shiftBy, type ConstantUncertainties } from './budget.ts';
import { LapModel, type ComparedLap } from './lap-model.ts';
import { equivalentDegrees, mixtureHalfWidth } from './mixture.ts';
import type { BudgetLine } from './result.ts';
import { mostLikely, scatterNodes, weightedMean, type ScatterNode } from './scatter.ts';
import type { Sensitivities } from './wind-fit.ts';

export interface CompareInput {
  laps: ComparedLap[];
  /** Covariance of the laps' values from sensors and wind, m⁴, row by row. */
  covariance: Float64Array;
  setupCount: number;
  control: number;
  sensitivity: Sensitivities;
  uncertainty: ConstantUncertainties;
}

export interface Estimate {
  value: number;
  standardUncertainty: number;
  halfWidth95: number;
  degreesOfFreedom: number;
}

/** One value a setup; null where it has no laps, and for control against itself. */
export interface Comparison {
  absolute: (Estimate | null)[];
  difference: (Estimate | null)[];
  halfWidthSimultaneous: (number | null)[];
  pAdjusted: (number | null)[];
  smallestVisible: (number | null)[];
  drift: { perHour: number; standardUncertainty: number } | null;
  lapScatter: number;
  runScatter: number;
  budget: BudgetLine[];
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
  const { setupCount, control, uncertainty } = input;
  const model = new LapModel(input.laps, input.covariance);
  const { n, p } = model;
  const nodes = scatterNodes(model);
  // How each lap's value enters each coefficient, where the scatter is most likely.
  const gain = model.gain(mostLikely(nodes));
  const lapWeights = (contrast: Float64Array) => multiplyTransposed(gain, contrast, p, n, 1);
  const constants = constantsOf(uncertainty, input.sensitivity);

  const estimate = (contrast: Float64Array, own = 0): Estimate => {
    const weights = lapWeights(contrast);
    const shifts = constants.map((constant) => shiftBy(weights, constant));
    return mixtureEstimate(nodes, contrast, Math.hypot(own, ...shifts));
  };
  const area = (setup: number) => model.areaOf(setup);
  const against = (setup: number) => model.differenceOf(setup, control);
  const others = model.present.filter((setup) => setup !== control);
  const estimates = others.map((setup) => estimate(against(setup)));
  const joint = jointly(
    estimates,
    correlationOf(
      nodes,
      others.map((setup) => against(setup)),
    ),
  );
  const bySetup = <T>(values: T[], setups: number[]): (T | null)[] =>
    Array.from({ length: setupCount }, (_, id) => values[setups.indexOf(id)] ?? null);
  const modelUncertaintyM2 = uncertainty.model * model.size;
  const driftContrast = model.driftContrast();
  const drift = driftContrast && estimate(driftContrast);
  return {
    absolute: bySetup(
      model.present.map((setup) => estimate(area(setup), modelUncertaintyM2)),
      model.present,
    ),
    difference: bySetup(estimates, others),
    halfWidthSimultaneous: bySetup(joint.halfWidths, others),
    pAdjusted: bySetup(joint.ps, others),
    smallestVisible: bySetup(joint.smallestVisible, others),
    drift: drift && { perHour: drift.value, standardUncertainty: drift.standardUncertainty },
    lapScatter: weightedMean(nodes, (node) => Math.sqrt(node.lapVariance)),
    runScatter: weightedMean(nodes, (node) => Math.sqrt(node.runVariance)),
    budget: budgetOf(
      model,
      nodes,
      constants,
      modelUncertaintyM2,
      others.length > 0 ? lapWeights(against(others[0])) : null,
      lapWeights(area(model.present[0])),
    ),
  };
}

/** A contrast's value over all nodes; `extra`: standard uncertainty that no lap can show. */
function mixtureEstimate(nodes: ScatterNode[], contrast: Float64Array, extra: number): Estimate {
  const means = nodes.map((node) => contrast.reduce((sum, c, a) => sum + c * node.beta[a], 0));
  const variances = nodes.map((node) => bilinear(node.covariance, contrast, contrast));
  let value = 0;
  let precision = 0;
  nodes.forEach((node, k) => {
    value += node.weight * means[k];
    precision += node.weight / variances[k];
  });
  const scale = Math.sqrt(1 / precision);
  const half = mixtureHalfWidth(
    nodes.map((node) => node.weight),
    means,
    variances,
    value,
  );
  return {
    value,
    standardUncertainty: Math.hypot(scale, extra),
    halfWidth95: Math.hypot(half, 1.959964 * extra),
    degreesOfFreedom: equivalentDegrees(half / scale),
  };
}

/** Correlation of the differences, from their covariance averaged over the nodes. */
function correlationOf(nodes: ScatterNode[], contrasts: Float64Array[]): number[][] {
  const covariance = contrasts.map((a) =>
    contrasts.map((b) => weightedMean(nodes, (node) => bilinear(node.covariance, a, b))),
  );
  return covariance.map((row, i) =>
    row.map((value, j) => {
      if (i === j) return 1;
      const r = value / Math.sqrt(covariance[i][i] * covariance[j][j]);
      return Math.max(-0.999, Math.min(0.999, r));
    }),
  );
}

/** All differences to control at once (Dunnett). */
function jointly(
  estimates: Estimate[],
  correlation: number[][],
): { ps: number[]; halfWidths: number[]; smallestVisible: number[] } {
  if (estimates.length === 0) return { ps: [], halfWidths: [], smallestVisible: [] };
  const df = Math.min(...estimates.map((e) => e.degreesOfFreedom));
  // Standard error such that the single interval is the one computed: half-width / t quantile.
  const single = tQuantile(0.975, df);
  const errors = estimates.map((e) => e.halfWidth95 / single);
  const ps = dunnettAdjustedP({ t: estimates.map((e, i) => e.value / errors[i]), correlation, df });
  const critical = dunnettCriticalValue({ correlation, df, level: 0.95 });
  const power = tQuantile(0.8, df);
  return {
    ps,
    halfWidths: errors.map((error) => critical * error),
    smallestVisible: errors.map((error) => (critical + power) * error),
  };
}

/** aᵀ M b. */
function bilinear(matrix: Float64Array, a: Float64Array, b: Float64Array): number {
  const p = a.length;
  let sum = 0;
  for (let i = 0; i < p; i++) {
    if (a[i] === 0) continue;
    for (let j = 0; j < p; j++) sum += a[i] * b[j] * matrix[i * p + j];
  }
  return sum;
}
