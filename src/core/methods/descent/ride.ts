/** What the brakes took on a ride that was recorded: what height and speed gave and nothing else took. */
import type { DescentRide } from '../../evidence/index.ts';
import { rollingPowerW, aeroPowerW } from '../../physics/index.ts';
import { standardGravityMps2 } from '../../units/index.ts';
import { longestStepS, StepList, type BrakingSteps, type RoadForces } from './braking.ts';

/** Longer gaps in the recording are waits of which nothing is known but the clock, s. */
const gapS = 15;

/**
 * Steps between the samples of a ride. Speed and sink must be smooth already: noise that is cut at zero from below
 * only would be taken for braking.
 */
export function rideSteps(ride: DescentRide, forces: RoadForces): BrakingSteps {
  const list = new StepList();
  const { timeS, speedMps, sinkMps, powerW } = ride;
  for (let i = 1; i < timeS.length; i++) {
    const whole = timeS[i] - timeS[i - 1];
    const waiting = whole > gapS;
    const [from, to] = [speedMps[i - 1], speedMps[i]];
    const parts = Math.ceil(whole / longestStepS);
    const dtS = whole / parts;
    for (let part = 0; part < parts; part++) {
      if (waiting) {
        list.add(dtS, 0, { heightW: 0, otherW: 0, airW: 0, rollingW: 0 }, false);
        continue;
      }
      const at = (x: number): number => from + ((to - from) * x) / parts;
      const v = at(part + 0.5);
      const sink = (sinkMps[i - 1] + sinkMps[i]) / 2;
      const pedalled = powerW ? (powerW[i - 1] + powerW[i]) / 2 : 0;
      list.add(
        dtS,
        v,
        {
          heightW: forces.massKg * standardGravityMps2 * sink,
          otherW: (0.5 * forces.massKg * (at(part) ** 2 - at(part + 1) ** 2)) / dtS + pedalled,
          airW: aeroPowerW(forces.airDensityKgM3, forces.cdaM2, v, v),
          rollingW: rollingPowerW(forces.crr, forces.massKg, 0, v),
        },
        true,
      );
    }
  }
  return list.done();
}
