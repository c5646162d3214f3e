/**
 * How the time and the power's p-th moment answer to the power of each step: the small steps of a ride taken
 * backwards (discrete adjoint of the implicit midpoint rule in `model.ts`).
 */
import type { Bike, Rider } from './model.ts';
import { dragN } from './model.ts';
import { free, type Tape } from './ride.ts';
import type { Road } from './road.ts';

export interface Slopes {
  /** Time, s, and its derivative by the power of each step, s/W. */
  timeS: number;
  timePerW: Float64Array;
  /** ∫ Pᵖ dt of the metered power as ridden, and its derivative. */
  moment: number;
  momentPerW: Float64Array;
}

/** `riddenW`: metered power of each step as ridden, which counts where a corner held the rider back. */
export function slopesOf(
  road: Road,
  bike: Bike,
  rider: Rider,
  powerW: Float64Array,
  riddenW: Float64Array,
  tape: Tape,
  exponent: number,
): Slopes {
  const n = road.steps;
  const effective = bike.massKg + bike.wheelInertiaKgM2 / bike.wheelRadiusM ** 2;
  const eta = rider.drivetrainEfficiency;
  const timePerW = new Float64Array(n);
  const momentPerW = new Float64Array(n);
  const place = { halfDensity: 0, headMps: 0, crossMps: 0 };
  let timeS = 0;
  let moment = 0;
  // Derivatives by the speed at the end of the small step.
  let a = 0;
  let b = 0;
  for (let k = tape.count - 1; k >= 0; k--) {
    const step = tape.step[k];
    const ds = tape.lengthM[k];
    const v0 = tape.fromMps[k];
    const mean = 0.5 * (v0 + tape.toMps[k]);
    const dt = ds / mean;
    const ridden = tape.mode[k] === free;
    const power = ridden ? powerW[step] : Math.max(0, riddenW[step]);
    const weightOfMoment = power > 0 ? power ** exponent : 0;
    timeS += dt;
    moment += weightOfMoment * dt;
    const dtByMean = -dt / mean;
    if (!ridden) {
      // The end speed is given; only the time feels the start.
      a = 0.5 * dtByMean;
      b = 0.5 * weightOfMoment * dtByMean;
      continue;
    }
    place.halfDensity = road.halfDensity[step];
    const [east, north] = [road.east[step], road.north[step]];
    place.headMps = road.headMps - road.windEastMps * east - road.windNorthMps * north;
    place.crossMps = road.windEastMps * north - road.windNorthMps * east;
    const dragSlope = (dragN(bike, mean + 1e-4, place) - dragN(bike, mean - 1e-4, place)) / 2e-4;
    const fast = mean > rider.walkBelowMps;
    const force = (eta * powerW[step]) / Math.max(mean, rider.walkBelowMps);
    const byMean =
      (2 * effective * (2 * mean - v0)) / ds +
      (fast ? force / mean : 0) +
      (rider.bearingLosses ? 0.0087 : 0) +
      dragSlope;
    const meanByStart = (2 * effective * mean) / ds / byMean;
    const meanByPower = eta / Math.max(mean, rider.walkBelowMps) / byMean;
    const timeByMean = 2 * a + dtByMean;
    const momentByMean = 2 * b + weightOfMoment * dtByMean;
    timePerW[step] += timeByMean * meanByPower;
    momentPerW[step] +=
      momentByMean * meanByPower +
      (power > 0 ? exponent * power ** (exponent - 1) : exponent === 1 ? 1 : 0) * dt;
    a = -a + timeByMean * meanByStart;
    b = -b + momentByMean * meanByStart;
  }
  return { timeS, timePerW, moment, momentPerW };
}
