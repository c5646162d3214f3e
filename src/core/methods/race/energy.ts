/** Where the energy of a ride went, summed apart from the way the ride was solved. */
import type { Bike, Rider } from './model.ts';
import type { RaceEnergy } from './result.ts';
import { driveN, free, limited, resistance, type Tape } from './ride.ts';
import type { Road } from './road.ts';

/**
 * The balance of one ride, J. Forces are taken at both ends of each small step (the ride itself took them at its
 * mean speed), so what does not close shows the error of the steps.
 */
export function energyOf(
  road: Road,
  bike: Bike,
  rider: Rider,
  powerW: Float64Array,
  tape: Tape,
): RaceEnergy {
  const effective = bike.massKg + bike.wheelInertiaKgM2 / bike.wheelRadiusM ** 2;
  let [road_, aero, rolling, bearing, gravity, brakes, onFoot] = [0, 0, 0, 0, 0, 0, 0];
  for (let k = 0; k < tape.count; k++) {
    const step = tape.step[k];
    const ds = tape.lengthM[k];
    const [v0, v1] = [tape.fromMps[k], tape.toMps[k]];
    const a = resistance(road, bike, rider, step, v0);
    const b = resistance(road, bike, rider, step, v1);
    const mean = (x: keyof typeof a): number => 0.5 * ds * (a[x] + b[x]);
    aero += mean('aeroN');
    rolling += mean('rollingN');
    bearing += mean('bearingN');
    gravity += mean('gravityN');
    if (tape.mode[k] === free) {
      road_ += 0.5 * ds * (driveN(rider, powerW[step], v0) + driveN(rider, powerW[step], v1));
      continue;
    }
    const needed =
      0.5 * effective * (v1 * v1 - v0 * v0) +
      mean('aeroN') +
      mean('rollingN') +
      mean('bearingN') +
      mean('gravityN');
    if (tape.mode[k] === limited) {
      if (needed > 0) road_ += needed;
      else brakes -= needed;
    } else onFoot += needed;
  }
  const first = tape.fromMps[0];
  const last = tape.toMps[tape.count - 1];
  const kinetic = 0.5 * effective * (last * last - first * first);
  const spent = aero + rolling + bearing + brakes + Math.max(0, gravity) + Math.max(0, kinetic);
  const left = road_ + onFoot - aero - rolling - bearing - brakes - gravity - kinetic;
  return {
    pedalledJ: road_ / rider.drivetrainEfficiency,
    drivetrainJ: road_ / rider.drivetrainEfficiency - road_,
    aeroJ: aero,
    rollingJ: rolling,
    bearingJ: bearing,
    heightJ: gravity,
    speedJ: kinetic,
    brakesJ: brakes,
    onFootJ: onFoot,
    closurePercent: spent > 0 ? (100 * left) / spent : 0,
  };
}

/** Metered power of each step as it was ridden, W: less than planned where a corner or a wall held back. */
export function riddenPower(
  road: Road,
  bike: Bike,
  rider: Rider,
  powerW: Float64Array,
  tape: Tape,
): Float64Array {
  const effective = bike.massKg + bike.wheelInertiaKgM2 / bike.wheelRadiusM ** 2;
  const work = new Float64Array(road.steps);
  const time = new Float64Array(road.steps);
  for (let k = 0; k < tape.count; k++) {
    const step = tape.step[k];
    const ds = tape.lengthM[k];
    const [v0, v1] = [tape.fromMps[k], tape.toMps[k]];
    const v = 0.5 * (v0 + v1);
    time[step] += ds / v;
    if (tape.mode[k] === free) {
      work[step] += (ds * driveN(rider, powerW[step], v)) / rider.drivetrainEfficiency;
    } else if (tape.mode[k] === limited) {
      const r = resistance(road, bike, rider, step, v);
      const needed =
        0.5 * effective * (v1 * v1 - v0 * v0) +
        ds * (r.aeroN + r.rollingN + r.bearingN + r.gravityN);
      work[step] += Math.max(0, needed) / rider.drivetrainEfficiency;
    }
  }
  return work.map((joules, i) => joules / time[i]);
}
