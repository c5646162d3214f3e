import type { Balance, BalanceRow } from './balance.ts';
import { BorderedSystem, type BorderedFactor } from './bordered.ts';
import type { Course } from './course.ts';
import { EnergyRows } from './energy-rows.ts';
import { airWorkBy } from './model.ts';
import { heightAt, layOut, type CrossMode, type Layout } from './wind-layout.ts';
import { startLevels, WindPrior, type Levels } from './wind-prior.ts';

export interface WindFitInput {
  balance: Balance;
  course: Course;
  measuredAir: boolean;
  measuredYaw: boolean;
  efficiency: number;
  /** Start and end of each run in day time, s: wind knots are laid there only. */
  runSpans: { fromS: number; toS: number }[];
  /** How long gusts last, s. Default 30. */
  gustTimeS?: number;
  /** Start from an earlier fit of the same day. */
  start?: WindFit;
}

/** Change of each lap's drag area for one unit of a constant. */
export interface Sensitivities {
  crr: Float64Array;
  massKg: Float64Array;
  efficiency: Float64Array;
  meanSquareM2PerS2: Float64Array;
}

export interface WindFit {
  /** Drag area of each lap, m²; NaN for laps without rows. */
  cdaM2: Float64Array;
  /** Covariance of the laps' drag areas, m⁴, row by row. */
  covariance: Float64Array;
  sensitivity: Sensitivities;
  cross: CrossMode;
  /** Mean square of the slow wind where the crosswind follows from it, m²/s²; NaN otherwise. */
  meanSquareM2PerS2: number;
  airspeedScale: number;
  airspeedScaleVariance: number;
  knotsS: Float64Array;
  /** Wind at the knots: the way it comes from, east and north, m/s. */
  windEast: Float64Array;
  windNorth: Float64Array;
  /** Correction of the height table at the gates, m. */
  heightCorrectionM: Float64Array;
  levels: Levels;
  /** Laplace approximation of the log evidence, up to a constant. */
  logEvidence: number;
  /** Standardised residual of each energy row. */
  residualZ: Float64Array;
  /** Mean airspeed along the bike of each row, and mean crosswind magnitude, m/s. */
  rowAirspeed: Float64Array;
  rowCrosswind: Float64Array;
  unknowns: Float64Array;
  converged: boolean;
}

/** Airspeed sensors are trusted to this relative standard uncertainty before calibration in place. */
const airspeedScalePrior = 0.15;
/** Height difference between gates before the day is looked at, without an altimeter, m. */
const blindHeightPriorM = 25;
/** Any drag area of a rider lies well within this of 0.25 m²: a prior that only keeps sums finite. */
const areaPrior = { mean: 0.25, sd: 2 };
/** A lap's crosswind square: spread at first sight and from lap to lap, shares of the mean square. */
const crossSpread = { first: 1, step: 0.03 };
/** Mean square of the slow wind to start from: a light breeze. */
const firstMeanSquareM2PerS2 = 4;
const mostSteps = 30;
/** Settled when no lap moves by more than this, m², and no level by more than that share. */
const settled = { areaM2: 3e-5, level: 0.06 };

/**
 * Fits all laps of a day at once: a drag area for each lap, the wind as a vector that wanders with
 * time, the road's height at the gates, the airspeed sensor's scale. Damped Gauss-Newton steps on
 * robust residuals; between steps the noise and wind levels are learnt.
 */
