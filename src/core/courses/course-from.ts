import type { Recording } from '../evidence/index.ts';
import { LapbenchError, type Problem } from '../units/index.ts';
import { alongOf, type Along } from './along.ts';
import type { Course, CourseOptions } from './course.ts';
import { mendHeights, steepestRoad } from './mend-altitude.ts';
import { PlaneMap } from './plane.ts';
import { repetitionOf } from './repeated.ts';
import { resample } from './resample.ts';
import { learnNoise, smoothHeights } from './smooth-altitude.ts';
import type { Track } from './track.ts';

const leastHeightShare = 0.5;
/** A stretch this long without a height is worth a word, m. */
const longGapM = 200;
/** Places asked inside gaps, so that the doubt between two heights shows, m. */
const gapStepM = 25;

/**
 * The course of a recording: distance, smoothed height, slope with its standard uncertainty, direction and
 * corners, in equal steps.
 *
 * @throws LapbenchError `recording-too-short`, `channel-missing`, `course-altitude` (no heights),
 * `course-steep` (heights that no road has), `course-repeated` (a loop ridden several times and `laps` not given)
 */
export function courseFrom(recording: Recording, options: CourseOptions = {}): Course {
  const { file } = recording;
  const { stepM = 1 } = options;
  if (!(stepM >= 0.1 && stepM <= 1000)) {
    throw new RangeError(`step ${stepM} m is outside 0.1 to 1000 m`);
  }
  const along = alongOf(recording);
  const heights = heightsOf(recording, along);
  const whole = trackOf(recording, along);
  const { lengthM: endM, warnings: ofLaps } = endOf(along, whole, options.laps, file);
  const n = upTo(along.distanceM, endM);
  const distanceM = along.distanceM.subarray(0, n);
  const mended = mendHeights(distanceM, heights.subarray(0, n), file);
  const track = whole && cut(whole, endM);

  const { places, readings } = withGaps(distanceM, mended.heightM);
  const noise = learnNoise(places, readings, options.heightsFrom ?? null);
  const smooth = smoothHeights(places, readings, noise);
  const course = resample({
    name: file,
    along: { ...along, distanceM, samples: along.samples.subarray(0, n) },
    timeS: recording.timeS,
    places,
    smooth,
    track,
    stepM,
  });
  refuseCliffs(course, file);
  const warnings = [
    ...along.warnings,
    ...ofLaps,
    ...mended.warnings,
    ...sayGaps(distanceM, mended.heightM),
    ...sayNoDirections(track),
  ].map((warning): Problem => ({ file, ...warning }));
  return { ...course, warnings };
}

function heightsOf({ file, channels }: Recording, { samples }: Along): Float64Array {
  const all = channels.altitudeM;
  const heights = Float64Array.from(samples, (i) => (all ? all[i] : NaN));
  const seen = heights.reduce((count, value) => count + (Number.isFinite(value) ? 1 : 0), 0);
  if (seen < 3 || seen < leastHeightShare * heights.length) {
    throw new LapbenchError({
      code: 'course-altitude',
      file,
      message:
        seen === 0
          ? 'The file has no heights, so its slopes are unknown.'
          : `Only ${seen} of ${heights.length} points have a height, so the slopes are unknown.`,
      remedy:
        'Give a recording with heights, or add them from a map; for a flat road write lengthM and gradientPercent: 0 in place of the file.',
    });
  }
  return heights;
}

function trackOf({ channels }: Recording, { samples, distanceM }: Along): Track | null {
  const { latDeg, lonDeg } = channels;
  if (!latDeg || !lonDeg) return null;
  const kept = [...samples.keys()].filter(
    (k) => Number.isFinite(latDeg[samples[k]]) && Number.isFinite(lonDeg[samples[k]]),
  );
  if (kept.length < 3 || kept.length < leastHeightShare * samples.length) return null;
  const first = samples[kept[0]];
  const map = new PlaneMap(latDeg[first], lonDeg[first]);
  const places = kept.map((k) => map.place(latDeg[samples[k]], lonDeg[samples[k]]));
  return {
    distanceM: Float64Array.from(kept, (k) => distanceM[k]),
    eastM: Float64Array.from(places, ([east]) => east),
    northM: Float64Array.from(places, ([, north]) => north),
    latDeg: Float64Array.from(kept, (k) => latDeg[samples[k]]),
    lonDeg: Float64Array.from(kept, (k) => lonDeg[samples[k]]),
  };
}

