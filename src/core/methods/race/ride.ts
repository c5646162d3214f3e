/** Riding the road forwards, step by step. */
import { standardGravityMps2 } from '../../units/index.ts';
import { dragN, type Bike, type Place, type Rider } from './model.ts';
import type { Road } from './road.ts';

/** How a step was ridden. */
export const free = 0;
/** Held back by a corner's limit: pedalling less, or braking. */
export const limited = 1;
export const walking = 2;

/** Every small step as it was solved, for derivatives and energy; columns by small step. */
export interface Tape {
  count: number;
  step: Int32Array;
  lengthM: Float64Array;
  fromMps: Float64Array;
  toMps: Float64Array;
  mode: Uint8Array;
}

/** What one draw of the uncertain changes on the road. */
export interface Shift {
  /** Factors on density and power. */
  density: number;
  power: number;
  crr: number;
  windEastMps: number;
  windNorthMps: number;
  headMps: number;
  /** Added to each step's sine; null: nothing. */
  sine: Float64Array | null;
}

const unshifted: Shift = {
  density: 1,
  power: 1,
  crr: 0,
  windEastMps: 0,
  windNorthMps: 0,
  headMps: 0,
  sine: null,
};

/** Speed may change by this share within one small step while it is low, times √(step/1 m). */
const finest = 0.003;
const mostParts = 256;

/**
 * Time to ride the road, s.
 *
 * @param powerW metered power planned for each step
 * @param elapsedS filled with the time at each point (steps + 1), where given
 * @param tape filled with every small step, where given
 */
export function rideRoad(
  road: Road,
  bike: Bike,
  rider: Rider,
  powerW: Float64Array,
  shift: Shift = unshifted,
  elapsedS: Float64Array | null = null,
  tape: Tape | null = null,
): number {
  const { steps, stepM, sine, cosine, crr, halfDensity, east, north, limitMps } = road;
  const { drivetrainEfficiency, walkBelowMps: walk, bearingLosses } = rider;
  const effective = bike.massKg + bike.wheelInertiaKgM2 / bike.wheelRadiusM ** 2;
  const weight = bike.massKg * standardGravityMps2;
  const fine = effective * finest * Math.sqrt(stepM);
  const b0 = bearingLosses ? 0.091 : 0;
  const b1 = bearingLosses ? 0.0087 : 0;
  const plain = bike.yaw === null;
  const windEast = road.windEastMps + shift.windEastMps;
  const windNorth = road.windNorthMps + shift.windNorthMps;
  const headEverywhere = road.headMps + shift.headMps;
  const crrShift = bike.crrOffset + shift.crr;
  const place: Place = { halfDensity: 0, headMps: 0, crossMps: 0 };
  let v = limitMps ? Math.min(rider.startSpeedMps, limitMps[0]) : rider.startSpeedMps;
  let trend = 0;
  let timeS = 0;
  if (tape) tape.count = 0;
  if (elapsedS) elapsedS[0] = 0;
  for (let i = 0; i < steps; i++) {
    const slope = shift.sine ? sine[i] + shift.sine[i] : sine[i];
    const steady = weight * (slope + (crr[i] + crrShift) * cosine[i]) + b0;
    const drive = drivetrainEfficiency * shift.power * powerW[i];
    const density = halfDensity[i] * shift.density;
    const head = headEverywhere - windEast * east[i] - windNorth * north[i];
    const area = density * bike.cdaM2;
    if (!plain) {
      place.halfDensity = density;
      place.headMps = head;
      place.crossMps = windEast * north[i] - windNorth * east[i];
    }
    let parts = 1;
    if (v * v < 40 * stepM) {
      const drag = plain ? area * (v + head) * Math.abs(v + head) : dragN(bike, v, place);
      const push = drive / Math.max(v, walk) - steady - b1 * v - drag;
      const change = (Math.abs(push) * stepM) / (fine * Math.max(v * v, 0.01));
      parts = Math.min(mostParts, Math.max(1, Math.ceil(change)));
    }
    const ds = stepM / parts;
    const inertia = (2 * effective) / ds;
    for (let part = 1; part <= parts; part++) {
      // Newton on the mean speed of the small step; the force balance rises with it.
      let mean = Math.max(v + 0.5 * trend, 0.05, 0.51 * v);
      for (let turn = 0; turn < 40; turn++) {
        const along = mean + head;
        let drag: number;
        let dragSlope: number;
        if (plain) {
          drag = area * along * Math.abs(along);
          dragSlope = 2 * area * Math.abs(along);
        } else {
          drag = dragN(bike, mean, place);
          dragSlope = (dragN(bike, mean + 1e-4, place) - drag) / 1e-4;
        }
        const fast = mean > walk;
        const force = fast ? drive / mean : drive / walk;
        const balance = inertia * (mean - v) * mean - force + steady + b1 * mean + drag;
        let rise = inertia * (2 * mean - v) + (fast ? force / mean : 0) + b1 + dragSlope;
        if (!(rise > 0)) rise = inertia * Math.max(mean, 0.05);
        let next = mean - balance / rise;
        if (!(next > 0.3 * mean)) next = 0.3 * mean;
        const done = Math.abs(next - mean) <= 1e-11 * mean;
        mean = next;
        // Already slower than any ridden speed: the rest is decided below.
        if (done || mean < 1e-3) break;
      }
      let to = 2 * mean - v;
      let mode = free;
      // Slower than is ridden, and not gathering speed (or no speed at all balances): off the bike.
      if (mean < 1e-3 || (to < walk && to <= v + 1e-9)) {
        to = walk;
        mode = walking;
      }
      if (limitMps) {
        const [a, b] = [limitMps[i], limitMps[i + 1]];
        const most =
          a === Infinity || b === Infinity
            ? b
            : Math.sqrt(a * a + ((b * b - a * a) * part) / parts);
        if (to > most) {
          to = most;
          mode = mode === walking ? walking : limited;
        }
      }
      timeS += (2 * ds) / (v + to);
      if (tape) write(tape, i, ds, v, to, mode);
      trend = to - v;
      v = to;
    }
    if (elapsedS) elapsedS[i + 1] = timeS;
    // The next step's first guess goes on as this step ended.
    if (parts > 1) trend *= 0.5;
  }
  return timeS;
}

