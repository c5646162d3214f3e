/** The uncertain drawn together for all setups, so that what they share cancels in their differences. */
import { rootOf } from './covariance.ts';
import type { RaceEvidence } from './evidence.ts';
import type { Bike } from './model.ts';
import { rideRoad, type Shift } from './ride.ts';
import type { Road } from './road.ts';

/** Numbers that look random and are the same every time: a 32-bit generator of Weyl type, and Box–Muller pairs. */
export function normals(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
    return (((z ^ (z >>> 16)) >>> 0) + 0.5) / 4294967296;
  };
  let kept: number | null = null;
  return () => {
    if (kept !== null) {
      const value = kept;
      kept = null;
      return value;
    }
    const radius = Math.sqrt(-2 * Math.log(uniform()));
    const angle = 2 * Math.PI * uniform();
    kept = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}

/**
 * Times of every setup in every draw, s: one column a setup. `planW`: a second plan of power, ridden by the setup
 * `planned` under the same draws as one more column.
 */
export function drawTimes(
  evidence: RaceEvidence,
  road: Road,
  bikes: readonly Bike[],
  powerW: Float64Array,
  planW: Float64Array | null,
  planned: number,
): Float64Array[] {
  const { draws, doubt, rider, setups } = evidence;
  const k = bikes.length;
  const root = rootOf(evidence.cdaCovariance, k);
  const normal = normals(20250517);
  const out = bikes.map(() => new Float64Array(draws));
  if (planW) out.push(new Float64Array(draws));
  const heights = road.altitudeSdM.some((sd) => sd > 0) ? new Float64Array(road.steps) : null;
  const z = new Float64Array(k);
  const ownCrr = new Float64Array(k);
  const shared = new Float64Array(6);
  const shift: Shift = {
    density: 1,
    power: 1,
    crr: 0,
    windEastMps: 0,
    windNorthMps: 0,
    headMps: 0,
    sine: heights,
  };
  const directed = road.east.some((value) => value !== 0) || road.north.some((v) => v !== 0);
  for (let draw = 0; draw < draws; draw++) {
    // Every second draw is the mirror of the one before: the middle is then met exactly to first order.
    const mirror = draw % 2 === 1;
    const next = (values: Float64Array): void => {
      for (let i = 0; i < values.length; i++) values[i] = mirror ? -values[i] : normal();
    };
    next(z);
    next(ownCrr);
    next(shared);
    shift.density = Math.max(0.5, 1 + doubt.airDensity * shared[0]);
    shift.power = Math.max(0.1, 1 + doubt.power * shared[1]);
    if (directed) {
      shift.windEastMps = doubt.windMps * shared[2];
      shift.windNorthMps = doubt.windMps * shared[3];
    } else shift.headMps = doubt.windMps * shared[2];
    if (heights) {
      if (mirror) for (let i = 0; i < heights.length; i++) heights[i] = -heights[i];
      else drawSlopes(road, heights, normal);
    }
    for (let i = 0; i < k; i++) {
      let cda = bikes[i].cdaM2;
      for (let j = 0; j <= i; j++) cda += root[i * k + j] * z[j];
      const change = cda - bikes[i].cdaM2;
      const { yaw } = bikes[i];
      const bike: Bike = {
        ...bikes[i],
        massKg: bikes[i].massKg + doubt.massKg * shared[4],
        cdaM2: Math.max(0.01, cda),
        yaw: yaw && { ...yaw, cdaM2: yaw.cdaM2.map((value) => value + change) },
      };
      shift.crr = doubt.crr * shared[5] + setups[i].crrOffsetStandardUncertainty * ownCrr[i];
      out[i][draw] = rideRoad(road, bike, rider, powerW, shift);
      if (planW && i === planned) out[k][draw] = rideRoad(road, bike, rider, planW, shift);
    }
  }
  return out;
}

/** Slopes of one drawn error of the heights: straight between nodes that err apart. */
function drawSlopes(road: Road, slopes: Float64Array, normal: () => number): void {
  const each = Math.max(1, Math.round(road.heightLengthM / road.stepM));
  let before = road.altitudeSdM[0] * normal();
  for (let from = 0; from < road.steps; from += each) {
    const to = Math.min(road.steps, from + each);
    const after = road.altitudeSdM[to] * normal();
    slopes.fill((after - before) / ((to - from) * road.stepM), from, to);
    before = after;
  }
}

/** 2.5 % and 97.5 % of the values, moved by `by`. */
export function interval95(values: Float64Array, by: number): [number, number] {
  const sorted = Float64Array.from(values).sort();
  const at = (share: number): number => {
    const place = share * (sorted.length - 1);
    const i = Math.min(sorted.length - 2, Math.floor(place));
    return sorted[i] + (place - i) * (sorted[i + 1] - sorted[i]);
  };
  return [at(0.025) + by, at(0.975) + by];
}
