/** The road of a descent, or the ride that was ridden down it, out of a recording. */
import type { Course } from '../core/courses/index.ts';
import type { Descent, DescentLeg, DescentRide, Recording } from '../core/evidence/index.ts';
import type { DescentEvidence } from '../core/methods/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { ReadFile } from './edges.ts';
import { readCourse, type ReadCourse } from './read-course.ts';

export type DescentWay = Pick<
  DescentEvidence,
  'legs' | 'ride' | 'heightDeviation' | 'warnings' | 'inputs'
>;

/** Step of the road that brakes are worked out on, m. */
const stepM = 10;
/** No altimeter is trusted further than this, as a share of the height lost (common practice, no source). */
const leastDeviation = 0.02;
/** Half the time over which the speed of a ride is averaged, s. */
const averageS = 2;
/** Share of pedalled power that reaches the wheel, as elsewhere (common practice, no source). */
const drivetrainEfficiency = 0.975;

/** Reads what the sheet names; a slope written in the sheet is taken at its word. */
export function descentWay(descent: Descent, readFile: ReadFile): DescentWay {
  const { course, plan } = descent;
  if (plan.kind === 'ride') return fromRide(plan.file, readFile);
  if (course?.kind === 'slope') {
    return {
      legs: [{ lengthM: course.lengthM, gradient: course.gradient }],
      ride: null,
      heightDeviation: 0,
      warnings: [],
      inputs: [],
    };
  }
  if (!course) throw new RangeError('a descent without a course');
  const { course: road, input } = roadOf(course.file, readFile);
  return {
    legs: legsOf(road),
    ride: null,
    heightDeviation: deviationOf(road),
    warnings: [...road.warnings, ...uphill(road, course.file)],
    inputs: [input],
  };
}

const roadOf = (file: string, readFile: ReadFile): ReadCourse =>
  readCourse(file, readFile, { stepM, laps: 'all' });

function legsOf({ distanceM, altitudeM }: Course): DescentLeg[] {
  return Array.from({ length: distanceM.length - 1 }, (_, i) => {
    const lengthM = distanceM[i + 1] - distanceM[i];
    // The distance runs along the road: the fall over it is the sine, and never all of it.
    const sine = Math.max(-0.7, Math.min(0.7, (altitudeM[i] - altitudeM[i + 1]) / lengthM));
    return { lengthM, gradient: sine / Math.sqrt(1 - sine * sine) };
  });
}

/** Relative standard uncertainty of the height lost: of top and foot, and never below an altimeter's own. */
function deviationOf({ altitudeM, altitudeStandardUncertaintyM: sd }: Course): number {
  let lostM = 0;
  for (let i = 1; i < altitudeM.length; i++) lostM += Math.max(0, altitudeM[i - 1] - altitudeM[i]);
  const ends = Math.hypot(sd[0], sd[sd.length - 1]);
  return lostM > 0 ? Math.min(0.5, Math.hypot(leastDeviation, ends / lostM)) : leastDeviation;
}

function uphill({ climbM, altitudeM }: Course, file: string): Problem[] {
  const lostM = altitudeM[0] - altitudeM[altitudeM.length - 1];
  if (lostM > 0) return [];
  return [
    {
      code: 'value-invalid',
      file,
      message: `The course ends ${(-lostM).toFixed(0)} m above its start (${climbM.toFixed(0)} m climbed).`,
      remedy: 'Check that it is recorded downwards; the brakes are worked out as it stands.',
    },
  ];
}

function fromRide(file: string, readFile: ReadFile): DescentWay {
  const { course: road, recording, input } = roadOf(file, readFile);
  if (road.passedAtS === null) {
    throw new LapbenchError({
      code: 'channel-missing',
      file,
      message: 'The file has no times, so that nobody knows how fast it was ridden.',
      remedy: 'Give a recording of the ride; a route can only be a course.',
    });
  }
  const { powerW } = recording.channels;
  const warnings: Problem[] = [...road.warnings];
  if (!powerW) {
    warnings.push({
      code: 'channel-missing',
      file,
      message:
        'The ride has no power: where it was pedalled while braking, the brakes took more than is said here.',
      remedy: 'Take the temperatures as the least there were, or give a ride with power.',
    });
  }
  return {
    legs: legsOf(road),
    ride: rideOf(recording, road, road.passedAtS),
    heightDeviation: deviationOf(road),
    warnings,
    inputs: [input],
  };
}

/** Samples a second apart: speed averaged over a few seconds, sink from the smoothed road at that place. */
function rideOf(
  { timeS, channels }: Recording,
  road: Course,
  passedAtS: Float64Array,
): DescentRide {
  const times: number[] = [];
  const [from, to] = [passedAtS[0], passedAtS[passedAtS.length - 1]];
  const samples: number[] = [];
  for (let i = 0; i < timeS.length; i++) {
    if (timeS[i] < from || timeS[i] > to) continue;
    if (times.length > 0 && timeS[i] - times[times.length - 1] < 0.999) continue;
    times.push(timeS[i]);
    samples.push(i);
  }
  const { speedMps, powerW } = channels;
  const place = follow(passedAtS, road.distanceM, times);
  const raw = times.map((_, k) => {
    const recorded = speedMps?.[samples[k]] ?? NaN;
    if (Number.isFinite(recorded)) return Math.max(0, recorded);
    const before = Math.max(0, k - 1);
    const after = Math.min(times.length - 1, k + 1);
    return after > before ? (place[after] - place[before]) / (times[after] - times[before]) : 0;
  });
  const speed = averaged(times, raw);
  const gradient = follow(road.distanceM, road.gradient, place);
  return {
    timeS: times,
    speedMps: speed,
    sinkMps: speed.map((v, k) => (-v * gradient[k]) / Math.hypot(1, gradient[k])),
    powerW: powerW
      ? samples.map((i) => (Number.isFinite(powerW[i]) ? drivetrainEfficiency * powerW[i] : 0))
      : null,
  };
}

/** Straight between points; `x` rises, and so do the places asked for. */
function follow(x: Float64Array, y: Float64Array, at: readonly number[]): number[] {
  let i = 0;
  return at.map((value) => {
    while (i < x.length - 2 && x[i + 1] < value) i += 1;
    const width = x[i + 1] - x[i];
    const share = width > 0 ? Math.max(0, Math.min(1, (value - x[i]) / width)) : 0;
    return y[i] + share * (y[i + 1] - y[i]);
  });
}

function averaged(times: readonly number[], values: readonly number[]): number[] {
  let [first, last, sum] = [0, 0, 0];
  return times.map((time) => {
    while (last < times.length && times[last] <= time + averageS) sum += values[last++];
    while (times[first] < time - averageS) sum -= values[first++];
    return Math.max(0, sum / (last - first));
  });
}