export function fitWind(input: WindFitInput): WindFit {
  const layout = layOut(input);
  const levels: Levels = input.start
    ? { ...input.start.levels }
    : startLevels(layout, input.gustTimeS ?? 30);
  const energy = new EnergyRows({
    balance: input.balance,
    course: input.course,
    layout,
    levels,
    efficiency: input.efficiency,
    // NaN where the earlier fit had no such wind.
    meanSquare: input.start?.meanSquareM2PerS2 || firstMeanSquareM2PerS2,
  });
  const prior = new WindPrior(layout, levels);
  const system = new BorderedSystem(
    layout.windCount,
    Math.max(3, energy.bandWidth),
    layout.total - layout.windCount,
  );
  const x = startValues(input, layout);
  const others = otherPriors(input.course, layout, energy);

  const evaluate = (freshVariance: boolean): number =>
    energy.evaluate(x, freshVariance) + prior.objective(x) + others.objective(x);
  const assemble = (): void => {
    system.clear();
    energy.addTo(system, x);
    prior.addTo(system, x);
    others.addTo(system, x);
  };

  prior.turnTo(x);
  let damping = 1e-4;
  let objective = evaluate(true);
  let converged = false;
  for (let iteration = 0; iteration < mostSteps && !converged; iteration++) {
    assemble();
    const before = x.slice();
    let moved = Infinity;
    let factor: BorderedFactor | null = null;
    for (let attempt = 0; attempt < 10; attempt++) {
      factor = system.factorise(damping);
      const step = factor.solve();
      for (let i = 0; i < layout.total; i++) x[i] = before[i] + step[i];
      const trial = evaluate(false);
      if (trial <= objective + 1e-7 * Math.abs(objective)) {
        moved = 0;
        for (let l = layout.firstLap; l < layout.firstHeight; l++) {
          moved = Math.max(moved, Math.abs(step[l]));
        }
        damping = Math.max(1e-8, damping / 10);
        break;
      }
      x.set(before);
      damping = Math.max(1e-5, damping * 10);
    }
    if (moved === Infinity) {
      // No step lowers the objective any more: at the bottom, to rounding.
      evaluate(false);
      converged = true;
      break;
    }
    if (damping > 1e-6) {
      assemble();
      factor = system.factorise(0);
    }
    const old = { ...levels };
    energy.learn(factor!);
    if (layout.hasWind) prior.learn(x, factor!);
    prior.turnTo(x);
    if (iteration < 6) energy.learnCrosswind(x);
    const changed = Math.max(
      Math.abs(Math.log(levels.gustM2PerS / old.gustM2PerS)),
      Math.abs(Math.log(levels.gustVarianceM2PerS2 / old.gustVarianceM2PerS2)),
      Math.abs(Math.log(levels.energyFactor / old.energyFactor)),
      0.3 * Math.abs(Math.log(levels.wanderM2PerS3 / old.wanderM2PerS3)),
    );
    objective = evaluate(true);
    converged = moved < settled.areaM2 && changed < settled.level;
  }
  assemble();
  const factor = system.factorise(0);
  const sensitivity = sensitivities(input, layout, energy, system, factor);
  return {
    ...lapAreas(input, layout, x, factor),
    sensitivity,
    cross: layout.cross,
    meanSquareM2PerS2: layout.cross === 'fixed' ? energy.meanSquare : NaN,
    airspeedScale: layout.measuredAir ? x[layout.scaleAt] : NaN,
    airspeedScaleVariance: layout.measuredAir
      ? factor.covariance(layout.scaleAt, layout.scaleAt)
      : NaN,
    knotsS: Float64Array.from(layout.knotsS),
    windEast: Float64Array.from(layout.knotsS, (_, k) => x[2 * k]),
    windNorth: Float64Array.from(layout.knotsS, (_, k) => x[2 * k + 1]),
    heightCorrectionM: Float64Array.from({ length: layout.gateCount }, (_, g) => {
      const i = heightAt(layout, g);
      return i >= 0 ? x[i] : 0;
    }),
    levels,
    logEvidence: -0.5 * (objective + factor.logDeterminant),
    residualZ: energy.residual.map((value, r) => value / Math.sqrt(energy.variance[r])),
    rowAirspeed: energy.meanAirspeed,
    rowCrosswind: energy.meanCrosswind,
    unknowns: x,
    converged,
  };
}

