import { forcesAt } from './motion.ts';
import type { FilledConditions } from './conditions.ts';
import type { Course } from './course.ts';
import type { Machine } from './motion.ts';

/** How fast the rider still pedals, and from what speed on the brakes are used. */
export interface SpeedLimit {
  pedalMps: number;
  brakeMps: number;
}

export interface TurningInput {
  conditions: FilledConditions;
  course: Course;
  machine: Machine;
  halfRhoCda: number;
  /** Where the wind blows to, as the rider reckons it, m/s. */
  meanWind: { eastMps: number; northMps: number };
  turnBrakeMps2: number;
}

const free: SpeedLimit = { pedalMps: Infinity, brakeMps: Infinity };

/**
 * Speed limits along the lap that bring the rider to each turn at the speed aimed at: the coasting
 * curve reckoned backwards from the turn in the mean wind, or a braking curve.
 */
export function speedLimits(input: TurningInput): (wayM: number) => SpeedLimit {
  const { course, conditions, machine, meanWind } = input;
  if (course.turns.length === 0) return () => free;
  const { turnSpeedMps, turning } = conditions.course;
  const lapLength = course.lapLengthM;
  const cells = Math.ceil(lapLength);
  const pedal = new Float64Array(cells).fill(Infinity);
  const brake = new Float64Array(cells).fill(Infinity);
  const cell = (s: number): number =>
    Math.min(cells - 1, Math.floor(s - lapLength * Math.floor(s / lapLength)));

  for (const { fromM, toM } of course.turns) {
    for (let s = fromM; s < toM; s += 0.5) pedal[cell(s)] = turnSpeedMps + 0.2;
    if (fromM === 0) continue; // The second half of a turn that began before the gate.
    let square = turnSpeedMps ** 2;
    for (let s = fromM; s > fromM - 350; s--) {
      const v = Math.sqrt(square);
      const heading = course.headingRad(s - 0.5);
      const headwindMps = -(
        meanWind.eastMps * Math.sin(heading) +
        meanWind.northMps * Math.cos(heading)
      );
      const crosswindMps =
        meanWind.eastMps * Math.cos(heading) - meanWind.northMps * Math.sin(heading);
      const around = {
        halfRhoCda: input.halfRhoCda,
        slope: course.slope(s - 0.5),
        headwindMps,
        crosswindMps,
      };
      const f = forcesAt(v, machine, around);
      const coasting = (f.aeroN + f.rollingN + f.gradeN + f.bearingN) / machine.effectiveMassKg;
      const i = cell(s - 0.5);
      if (turning === 'brake') {
        square += 2 * input.turnBrakeMps2;
        brake[i] = Math.sqrt(square);
        // Pedalling stops a little before the brakes come on.
        pedal[i] = Math.max(turnSpeedMps, Math.sqrt(square) - 1);
      } else {
        square += 2 * Math.max(0.03, coasting);
        pedal[i] = Math.sqrt(square);
      }
    }
  }
  return (wayM) => {
    const i = cell(wayM);
    return { pedalMps: pedal[i], brakeMps: brake[i] };
  };
}
