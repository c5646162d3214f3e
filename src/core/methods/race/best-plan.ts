/**
 * The power plan of least time: power even on each of some hundred stretches, between two bounds, with a power
 * mean of the whole ride held: (∫ Pᵖ dt / T)^(1/p), p = 1 or 4. Steps down the exact slopes of `adjoint.ts` along
 * the held mean (sequential quadratic programming with a diagonal, adapting Hessian), each brought back onto it.
 */
import { slopesOf } from './adjoint.ts';
import { riddenPower } from './energy.ts';
import type { Bike, Rider } from './model.ts';
import { newTape, rideRoad, type Tape } from './ride.ts';
import type { Road } from './road.ts';

export interface PlanTask {
  road: Road;
  bike: Bike;
  rider: Rider;
  /** By step: where the plan begins, and what its mean is. */
  startW: Float64Array;
  exponent: 1 | 4;
  leastW: number;
  mostW: number;
  /** Number of stretches, of equal length. */
  stretches: number;
}

export interface BestPlan {
  /** By step and by stretch. */
  powerW: Float64Array;
  stretchW: Float64Array;
  timeS: number;
  heldW: number;
  rounds: number;
}

interface Tried {
  stretchW: Float64Array;
  powerW: Float64Array;
  riddenW: Float64Array;
  timeS: number;
  heldW: number;
}

const mostRounds = 150;
/** Rounds without a gain above this share of the time end the search. */
const leastGain = 2e-7;
const patience = 8;

/** The best plan found; its power mean equals that of the start within a millionth. */
export function bestPlan(task: PlanTask): BestPlan {
  const { road, exponent } = task;
  const tape = newTape(road.steps);
  const of = stretchOf(task);
  const heldW = heldBy(task, task.startW, tape).heldW;
  let best = ontoMean(task, meansOf(task.startW, of, task.stretches), heldW, of, tape);
  // Curvature of the mean itself, W⁻¹ s a stretch; grows when a step goes too far.
  let stiffness = 1;
  let idle = 0;
  let rounds = 0;
  let slopes = slopesByStretch(task, best, of, tape);
  while (rounds < mostRounds && idle < patience) {
    rounds += 1;
    const wished = stepDown(task, best, slopes, stiffness);
    const tried = ontoMean(task, wished, heldW, of, tape);
    const held = Math.abs(tried.heldW / heldW - 1) < 1e-6;
    if (held && tried.timeS < best.timeS) {
      idle = best.timeS - tried.timeS < leastGain * best.timeS ? idle + 1 : 0;
      best = tried;
      stiffness = Math.max(stiffness / 2.5, 1e-6);
      slopes = slopesByStretch(task, best, of, tape);
    } else {
      stiffness *= 4;
      if (stiffness > 1e9) break;
    }
  }
  const { stretchW, powerW, timeS } = best;
  return { powerW, stretchW, timeS, heldW: exponent === 1 ? best.heldW : best.heldW, rounds };
}

function stretchOf({ road, stretches }: PlanTask): Int32Array {
  return Int32Array.from({ length: road.steps }, (_, i) =>
    Math.min(stretches - 1, Math.floor((i * stretches) / road.steps)),
  );
}

function meansOf(powerW: Float64Array, of: Int32Array, stretches: number): Float64Array {
  const sum = new Float64Array(stretches);
  const count = new Float64Array(stretches);
  of.forEach((j, i) => {
    sum[j] += powerW[i];
    count[j] += 1;
  });
  return sum.map((value, j) => value / count[j]);
}

/** Rides a plan: time, and the power mean of what was ridden. */
function heldBy({ road, bike, rider, exponent }: PlanTask, powerW: Float64Array, tape: Tape) {
  const elapsedS = new Float64Array(road.steps + 1);
  const timeS = rideRoad(road, bike, rider, powerW, undefined, elapsedS, tape);
  const riddenW =
    road.limitMps || hasMode(tape) ? riddenPower(road, bike, rider, powerW, tape) : powerW;
  let moment = 0;
  for (let i = 0; i < road.steps; i++) {
    moment += Math.max(0, riddenW[i]) ** exponent * (elapsedS[i + 1] - elapsedS[i]);
  }
  return { timeS, riddenW, heldW: (moment / timeS) ** (1 / exponent) };
}

