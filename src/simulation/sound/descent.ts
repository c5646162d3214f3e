import { standardGravityMps2 } from '../../core/units/index.ts';
import { wander } from '../random.ts';
import type { RandomStream } from '../random.ts';
import type { NoiseConditions } from './conditions.ts';

/** The ride by steps of time; index 0 lies `leadS` before the sound begins. */
export interface Descent {
  stepS: number;
  /** Time of the sound, s, of index 0: negative. */
  fromS: number;
  speedMps: Float64Array;
  /** On the hub of the wheel that is listened to. */
  brakeTorqueNm: Float64Array;
  /** Turns of the wheel since index 0. */
  turns: Float64Array;
  pedalling: Uint8Array;
  /** Brakings as [first, past last] indices. */
  brakings: [number, number][];
}

const riseS = 0.35;

/**
 * A rider rolls down a road and brakes when it gets too fast: dv/dt from gravity, rolling resistance, drag
 * and both brakes, midpoint of each step. Every braking has a torque of its own, builds up in a third of a
 * second and wanders.
 */
export function rideDown(conditions: NoiseConditions, random: RandomStream): Descent {
  const { descent, ride, durationS, wheel } = conditions;
  const stepS = 0.01;
  const n = Math.ceil((durationS + ride.leadS + ride.tailS) / stepS) + 1;
  const speedMps = new Float64Array(n);
  const brakeTorqueNm = new Float64Array(n);
  const turns = new Float64Array(n);
  const pedalling = new Uint8Array(n);
  const brakings: [number, number][] = [];
  const slope = wander(random, descent.gradientWander, 15);
  const hand = wander(random, descent.torqueWander, 1);
  const airKgM3 = 1.2;

  let torque = 0;
  let aim = 0;
  let since = -1;
  // Where drag alone would hold the rider: braking must begin below it, or it never does.
  const freeMps = Math.sqrt(
    (2 * descent.massKg * standardGravityMps2 * Math.max(0.01, descent.gradient - 0.005)) /
      (airKgM3 * descent.dragAreaM2),
  );
  const fastest = Math.max(descent.slowMps + 1, Math.min(descent.fastMps, 0.85 * freeMps));
  let v = (descent.slowMps + fastest) / 2;
  let fast = fastest;
  let slow = descent.slowMps;
  for (let i = 0; i < n; i++) {
    const gradient = descent.gradient + slope.step(stepS);
    if (since < 0 && v > fast) {
      aim = descent.torqueNm * Math.exp(descent.torqueSpread * random.normal());
      slow = descent.slowMps * (0.85 + 0.3 * random.uniform());
      since = i;
    } else if (since >= 0 && (v < slow || (i - since) * stepS > 12)) {
      brakings.push([since, i]);
      fast = Math.max(slow + 1, fastest * (0.85 + 0.25 * random.uniform()));
      since = -1;
    }
    const wanted = since >= 0 ? Math.max(0, aim * (1 + hand.step(stepS))) : 0;
    torque += ((wanted - torque) * stepS) / (riseS / 3);
    if (since < 0 && torque < 0.05) torque = 0;
    const brakesN = torque / wheel.tyreRadiusM / descent.brakeShare;
    // Too gentle a slope to roll: the rider pedals, and the chain is heard.
    pedalling[i] = since < 0 && v < descent.slowMps * 0.8 ? 1 : 0;
    const pedalN = pedalling[i] ? 180 / Math.max(2, v) : 0;
    const rate = (speed: number): number =>
      standardGravityMps2 * (gradient - 0.005) -
      (0.5 * airKgM3 * descent.dragAreaM2 * speed * speed + brakesN - pedalN) / descent.massKg;
    speedMps[i] = v;
    brakeTorqueNm[i] = torque;
    turns[i] = i === 0 ? 0 : turns[i - 1] + (v * stepS) / (2 * Math.PI * wheel.tyreRadiusM);
    v = Math.max(1.5, v + stepS * rate(v + (stepS / 2) * rate(v)));
  }
  if (since >= 0) brakings.push([since, n]);
  return { stepS, fromS: -ride.leadS, speedMps, brakeTorqueNm, turns, pedalling, brakings };
}