export function newTape(steps: number): Tape {
  const size = steps + 4096;
  return {
    count: 0,
    step: new Int32Array(size),
    lengthM: new Float64Array(size),
    fromMps: new Float64Array(size),
    toMps: new Float64Array(size),
    mode: new Uint8Array(size),
  };
}

function write(tape: Tape, step: number, ds: number, from: number, to: number, mode: number): void {
  if (tape.count === tape.step.length) grow(tape);
  const k = tape.count;
  tape.step[k] = step;
  tape.lengthM[k] = ds;
  tape.fromMps[k] = from;
  tape.toMps[k] = to;
  tape.mode[k] = mode;
  tape.count = k + 1;
}

function grow(tape: Tape): void {
  const wider = newTape(2 * tape.count);
  wider.step.set(tape.step);
  wider.lengthM.set(tape.lengthM);
  wider.fromMps.set(tape.fromMps);
  wider.toMps.set(tape.toMps);
  wider.mode.set(tape.mode);
  Object.assign(tape, { ...wider, count: tape.count });
}

/** Drive force on the road, N, at a speed. */
export const driveN = (rider: Rider, powerW: number, v: number): number =>
  (rider.drivetrainEfficiency * powerW) / Math.max(v, rider.walkBelowMps);

/** All that resists at a speed on one step, N, by part. */
export function resistance(road: Road, bike: Bike, rider: Rider, step: number, v: number) {
  const weight = bike.massKg * standardGravityMps2;
  const place: Place = {
    halfDensity: road.halfDensity[step],
    headMps:
      road.headMps - road.windEastMps * road.east[step] - road.windNorthMps * road.north[step],
    crossMps: road.windEastMps * road.north[step] - road.windNorthMps * road.east[step],
  };
  return {
    gravityN: weight * road.sine[step],
    rollingN: weight * (road.crr[step] + bike.crrOffset) * road.cosine[step],
    aeroN: dragN(bike, v, place),
    bearingN: rider.bearingLosses ? 0.091 + 0.0087 * v : 0,
  };
}
