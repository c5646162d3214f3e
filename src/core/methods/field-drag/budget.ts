import type { LapModel } from './lap-model.ts';
import type { BudgetLine } from './result.ts';
import { weightedMean, type ScatterNode } from './scatter.ts';
import type { Sensitivities } from './wind-fit.ts';

/** Standard uncertainties of what is the same for all laps of the day. */
export interface ConstantUncertainties {
  crr: number;
  massKg: number;
  /** Of power and drivetrain together, relative to the efficiency. */
  efficiency: number;
  meanSquareM2PerS2: number;
  /** Of the model itself, relative to the drag area: absolute values only. */
  model: number;
}

/** A constant with its standard uncertainty, and how each lap's value follows it. */
export interface Constant {
  source: string;
  uncertainty: number;
  by: Float64Array;
}

/** The constants that carry doubt. */
export function constantsOf(
  uncertainty: ConstantUncertainties,
  sensitivity: Sensitivities,
): Constant[] {
  const { crr, massKg, efficiency, meanSquareM2PerS2 } = uncertainty;
  return [
    { source: 'rolling resistance', uncertainty: crr, by: sensitivity.crr },
    { source: 'mass', uncertainty: massKg, by: sensitivity.massKg },
    { source: 'power scale and drivetrain', uncertainty: efficiency, by: sensitivity.efficiency },
    {
      source: 'crosswind not seen',
      uncertainty: meanSquareM2PerS2,
      by: sensitivity.meanSquareM2PerS2,
    },
  ].filter((constant) => constant.uncertainty > 0);
}

/** Change of a sum of lap values, weights `lapWeights`, for one standard uncertainty of a constant. */
export const shiftBy = (lapWeights: Float64Array, constant: Constant): number =>
  constant.uncertainty * lapWeights.reduce((sum, w, i) => sum + w * constant.by[i], 0);

/** Where the interval comes from: one difference to control (null: none) and one absolute value, as weights on the laps. */
export function budgetOf(
  model: LapModel,
  nodes: ScatterNode[],
  constants: Constant[],
  modelUncertaintyM2: number,
  difference: Float64Array | null,
  absolute: Float64Array,
): BudgetLine[] {
  const { n } = model;
  const through = (w: Float64Array | null, of: (i: number, j: number) => number): number => {
    let sum = 0;
    if (w) for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) sum += w[i] * w[j] * of(i, j);
    return Math.sqrt(Math.max(0, sum));
  };
  const line = (
    source: string,
    component: (node: ScatterNode) => number,
    of: (i: number, j: number) => number,
  ): BudgetLine => {
    const factor = Math.sqrt(weightedMean(nodes, component));
    return {
      source,
      ofDifferenceM2: factor * through(difference, of),
      ofAbsoluteM2: factor * through(absolute, of),
    };
  };
  return [
    line(
      'laps (rider and traffic)',
      (node) => node.lapVariance,
      (i, j) => model.sameLap(i, j),
    ),
    line(
      'remounts (runs)',
      (node) => node.runVariance,
      (i, j) => model.sameRun(i, j),
    ),
    line(
      'sensors, wind and road',
      (node) => node.windFactor,
      (i, j) => model.measuredCovariance(i, j),
    ),
    line(
      'slow drift',
      (node) => node.driftVariance,
      (i, j) => model.sinceStartH(i, j),
    ),
    ...constants.map((constant) => ({
      source: constant.source,
      ofDifferenceM2: difference ? Math.abs(shiftBy(difference, constant)) : 0,
      ofAbsoluteM2: Math.abs(shiftBy(absolute, constant)),
    })),
    { source: 'the model itself', ofDifferenceM2: 0, ofAbsoluteM2: modelUncertaintyM2 },
  ];
}
