/** From the sheet's plan to steps for the brakes. */
import type { Descent, DescentLeg, DescentPlan, DescentRide } from '../../evidence/index.ts';
import { LapbenchError, mpsToKmh, type Problem } from '../../units/index.ts';
import { dragSteps, type BrakingSteps, type Rest, type RoadForces } from './braking.ts';
import { PulseTooLong, pulseSteps } from './pulse.ts';
import { rideSteps } from './ride.ts';

export interface PlannedRide {
  steps: BrakingSteps;
  /** Out of the motion over the whole, J. */
  motionJ: number;
  fastestMps: number;
  /** Greatest deceleration by the brakes, as a share of gravity; null where it is not known. */
  hardestShare: number | null;
  words: string;
}

/** Where the descent goes: a road to be ridden by a plan, or a ride that was ridden. */
export interface Way {
  legs: readonly DescentLeg[];
  ride: DescentRide | null;
}

/** Steps of a plan; rests are stops on the way of a drag. */
export function planRide(
  plan: DescentPlan,
  way: Way,
  forces: RoadForces,
  rests: readonly Rest[] = [],
): PlannedRide {
  if (plan.kind === 'ride') return asRidden(way, forces);
  const kmh = Number(mpsToKmh(plan.speedMps).toFixed(1));
  if (plan.kind === 'drag') {
    return {
      steps: dragSteps(way.legs, plan.speedMps, forces, rests),
      motionJ: 0,
      fastestMps: plan.speedMps,
      hardestShare: null,
      words: `dragging at ${kmh} km/h`,
    };
  }
  try {
    const { steps, startMps, endMps, fastestMps, hardestShare } = pulseSteps(
      way.legs,
      plan,
      forces,
    );
    return {
      steps,
      motionJ: 0.5 * forces.massKg * (startMps * startMps - endMps * endMps),
      fastestMps,
      hardestShare,
      words: `pulsing, ${plan.onS} s on and ${plan.offS} s off, at ${kmh} km/h on the mean`,
    };
  } catch (error) {
    if (!(error instanceof PulseTooLong)) throw error;
    throw new LapbenchError({
      code: 'sheet-field',
      place: { field: 'speed.offSeconds' },
      message: `With the brakes off for ${plan.offS} s on ${(100 * error.fall).toFixed(0)} % the ride gains more than ${kmh} km/h on the mean allows, even from a standstill.`,
      remedy: 'Shorten offSeconds, or lengthen onSeconds.',
    });
  }
}

function asRidden({ ride }: Way, forces: RoadForces): PlannedRide {
  if (ride === null) throw new RangeError('a ride plan without a ride');
  const { speedMps } = ride;
  const last = speedMps.length - 1;
  let fastestMps = 0;
  for (let i = 0; i <= last; i++) fastestMps = Math.max(fastestMps, speedMps[i]);
  return {
    steps: rideSteps(ride, forces),
    motionJ: 0.5 * forces.massKg * (speedMps[0] ** 2 - speedMps[last] ** 2),
    fastestMps,
    hardestShare: null,
    words: 'as recorded',
  };
}

/** Pulses that are tried beside a drag, longest first, s. */
const pulsesS = [4, 3, 2, 1];

/** The plan of the other kind at the same mean speed; null where no pulse keeps it, or on a ride. */
export function otherPlan(plan: DescentPlan, way: Way, forces: RoadForces): DescentPlan | null {
  if (plan.kind === 'ride') return null;
  if (plan.kind === 'pulse') return { kind: 'drag', speedMps: plan.speedMps };
  for (const seconds of pulsesS) {
    const pulse = { kind: 'pulse', speedMps: plan.speedMps, onS: seconds, offS: seconds } as const;
    try {
      // Harder than this, a bicycle tips over its front wheel or slides.
      if ((planRide(pulse, way, forces).hardestShare ?? 0) < hardestBraking) return pulse;
    } catch (error) {
      if (!(error instanceof LapbenchError)) throw error;
    }
  }
  return null;
}

/** Share of gravity beyond which braking tips a bicycle over or slides it (common practice, no source). */
export const hardestBraking = 0.6;

/** What a person should know of the plan. */
export function planRemarks(planned: PlannedRide, sheet: Descent, brakedJ: number): Problem[] {
  const warnings: Problem[] = [];
  if (planned.hardestShare !== null && planned.hardestShare > hardestBraking) {
    warnings.push({
      code: 'value-invalid',
      place: { field: 'speed.onSeconds' },
      message: `These pulses ask for braking of ${planned.hardestShare.toFixed(1)} times gravity; about ${hardestBraking} tips a bicycle over its front wheel or slides it (common practice, no source).`,
      remedy: 'Brake longer and let go for less long.',
    });
  }
  if (brakedJ === 0 && sheet.plan.kind !== 'ride') {
    warnings.push({
      code: 'value-invalid',
      place: { field: 'speed.kmh' },
      message: 'The road does not drive the ride to this speed: nothing is left for the brakes.',
      remedy: 'Check the speed and the gradient.',
    });
  }
  return warnings;
}