/** First guess: a usual drag area, a sensor that reads true, wind as the legs differ. */
function startValues(input: WindFitInput, layout: Layout): Float64Array {
  const x = new Float64Array(layout.total);
  if (input.start?.unknowns.length === layout.total) {
    x.set(input.start.unknowns);
    return x;
  }
  x.fill(areaPrior.mean, layout.firstLap, layout.firstHeight);
  if (layout.cross === 'lap') {
    x.fill(firstMeanSquareM2PerS2, layout.firstCross, layout.firstCross + layout.lapCount);
  }
  if (layout.measuredAir) x[layout.scaleAt] = 1;
  if (layout.cross === 'vector') {
    // Away from zero, where the crosswind's pull on the drag is flat.
    for (let k = 0; k < layout.knotsS.length; k++) x[2 * k] = x[2 * k + 1] = 0.7;
    for (let j = 0; j < layout.meanKnotsS.length; j++) {
      x[layout.firstMean + 2 * j] = x[layout.firstMean + 2 * j + 1] = 0.7;
    }
  }
  return x;
}

/** Priors that are not the wind's: heights, drag areas, sensor scale, crosswind squares of laps. */
function otherPriors(
  course: Course,
  layout: Layout,
  energy: EnergyRows,
): {
  objective: (x: Float64Array) => number;
  addTo: (system: BorderedSystem, x: Float64Array) => void;
} {
  const heightSd = course.hasHeight ? Math.max(0.3, course.heightUncertaintyM) : blindHeightPriorM;
  const index = new Int32Array(2);
  const value = new Float64Array(2);
  const each = (
    x: Float64Array,
    visit: (count: number, residual: number, sd: number) => void,
  ): void => {
    const one = (i: number, target: number, sd: number): void => {
      index[0] = i;
      value[0] = 1;
      visit(1, target - x[i], sd);
    };
    for (let l = layout.firstLap; l < layout.firstHeight; l++) {
      one(l, areaPrior.mean, areaPrior.sd);
    }
    for (let g = layout.firstHeight; g < layout.firstCross; g++) one(g, 0, heightSd);
    if (layout.cross === 'lap') {
      for (let l = 0; l < layout.lapCount; l++) {
        const i = layout.firstCross + l;
        if (l === 0) {
          one(i, energy.meanSquare, crossSpread.first * energy.meanSquare);
          continue;
        }
        index[0] = i;
        index[1] = i - 1;
        value[0] = 1;
        value[1] = -1;
        visit(2, x[i - 1] - x[i], crossSpread.step * energy.meanSquare);
      }
    }
    if (layout.measuredAir) one(layout.scaleAt, 1, airspeedScalePrior);
  };
  return {
    objective(x) {
      let sum = 0;
      each(x, (_count, residual, sd) => (sum += (residual / sd) ** 2));
      return sum;
    },
    addTo(system, x) {
      each(x, (count, residual, sd) => system.add(index, value, count, 1 / sd ** 2, residual));
    },
  };
}

function lapAreas(
  input: WindFitInput,
  layout: Layout,
  x: Float64Array,
  factor: BorderedFactor,
): { cdaM2: Float64Array; covariance: Float64Array } {
  const { lapCount, firstLap } = layout;
  const ridden = new Uint8Array(lapCount);
  for (const row of input.balance.rows) ridden[row.lap] = 1;
  const covariance = new Float64Array(lapCount * lapCount);
  for (let a = 0; a < lapCount; a++) {
    for (let b = 0; b < lapCount; b++) {
      covariance[a * lapCount + b] = factor.covariance(firstLap + a, firstLap + b);
    }
  }
  const cdaM2 = Float64Array.from({ length: lapCount }, (_, l) =>
    ridden[l] ? x[firstLap + l] : NaN,
  );
  return { cdaM2, covariance };
}

/** How the laps' drag areas follow the constants, by the same linear solution. */
function sensitivities(
  input: WindFitInput,
  layout: Layout,
  energy: EnergyRows,
  system: BorderedSystem,
  factor: BorderedFactor,
): Sensitivities {
  const { rows } = input.balance;
  const to = (byUnit: (row: BalanceRow, r: number) => number): Float64Array => {
    system.rightBand.fill(0);
    system.rightBorder.fill(0);
    energy.addShift(system, (r) => byUnit(rows[r], r));
    return factor.solve().slice(layout.firstLap, layout.firstHeight);
  };
  return {
    crr: to(airWorkBy.crr),
    massKg: to(airWorkBy.massKg),
    efficiency: to(airWorkBy.efficiency),
    meanSquareM2PerS2: to((_row, r) => -energy.byMeanSquare[r]),
  };
}