/** Where the course ends: at the last sample, or after the laps asked for. */
function endOf(
  { distanceM }: Along,
  track: Track | null,
  laps: CourseOptions['laps'],
  file: string,
): { lengthM: number; warnings: Problem[] } {
  const lengthM = distanceM[distanceM.length - 1];
  if (laps === 'all') return { lengthM, warnings: [] };
  const found = track && repetitionOf(track);
  if (laps === undefined) {
    if (!found) return { lengthM, warnings: [] };
    const times = lengthM / found.lapLengthM;
    throw new LapbenchError({
      code: 'course-repeated',
      file,
      message: `The recording rides one loop of ${km(found.lapLengthM)} about ${times.toFixed(1)} times.`,
      remedy:
        'Say what is meant: laps: 1 for one loop, another number, or laps: all for the whole file.',
    });
  }
  if (!found) {
    if (laps === 1) return { lengthM, warnings: [] };
    throw new LapbenchError({
      code: 'course-repeated',
      file,
      message: `${laps} laps are asked for, and the recording rides no loop twice.`,
      remedy: 'Leave "laps" out, or give the recording of the laps.',
    });
  }
  const asked = laps * found.lapLengthM;
  if (asked > lengthM + 50) {
    throw new LapbenchError({
      code: 'course-repeated',
      file,
      message: `${laps} laps of ${km(found.lapLengthM)} are asked for, and the recording is ${km(lengthM)} long.`,
      remedy: `Ask for at most ${found.laps}, or write laps: all.`,
    });
  }
  return {
    lengthM: Math.min(asked, lengthM),
    warnings: [
      {
        code: 'course-repeated',
        message: `The first ${laps === 1 ? 'loop' : `${laps} loops`} of the recording, ${km(asked)}, ${laps === 1 ? 'is' : 'are'} taken as the course.`,
      },
    ],
  };
}

const km = (m: number): string => `${(m / 1000).toFixed(2)} km`;

/** Number of samples up to a distance; at least three. */
function upTo(distanceM: Float64Array, endM: number): number {
  let n = distanceM.length;
  while (n > 3 && distanceM[n - 1] > endM + 1e-6) n -= 1;
  return n;
}

function cut(track: Track, endM: number): Track {
  const n = upTo(track.distanceM, endM);
  return {
    distanceM: track.distanceM.subarray(0, n),
    eastM: track.eastM.subarray(0, n),
    northM: track.northM.subarray(0, n),
    latDeg: track.latDeg.subarray(0, n),
    lonDeg: track.lonDeg.subarray(0, n),
  };
}

/** Places with their readings, and places without one inside long gaps. */
function withGaps(distanceM: Float64Array, heightM: Float64Array) {
  const places: number[] = [];
  const readings: number[] = [];
  for (let i = 0; i < distanceM.length; i++) {
    if (i > 0) {
      const gap = distanceM[i] - distanceM[i - 1];
      const between = Math.ceil(gap / gapStepM) - 1;
      for (let j = 1; gap > 2 * gapStepM && j <= between; j++) {
        places.push(distanceM[i - 1] + (j * gap) / (between + 1));
        readings.push(NaN);
      }
    }
    places.push(distanceM[i]);
    readings.push(heightM[i]);
  }
  return { places: Float64Array.from(places), readings: Float64Array.from(readings) };
}

/** A road steeper than any over a stretch that is no spike any more. */
function refuseCliffs({ gradient, stepM, distanceM }: Course, file: string): void {
  const longest = Math.max(1, Math.ceil(20 / stepM));
  let run = 0;
  for (let i = 0; i < gradient.length; i++) {
    run = Math.abs(gradient[i]) > steepestRoad ? run + 1 : 0;
    if (run < longest) continue;
    throw new LapbenchError({
      code: 'course-steep',
      file,
      message: `At ${km(distanceM[i])} the heights make a slope of ${(100 * gradient[i]).toFixed(0)} %, steeper than any road.`,
      remedy: 'Mend the heights of the file there, or take them from a map.',
    });
  }
}

function sayGaps(distanceM: Float64Array, heightM: Float64Array): Problem[] {
  let last = 0;
  let [longest, where, missing] = [0, 0, 0];
  for (let i = 0; i < distanceM.length; i++) {
    const end = i === distanceM.length - 1;
    if (!Number.isFinite(heightM[i]) && !end) continue;
    const gap = distanceM[i] - last;
    if (gap > longGapM) missing += gap;
    if (gap > longest) [longest, where] = [gap, last];
    last = distanceM[i];
  }
  if (longest <= longGapM) return [];
  return [
    {
      code: 'channel-partial',
      message: `Heights are missing over ${km(missing)}, at most ${km(longest)} in one piece, from ${km(where)} on; the slope there is a guess with its doubt stated.`,
      remedy: 'Add the heights from a map if the stretch matters.',
    },
  ];
}

const sayNoDirections = (track: Track | null): Problem[] =>
  track
    ? []
    : [
        {
          code: 'heading-missing',
          message: 'The file has no positions: wind by direction and corners are unknown.',
          remedy: 'Give a recording with positions where they matter.',
        },
      ];
