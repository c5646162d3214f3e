import {
  generalisedLeastSquares,
  NotPositiveDefiniteError,
  type GeneralisedFit,
} from '../../statistics/index.ts';
import type { Components, LapModel } from './lap-model.ts';

/** Values tried for each variance component, relative to the drag area, with prior weights. */
const lapGrid = [0.0005, 0.001, 0.002, 0.003, 0.0045, 0.007, 0.011, 0.018, 0.03, 0.05];
const runGrid = [0, 0.0007, 0.0015, 0.003, 0.005, 0.008, 0.013, 0.022];
const driftGrid = [0, 0.003, 0.008];
const windGrid = [0.6, 1, 1.7];

/**
 * Prior of the lap scatter: flat in its logarithm, falling off beyond what riders hold. Of the run
 * scatter: flat in its logarithm above a knee of 0.04 %, up to 2.5 %; published field work on a track
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

/** One point of the grid: its share of belief and the fit at it. */
export interface ScatterNode extends Components {
  weight: number;
  beta: Float64Array;
  /** Covariance of beta. */
  covariance: Float64Array;
}

/** Fits the model at every point of the grid that has a say, weighted by restricted likelihood and prior. */
export function scatterNodes(model: LapModel): ScatterNode[] {
  const { n, size, withDrift } = model;
  const nodes: ScatterNode[] = [];
  const logWeights: number[] = [];
  const sigma = new Float64Array(n * n);
  for (const windFactor of model.measurementMatters() ? windGrid : [1]) {
    for (const driftShare of withDrift ? driftGrid : [0]) {
      for (const [runAt, runShare] of runGrid.entries()) {
        for (const lapShare of lapGrid) {
          const components: Components = {
            lapVariance: (lapShare * size) ** 2,
            runVariance: (runShare * size) ** 2,
            driftVariance: (driftShare * size) ** 2,
            windFactor,
          };
          const fit = fitAt(model, components, sigma);
          if (!fit) continue;
          logWeights.push(
            fit.restrictedLogLikelihood +
              Math.log(lapPrior(lapShare)) +
              Math.log(runPrior(runShare) * runWidths[runAt]) +
              Math.log(driftPrior(driftShare)) +
              Math.log(windPrior(windFactor)),
          );
          nodes.push({
            ...components,
            weight: 0,
            beta: fit.coefficients,
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
  return nodes.filter((node) => node.weight > 1e-7);
}

function fitAt(
  model: LapModel,
  components: Components,
  sigma: Float64Array,
): GeneralisedFit | null {
  try {
    return generalisedLeastSquares(model.y, model.x, model.p, model.covariance(components, sigma));
  } catch (error) {
    // Laps so alike in their errors that a small scatter cannot tell them apart: no say at this point.
    if (error instanceof NotPositiveDefiniteError) return null;
    throw error;
  }
}

/** The node believed most. */
export const mostLikely = (nodes: ScatterNode[]): ScatterNode =>
  nodes.reduce((a, b) => (b.weight > a.weight ? b : a));

export const weightedMean = (nodes: ScatterNode[], of: (node: ScatterNode) => number): number =>
  nodes.reduce((sum, node) => sum + node.weight * of(node), 0);
