/**
 * Pulsing at the mean speed of a drag: brakes off for a while, the ride gains speed; brakes on for a while, it
 * is brought back evenly to where it began. The speed at which a cycle begins is the one at which its mean is
 * the speed asked for.
 */
import type { DescentLeg } from '../../evidence/index.ts';
import { standardGravityMps2 } from '../../units/index.ts';
import { roadPowers, StepList, type BrakingSteps, type RoadForces } from './braking.ts';

export interface Pulse {
  speedMps: number;
  onS: number;
  offS: number;
}

export interface PulseRide {
  steps: BrakingSteps;
  startMps: number;
  endMps: number;
  fastestMps: number;
  /** Greatest deceleration by the brakes alone, as a share of standard gravity. */
  hardestShare: number;
  lengthM: number;
}

/** Slope on which the pulses asked for do not keep the mean speed: they gain too much. */
export class PulseTooLong extends Error {
  readonly fall: number;
  constructor(fall: number) {
    super('brakes off for too long');
    this.fall = fall;
  }
}

/** Rolling freely, m/s². */
function freely(forces: RoadForces, speedMps: number, fall: number): number {
  // At a standstill power says nothing of force.
  const v = Math.max(speedMps, 1e-6);
  const { heightW, airW, rollingW } = roadPowers(forces, v, fall);
  return (heightW - airW - rollingW) / (v * forces.massKg);
}

/** Speed after a while of rolling freely, and the way, by Runge–Kutta. */
function roll(
  forces: RoadForces,
  fall: number,
  from: number,
  dtS: number,
): { speedMps: number; wayM: number } {
  const a = freely(forces, from, fall);
  const b = freely(forces, from + 0.5 * dtS * a, fall);
  const c = freely(forces, from + 0.5 * dtS * b, fall);
  const d = freely(forces, from + dtS * c, fall);
  const speedMps = Math.max(0, from + (dtS / 6) * (a + 2 * b + 2 * c + d));
  return { speedMps, wayM: (from + (dtS / 6) * (a + b + c)) * dtS };
}

const fineS = 0.25;

function rollFor(forces: RoadForces, fall: number, from: number, seconds: number) {
  const steps = Math.ceil(seconds / fineS);
  let [speedMps, wayM] = [from, 0];
  for (let i = 0; i < steps; i++) {
    const next = roll(forces, fall, speedMps, seconds / steps);
    speedMps = next.speedMps;
    wayM += next.wayM;
  }
  return { speedMps, wayM };
}

/**
 * Speed at which a cycle begins and ends on an even slope.
 *
 * @throws PulseTooLong when even from a standstill the mean would be above the speed asked for
 */
export function cycleStart(forces: RoadForces, fall: number, pulse: Pulse): number {
  const mean = (start: number): number => {
    const { speedMps, wayM } = rollFor(forces, fall, start, pulse.offS);
    return (wayM + 0.5 * (speedMps + start) * pulse.onS) / (pulse.onS + pulse.offS);
  };
  if (mean(0) > pulse.speedMps) throw new PulseTooLong(fall);
  let [low, high] = [0, pulse.speedMps];
  // On a slope that does not drive, the speed is held by pedalling.
  if (mean(high) <= pulse.speedMps) return high;
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (mean(middle) < pulse.speedMps) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The whole way in pulses. */
export function pulseSteps(
  legs: readonly DescentLeg[],
  pulse: Pulse,
  forces: RoadForces,
): PulseRide {
  const list = new StepList();
  const lengthM = legs.reduce((sum, leg) => sum + leg.lengthM, 0);
  const ends = endsOf(legs);
  let leg = 0;
  let doneM = 0;
  const fallHere = (): number => {
    while (leg < legs.length - 1 && doneM >= ends[leg]) leg += 1;
    return legs[leg].gradient;
  };
  const starts = new Map<number, number>();
  const startFor = (fall: number): number => {
    const known = starts.get(fall) ?? cycleStart(forces, fall, pulse);
    starts.set(fall, known);
    return known;
  };
  const startMps = startFor(fallHere());
  let [speed, fastest, hardest] = [startMps, startMps, 0];
  const go = (dtS: number, next: number, wayM: number, fall: number, braking: boolean): void => {
    const middle = wayM / dtS;
    const { heightW, airW, rollingW } = roadPowers(forces, middle, fall);
    const otherW = (0.5 * forces.massKg * (speed * speed - next * next)) / dtS;
    const left = heightW + otherW - airW - rollingW;
    if (braking && left > 0 && middle > 0.5)
      hardest = Math.max(hardest, left / middle / (forces.massKg * standardGravityMps2));
    list.add(dtS, middle, { heightW, otherW, airW, rollingW }, braking);
    doneM += wayM;
    speed = next;
    fastest = Math.max(fastest, speed);
  };
  while (doneM < lengthM) {
    const offSteps = Math.ceil(pulse.offS / 0.5);
    for (let i = 0; i < offSteps && doneM < lengthM; i++) {
      const fall = fallHere();
      const dtS = pulse.offS / offSteps;
      let { speedMps, wayM } = roll(forces, fall, speed, dtS);
      // Uphill and on the flat it is pedalled at the speed asked for.
      if (speedMps < speed && speedMps < pulse.speedMps) {
        speedMps = Math.min(speed, pulse.speedMps);
        wayM = 0.5 * (speed + speedMps) * dtS;
      }
      go(dtS, speedMps, wayM, fall, false);
    }
    const back = Math.min(speed, startFor(fallHere()));
    const onSteps = Math.ceil(pulse.onS / 0.5);
    const slower = (speed - back) / onSteps;
    for (let i = 0; i < onSteps && doneM < lengthM; i++) {
      const dtS = pulse.onS / onSteps;
      const next = speed - slower;
      go(dtS, next, 0.5 * (speed + next) * dtS, fallHere(), true);
    }
  }
  return {
    steps: list.done(),
    startMps,
    endMps: speed,
    fastestMps: fastest,
    hardestShare: hardest,
    lengthM: doneM,
  };
}

function endsOf(legs: readonly DescentLeg[]): number[] {
  let sum = 0;
  return legs.map((leg) => (sum += leg.lengthM));
}