function hasMode({ mode, count }: Tape): boolean {
  for (let k = 0; k < count; k++) if (mode[k] !== 0) return true;
  return false;
}

/** Shifts a plan up or down, within its bounds, until its mean is the held one. */
function ontoMean(
  task: PlanTask,
  wished: Float64Array,
  heldW: number,
  of: Int32Array,
  tape: Tape,
): Tried {
  const clip = (w: number): number => Math.min(task.mostW, Math.max(task.leastW, w));
  const at = (shift: number): Tried => {
    const stretchW = wished.map((w) => clip(w + shift));
    const powerW = Float64Array.from(of, (j) => stretchW[j]);
    return { stretchW, powerW, ...heldBy(task, powerW, tape) };
  };
  let x0 = 0;
  let here = at(x0);
  let x1 = heldW - here.heldW;
  if (Math.abs(x1) < 1e-9 * heldW) return here;
  let next = at(x1);
  for (let turn = 0; turn < 8 && Math.abs(next.heldW / heldW - 1) > 1e-8; turn++) {
    const rise = (next.heldW - here.heldW) / (x1 - x0);
    if (!(Math.abs(rise) > 1e-9)) break;
    const x2 = x1 + (heldW - next.heldW) / rise;
    [x0, here] = [x1, next];
    x1 = x2;
    next = at(x1);
  }
  return next;
}

interface StretchSlopes {
  time: Float64Array;
  held: Float64Array;
  seconds: Float64Array;
}

function slopesByStretch(task: PlanTask, at: Tried, of: Int32Array, tape: Tape): StretchSlopes {
  const { road, bike, rider, exponent, stretches } = task;
  const elapsedS = new Float64Array(road.steps + 1);
  rideRoad(road, bike, rider, at.powerW, undefined, elapsedS, tape);
  const found = slopesOf(road, bike, rider, at.powerW, at.riddenW, tape, exponent);
  const time = new Float64Array(stretches);
  const held = new Float64Array(stretches);
  const seconds = new Float64Array(stretches);
  const mean = found.moment / found.timeS;
  for (let i = 0; i < road.steps; i++) {
    const j = of[i];
    time[j] += found.timePerW[i];
    // d(C/T) = (dC − (C/T)·dT)/T, times T.
    held[j] += found.momentPerW[i] - mean * found.timePerW[i];
    seconds[j] += elapsedS[i + 1] - elapsedS[i];
  }
  return { time, held, seconds };
}

/** min gᵀd + ½·k·dᵀWd with the mean held to first order and the bounds kept; W is each stretch's own time. */
function stepDown(
  task: PlanTask,
  { stretchW }: Tried,
  slopes: StretchSlopes,
  k: number,
): Float64Array {
  const { leastW, mostW } = task;
  const { time, held, seconds } = slopes;
  const scale = k * 1e-4;
  const at = (multiplier: number): Float64Array =>
    stretchW.map((w, j) => {
      const d = -(time[j] + multiplier * held[j]) / (scale * seconds[j]);
      return Math.min(mostW, Math.max(leastW, w + d));
    });
  const change = (multiplier: number): number => {
    const moved = at(multiplier);
    return moved.reduce((sum, w, j) => sum + held[j] * (w - stretchW[j]), 0);
  };
  // The change falls as the multiplier grows; double outwards, then halve.
  const usual =
    Math.abs(time.reduce((a, b) => a + b, 0) / held.reduce((a, b) => a + b, 0)) || 1e-12;
  let [low, high] = [-usual, 4 * usual];
  for (let turn = 0; turn < 60 && change(low) < 0; turn++) low -= high - low;
  for (let turn = 0; turn < 60 && change(high) > 0; turn++) high += high - low;
  for (let turn = 0; turn < 80; turn++) {
    const middle = 0.5 * (low + high);
    if (change(middle) > 0) low = middle;
    else high = middle;
  }
  return at(0.5 * (low + high));
}
