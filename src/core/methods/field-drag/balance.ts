import { bearingPowerW, effectiveMassKg } from '../../physics/index.ts';
import type { DayEvidence } from '../../evidence/index.ts';
import type { Course } from './course.ts';
import { roadPosition, type Leg } from './legs.ts';
import type { EnergyTerms } from './model.ts';
import type { RunSeries } from './series.ts';
import { StepStore, type Steps } from './steps.ts';
import { firstAt, lookup } from './tables.ts';

/**
 * The energy balance of one piece of road in one lap, between two crossings that are interpolated
 * between samples. The aerodynamic work is summed over `steps`, because it depends on unknowns.
 */
export interface BalanceRow extends EnergyTerms {
  run: number;
  lap: number;
  leg: number;
  /** Index of the cell between two gates. */
  cell: number;
  /** Road coordinates where the ride enters and leaves the piece. */
  entersM: number;
  leavesM: number;
  /** Middle of the piece along the lap, m. */
  positionM: number;
  /** Day time at the middle, and how long the piece took, s. */
  dayTimeS: number;
  durationS: number;
  /** Its steps in the flat arrays. */
  firstStep: number;
  stepCount: number;
}

export interface Balance {
  rows: BalanceRow[];
  steps: Steps;
}

/** Shortest piece worth a row: share of its cell's length. */
const shortestShare = 0.35;

/**
 * Cuts every leg at the gates and around what is left out, and balances the energy of each piece.
 *
 * `leftOut[run][i]` true means the step that ends at sample i must not be used.
 */
export function balanceRows(
  evidence: DayEvidence,
  runs: RunSeries[],
  course: Course,
  leftOut: Uint8Array[],
): Balance {
  const rows: BalanceRow[] = [];
  const steps = new StepStore(runs.reduce((sum, run) => sum + run.timeS.length + 400, 0));
  const speeds = runs.map(smoothSpeed);
  const bearings = runs.map((run) =>
    evidence.day.constants.bearingLosses ? cumulativeBearing(run) : null,
  );
  course.legs.forEach((leg, legIndex) => {
    const run = runs[leg.run];
    const out = leftOut[leg.run];
    const { pathM } = run;
    const cells = course.gatesM.length - 1;
    for (let k = 0; k < cells; k++) {
      const [a, b] = [course.gatesM[k], course.gatesM[k + 1]];
      const enter = pathAt(leg, leg.sense === 1 ? a : b);
      const leave = pathAt(leg, leg.sense === 1 ? b : a);
      const low = Math.max(enter, 0);
      const high = Math.min(leave, pathM[pathM.length - 1]);
      if (high - low < shortestShare * (leave - enter)) continue;
      // Pieces of the cell between what is left out.
      const firstSample = firstAt(pathM, low);
      let start = low;
      const pieces: [number, number][] = [];
      for (let i = Math.max(1, firstSample); i < pathM.length && pathM[i - 1] < high; i++) {
        if (!run.broken[i] && !out[i]) continue;
        if (pathM[i - 1] > start) pieces.push([start, pathM[i - 1]]);
        start = Math.max(start, pathM[i]);
      }
      if (high > start) pieces.push([start, high]);
      for (const [from, to] of pieces) {
        if (to - from < shortestShare * (leave - enter)) continue;
        const row = balanceOf(from, to, k, leg, legIndex);
        if (row) rows.push(row);
      }
    }

    function balanceOf(
      from: number,
      to: number,
      cell: number,
      ridden: Leg,
      index: number,
    ): BalanceRow | null {
      const x0 = indexAt(pathM, from);
      const x1 = indexAt(pathM, to);
      const t0 = at(run.timeS, x0);
      const t1 = at(run.timeS, x1);
      if (!(t1 - t0 > 1)) return null;
      const v0 = at(speeds[ridden.run], x0);
      const v1 = at(speeds[ridden.run], x1);
      const firstStep = steps.count;
      let previous = x0;
      let previousTime = t0;
      for (let i = Math.floor(x0) + 1; ; i++) {
        const x = Math.min(i, x1);
        const time = at(run.timeS, x);
        // Recordings faster than 1 Hz are taken in steps of about a second.
        if (x < x1 && time - previousTime < 0.9) continue;
        if (time > previousTime) addStep(previous, x, time - previousTime);
        previous = x;
        previousTime = time;
        if (x >= x1) break;
      }
      const entersM = roadPosition(ridden, from);
      const leavesM = roadPosition(ridden, to);
      const { system } = evidence.day;
      const massKg = system.massKg + run.setup.massOffsetKg;
      const lapPosition = (r: number) => (ridden.sense === 1 ? r : course.lapLengthM - r);
      return {
        run: ridden.run,
        lap: ridden.lap,
        leg: index,
        cell,
        entersM,
        leavesM,
        positionM: 0.5 * (lapPosition(entersM) + lapPosition(leavesM)),
        dayTimeS: run.dayOffsetS + 0.5 * (t0 + t1),
        durationS: t1 - t0,
        distanceM: to - from,
        workJ: at(run.workJ, x1) - at(run.workJ, x0),
        kineticPerKg: 0.5 * (v1 * v1 - v0 * v0),
        effectiveMassKg: effectiveMassKg(
          massKg,
          run.setup.wheelInertiaKgM2,
          run.setup.wheelRadiusM,
        ),
        massKg,
        crr: run.setup.crr ?? evidence.day.constants.crr,
        riseM:
          lookup(course.heightM, course.stepM, leavesM) -
          lookup(course.heightM, course.stepM, entersM),
        bearingJ: bearings[ridden.run]
          ? at(bearings[ridden.run]!, x1) - at(bearings[ridden.run]!, x0)
          : 0,
        firstStep,
        stepCount: steps.count - firstStep,
      };
    }

    function addStep(x0: number, x1: number, dt: number): void {
      const middle = (values: Float64Array) => 0.5 * (at(values, x0) + at(values, x1));
      const path = middle(pathM);
      const r = roadPosition(leg, path);
      const east = course.tangentEast ? leg.sense * lookup(course.tangentEast, course.stepM, r) : 0;
      const north = course.tangentNorth
        ? leg.sense * lookup(course.tangentNorth, course.stepM, r)
        : 0;
      const length = Math.hypot(east, north);
      steps.add(
        dt,
        (at(pathM, x1) - at(pathM, x0)) / dt,
        run.airspeedMps ? middle(run.airspeedMps) : NaN,
        run.yawDeg ? Math.tan((middle(run.yawDeg) * Math.PI) / 180) : NaN,
        middle(run.airDensityKgM3),
        length > 0 ? east / length : 0,
        length > 0 ? north / length : 0,
        run.dayOffsetS + middle(run.timeS),
      );
    }
  });
  rows.sort((p, q) => p.dayTimeS - q.dayTimeS);
  return { rows, steps: steps.finished() };
}

