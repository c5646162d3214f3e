/** How far along the road each sample lies. */
import type { Recording } from '../evidence/index.ts';
import { LapbenchError, type Problem } from '../units/index.ts';
import { PlaneMap } from './plane.ts';

export interface Along {
  /** Sample numbers that are used, in order; the distance rises from each to the next. */
  samples: Int32Array;
  /** Of those samples, m from the first of them. */
  distanceM: Float64Array;
  /** Whether the distance was measured along the slope (wheel, device) or on the map. */
  measured: 'along the road' | 'on the map';
  warnings: Problem[];
}

/** Positions closer together than this are the receiver's unrest, not a ride, m. */
const leastMoveM = 3;
const leastOdometerMoveM = 2;
/** A course shorter than this has no slope worth the name, m. */
export const leastCourseM = 50;
/** Share of samples that must have a value for a channel to serve. */
const leastShare = 0.9;

/**
 * Distance along the course: the recorded distance, else positions, else speed over time.
 *
 * @throws LapbenchError `recording-too-short` or `channel-missing`
 */
export function alongOf(recording: Recording): Along {
  const { file, timeS, channels } = recording;
  if (timeS.length < 2) {
    throw new LapbenchError({
      code: 'recording-too-short',
      file,
      message: `The file has ${timeS.length === 1 ? 'one point' : 'no points'}: that is a place, not a course.`,
      remedy: 'Give a recording or route of the whole course.',
    });
  }
  const { distanceM, latDeg, lonDeg, speedMps } = channels;
  const warnings: Problem[] = [];
  let along: Along | null = null;
  if (distanceM && shareOf(distanceM) >= leastShare && range(distanceM) >= leastCourseM) {
    along = rising(distanceM, leastOdometerMoveM, warnings);
  } else if (latDeg && lonDeg && shareOf(latDeg) > 0) {
    along = byPositions(latDeg, lonDeg, warnings);
  } else if (speedMps && shareOf(speedMps) >= leastShare) {
    along = rising(bySpeed(timeS, speedMps), leastOdometerMoveM, warnings);
  }
  if (along === null) {
    throw new LapbenchError({
      code: 'channel-missing',
      file,
      message: 'The file has neither distance nor positions nor speed, so its road has no length.',
      remedy:
        'Give a recording with positions, or write the course out: lengthM and gradientPercent.',
    });
  }
  const lengthM = along.distanceM.at(-1) ?? 0;
  if (along.samples.length < 3 || lengthM < leastCourseM) {
    throw new LapbenchError({
      code: 'recording-too-short',
      file,
      message: `The course is ${Number(lengthM.toPrecision(2))} m long, with ${along.samples.length} ${along.samples.length === 1 ? 'point' : 'points'} that differ.`,
      remedy: `Give a recording of at least ${leastCourseM} m.`,
    });
  }
  return along;
}

const shareOf = (values: Float64Array): number => {
  let count = 0;
  for (const value of values) if (Number.isFinite(value)) count += 1;
  return count / values.length;
};

function range(values: Float64Array): number {
  let [low, high] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return high - low;
}

function bySpeed(timeS: Float64Array, speedMps: Float64Array): Float64Array {
  const distance = new Float64Array(timeS.length);
  let last = 0;
  for (let i = 1; i < timeS.length; i++) {
    const here = Number.isFinite(speedMps[i]) ? speedMps[i] : last;
    // A break in the recording is not ridden through at the speed before it.
    const gap = timeS[i] - timeS[i - 1];
    distance[i] = distance[i - 1] + (gap > 15 ? 0 : 0.5 * (here + last) * gap);
    last = here;
  }
  return distance;
}

/** Keeps samples whose distance rises; a distance that jumps back is not a road. */
function rising(distance: Float64Array, least: number, warnings: Problem[]): Along {
  const samples: number[] = [];
  const kept: number[] = [];
  let back = 0;
  let zero = 0;
  for (let i = 0; i < distance.length; i++) {
    const here = distance[i];
    if (!Number.isFinite(here)) continue;
    if (kept.length === 0) zero = here;
    const value = here - zero;
    if (kept.length > 0 && value < kept[kept.length - 1] - 5) back += 1;
    if (kept.length > 0 && value < kept[kept.length - 1] + least) continue;
    samples.push(i);
    kept.push(value);
  }
  if (back > 0) {
    warnings.push({
      code: 'value-invalid',
      message: `The recorded distance goes back at ${back} ${back === 1 ? 'sample' : 'samples'}, which are left out.`,
      remedy: 'Check the length of the course against a map.',
    });
  }
  return {
    samples: Int32Array.from(samples),
    distanceM: Float64Array.from(kept),
    measured: 'along the road',
    warnings,
  };
}

function byPositions(latDeg: Float64Array, lonDeg: Float64Array, warnings: Problem[]): Along {
  const samples: number[] = [];
  const kept: number[] = [];
  let map: PlaneMap | null = null;
  let [east, north] = [0, 0];
  for (let i = 0; i < latDeg.length; i++) {
    if (!Number.isFinite(latDeg[i]) || !Number.isFinite(lonDeg[i])) continue;
    map ??= new PlaneMap(latDeg[i], lonDeg[i]);
    const [x, y] = map.place(latDeg[i], lonDeg[i]);
    if (kept.length === 0) {
      samples.push(i);
      kept.push(0);
    } else {
      const moved = Math.hypot(x - east, y - north);
      if (moved < leastMoveM) continue;
      samples.push(i);
      kept.push(kept[kept.length - 1] + moved);
    }
    [east, north] = [x, y];
  }
  return {
    samples: Int32Array.from(samples),
    distanceM: Float64Array.from(kept),
    measured: 'on the map',
    warnings,
  };
}
