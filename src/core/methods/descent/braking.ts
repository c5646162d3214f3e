/** From road and plan to what the brakes must take, step by step: the energy that the ride leaves over. */
import type { DescentLeg } from '../../evidence/index.ts';
import { aeroPowerW, gradientPowerW, rollingPowerW } from '../../physics/index.ts';
import type { Guess } from './spread.ts';

/** The same for every plan. */
export interface RoadForces {
  massKg: number;
  cdaM2: number;
  crr: number;
  airDensityKgM3: number;
}

/** What drives and holds the bicycle in each step, W, means over the step. */
export interface BrakingSteps {
  dtS: Float64Array;
  speedMps: Float64Array;
  /** Of the road's fall. */
  heightW: Float64Array;
  /** Taken out of the motion (above zero: it slows), and pedalled where that was recorded. */
  otherW: Float64Array;
  airW: Float64Array;
  rollingW: Float64Array;
  /** 0: the brakes are off whatever is left over. */
  braking: Uint8Array;
}

/** Sums over a descent with the sheet's own numbers, J. */
export interface RoadEnergy {
  heightJ: number;
  /** Of speed: at the start less at the end. */
  motionJ: number;
  pedalledJ: number;
  airJ: number;
  rollingJ: number;
  brakedJ: number;
}

/** Steps as they are found, one after the other. */
export class StepList {
  private readonly rows: number[][] = [];

  add(dtS: number, speedMps: number, powers: Omit<StepPowers, 'braking'>, braking: boolean): void {
    if (dtS <= 0) return;
    const { heightW, otherW, airW, rollingW } = powers;
    this.rows.push([dtS, speedMps, heightW, otherW, airW, rollingW, braking ? 1 : 0]);
  }

  done(): BrakingSteps {
    const column = (at: number): Float64Array => Float64Array.from(this.rows, (row) => row[at]);
    return {
      dtS: column(0),
      speedMps: column(1),
      heightW: column(2),
      otherW: column(3),
      airW: column(4),
      rollingW: column(5),
      braking: Uint8Array.from(this.rows, (row) => row[6]),
    };
  }
}

interface StepPowers {
  heightW: number;
  otherW: number;
  airW: number;
  rollingW: number;
  braking: boolean;
}

/** Road powers at a steady speed, W. */
export function roadPowers(
  { massKg, cdaM2, crr, airDensityKgM3 }: RoadForces,
  speedMps: number,
  fall: number,
): { heightW: number; airW: number; rollingW: number } {
  return {
    heightW: gradientPowerW(massKg, fall, speedMps),
    airW: aeroPowerW(airDensityKgM3, cdaM2, speedMps, speedMps),
    rollingW: rollingPowerW(crr, massKg, fall, speedMps),
  };
}

/** Step that keeps the pads' fastest time constant resolved, s. */
export const longestStepS = 1.5;

/** A stop on the way. */
export interface Rest {
  afterM: number;
  seconds: number;
}

/**
 * Dragging: the speed is held, the brakes take what is left over. Where the road gives too little it is
 * pedalled. A rest begins with a stop, which the brakes take too.
 */
export function dragSteps(
  legs: readonly DescentLeg[],
  speedMps: number,
  forces: RoadForces,
  rests: readonly Rest[] = [],
): BrakingSteps {
  const list = new StepList();
  const lengthM = legs.reduce((sum, leg) => sum + leg.lengthM, 0);
  const wanted = Math.min(longestStepS, Math.max(0.5, lengthM / speedMps / 250));
  const waiting = [...rests].sort((a, b) => a.afterM - b.afterM);
  let doneM = 0;
  for (const leg of legs) {
    const powers = { ...roadPowers(forces, speedMps, leg.gradient), otherW: 0 };
    let leftM = leg.lengthM;
    while (leftM > 0) {
      const next = waiting[0];
      const untilM = next ? Math.min(leftM, Math.max(0, next.afterM - doneM)) : leftM;
      const steps = Math.ceil(untilM / speedMps / wanted);
      for (let i = 0; i < steps; i++) list.add(untilM / speedMps / steps, speedMps, powers, true);
      doneM += untilM;
      leftM -= untilM;
      if (next && doneM >= next.afterM - 1e-9) {
        waiting.shift();
        stopAndWait(list, next.seconds, speedMps, forces.massKg);
      } else if (untilM === 0) break;
    }
  }
  return list.done();
}

/** Stops within 3 s, waits, and sets off again with the energy that the stop had taken. */
function stopAndWait(list: StepList, seconds: number, speedMps: number, massKg: number): void {
  const motionJ = 0.5 * massKg * speedMps * speedMps;
  const still = { heightW: 0, airW: 0, rollingW: 0 };
  for (let i = 0; i < 3; i++)
    list.add(1, speedMps * (1 - (i + 0.5) / 3), { ...still, otherW: motionJ / 3 }, true);
  const steps = Math.ceil(seconds / longestStepS);
  for (let i = 0; i < steps; i++) list.add(seconds / steps, 0, { ...still, otherW: 0 }, false);
}

/** Power at the brakes in each step under one guess, W. */
export function brakePower(steps: BrakingSteps, guess: Guess): Float64Array {
  const { heightW, otherW, airW, rollingW, braking } = steps;
  const powerW = new Float64Array(braking.length);
  for (let i = 0; i < powerW.length; i++) {
    if (braking[i] === 0) continue;
    const left =
      guess.heightFactor * heightW[i] +
      otherW[i] -
      guess.airFactor * airW[i] -
      guess.rollingFactor * rollingW[i];
    if (left > 0) powerW[i] = left;
  }
  return powerW;
}

/**
 * Where the height's energy went, with the numbers as given.
 *
 * @param heightJ From the fall of the road alone, not from the steps
 */
export function roadEnergy(
  steps: BrakingSteps,
  powerW: Float64Array,
  { heightJ, motionJ }: { heightJ: number; motionJ: number },
): RoadEnergy {
  let [pedalledJ, airJ, rollingJ, brakedJ] = [0, 0, 0, 0];
  steps.dtS.forEach((dtS, i) => {
    const left = steps.heightW[i] + steps.otherW[i] - steps.airW[i] - steps.rollingW[i];
    // What holds the speed where the road does not, and what sets off again.
    if (left < 0) pedalledJ -= left * dtS;
    airJ += steps.airW[i] * dtS;
    rollingJ += steps.rollingW[i] * dtS;
    brakedJ += powerW[i] * dtS;
  });
  return { heightJ, motionJ, pedalledJ, airJ, rollingJ, brakedJ };
}