const pathAt = (leg: Leg, position: number): number =>
  (position - leg.offsetM) / (leg.sense * leg.scale);

/** Fractional index at which the path reaches a value. */
function indexAt(pathM: Float64Array, path: number): number {
  const i = firstAt(pathM, path);
  if (i <= 0) return 0;
  if (i >= pathM.length) return pathM.length - 1;
  const step = pathM[i] - pathM[i - 1];
  return step > 0 ? i - 1 + (path - pathM[i - 1]) / step : i;
}

/** Value at a fractional index. */
function at(values: Float64Array, x: number): number {
  const i = Math.floor(x);
  const share = x - i;
  return share === 0 ? values[i] : values[i] + share * (values[i + 1] - values[i]);
}

/** Speed with the noise of single samples taken out: a straight line through five, per sample. */
function smoothSpeed(run: RunSeries): Float64Array {
  const { speedMps, timeS, broken } = run;
  const out = speedMps.slice();
  for (let i = 2; i < out.length - 2; i++) {
    if (broken[i - 1] || broken[i] || broken[i + 1] || broken[i + 2]) continue;
    if (timeS[i + 2] - timeS[i - 2] > 8) continue;
    // Least-squares line at the middle of equally spaced points is their mean; a parabola keeps
    // hard accelerations honest (Savitzky and Golay 1964, five points, quadratic).
    out[i] =
      (-3 * speedMps[i - 2] +
        12 * speedMps[i - 1] +
        17 * speedMps[i] +
        12 * speedMps[i + 1] -
        3 * speedMps[i + 2]) /
      35;
  }
  return out;
}

function cumulativeBearing(run: RunSeries): Float64Array {
  const out = new Float64Array(run.timeS.length);
  for (let i = 1; i < out.length; i++) {
    const v = 0.5 * (run.speedMps[i] + run.speedMps[i - 1]);
    const step = run.broken[i] ? 0 : bearingPowerW(v) * (run.timeS[i] - run.timeS[i - 1]);
    out[i] = out[i - 1] + (Number.isFinite(step) ? step : 0);
  }
  return out;
}
