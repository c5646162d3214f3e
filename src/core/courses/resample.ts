/** From samples to equal steps along the road. */
import type { Along } from './along.ts';
import type { Course } from './course.ts';
import type { SmoothHeights } from './smooth-altitude.ts';
import { bendsOf, cornersOf, headingOf, type Track } from './track.ts';

const closedWithinM = 50;

interface Pieces {
  name: string;
  along: Along;
  timeS: Float64Array;
  /** Where the heights were smoothed; along the road or on the map, as `along` says. */
  places: Float64Array;
  smooth: SmoothHeights;
  track: Track | null;
  stepM: number;
}

/** Fills a course's columns. Between two smoothed places the height is the cubic that has both slopes. */
export function resample(pieces: Pieces): Course {
  const { along, places, smooth, track } = pieces;
  const onMap = along.measured === 'on the map';
  const roadM = onMap ? alongTheRoad(places, smooth) : places;
  const lengthM = roadM[roadM.length - 1];
  const steps = Math.max(1, Math.round(lengthM / pieces.stepM));
  const stepM = lengthM / steps;
  const distanceM = Float64Array.from({ length: steps + 1 }, (_, i) => i * stepM);
  const heights = heightsAt(distanceM, roadM, places, smooth, onMap);
  // What was found at samples is placed at samples' distances along the road.
  const samplesAt = onMap ? interpolate(places, roadM, along.distanceM) : along.distanceM;
  const passedAtS = interpolate(
    samplesAt,
    Float64Array.from(along.samples, (i) => pieces.timeS[i]),
    distanceM,
  );
  let climbM = 0;
  for (let i = 1; i <= steps; i++) {
    climbM += Math.max(0, heights.altitudeM[i] - heights.altitudeM[i - 1]);
  }
  return {
    name: pieces.name,
    distanceM,
    lengthM,
    stepM,
    ...heights,
    ...tracked(track, distanceM, onMap ? [places, roadM] : null),
    closed: track !== null && endsMeet(track),
    climbM,
    passedAtS,
    warnings: [],
  };
}

/** Map distance to road distance: each piece longer by its slope. */
function alongTheRoad(places: Float64Array, { slope }: SmoothHeights): Float64Array {
  const out = new Float64Array(places.length);
  for (let i = 1; i < places.length; i++) {
    const mean = 0.5 * (slope[i] + slope[i - 1]);
    out[i] = out[i - 1] + (places[i] - places[i - 1]) * Math.hypot(1, mean);
  }
  return out;
}

function heightsAt(
  distanceM: Float64Array,
  roadM: Float64Array,
  places: Float64Array,
  smooth: SmoothHeights,
  onMap: boolean,
) {
  const n = distanceM.length;
  const altitudeM = new Float64Array(n);
  const altitudeStandardUncertaintyM = new Float64Array(n);
  const gradient = new Float64Array(n);
  const gradientStandardUncertainty = new Float64Array(n);
  for (let i = 0, j = 0; i < n; i++) {
    while (j < roadM.length - 2 && roadM[j + 1] < distanceM[i]) j += 1;
    const width = places[j + 1] - places[j];
    const t = (distanceM[i] - roadM[j]) / (roadM[j + 1] - roadM[j]);
    const [h0, h1] = [smooth.heightM[j], smooth.heightM[j + 1]];
    const [d0, d1] = [smooth.slope[j] * width, smooth.slope[j + 1] * width];
    altitudeM[i] =
      h0 + t * (d0 + t * (3 * (h1 - h0) - 2 * d0 - d1 + t * (2 * (h0 - h1) + d0 + d1)));
    const slope =
      (d0 + t * (2 * (3 * (h1 - h0) - 2 * d0 - d1) + t * 3 * (2 * (h0 - h1) + d0 + d1))) / width;
    const slopeSd = mix(smooth.slopeSd, j, t);
    // Along the road the slope is a sine: rise over road, not over map.
    const cosine = onMap ? 1 : Math.sqrt(Math.max(0.01, 1 - slope * slope));
    gradient[i] = slope / cosine;
    gradientStandardUncertainty[i] = slopeSd / cosine ** 3;
    altitudeStandardUncertaintyM[i] = mix(smooth.heightSdM, j, t);
  }
  return { altitudeM, altitudeStandardUncertaintyM, gradient, gradientStandardUncertainty };
}

const mix = (values: Float64Array, j: number, t: number): number =>
  values[j] + t * (values[j + 1] - values[j]);

function tracked(
  track: Track | null,
  distanceM: Float64Array,
  mapToRoad: [Float64Array, Float64Array] | null,
): Pick<Course, 'headingDeg' | 'curvaturePerM' | 'latDeg' | 'lonDeg' | 'corners'> {
  if (track === null) {
    return { headingDeg: null, curvaturePerM: null, latDeg: null, lonDeg: null, corners: [] };
  }
  const at = mapToRoad ? interpolate(...mapToRoad, track.distanceM) : track.distanceM;
  const bends = bendsOf({ ...track, distanceM: at });
  const east = interpolate(at, bends.alongEast, distanceM);
  const north = interpolate(at, bends.alongNorth, distanceM);
  return {
    headingDeg: east.map((value, i) => headingOf(value, north[i])),
    curvaturePerM: interpolate(at, bends.curvaturePerM, distanceM),
    latDeg: interpolate(at, track.latDeg, distanceM),
    lonDeg: interpolate(at, track.lonDeg, distanceM),
    corners: cornersOf(at, bends),
  };
}

function endsMeet({ eastM, northM, distanceM }: Track): boolean {
  const last = eastM.length - 1;
  const apart = Math.hypot(eastM[last] - eastM[0], northM[last] - northM[0]);
  return apart <= closedWithinM && distanceM[last] > 4 * closedWithinM;
}

/** Straight lines between (x, y), x rising, held at the ends; at each place asked, rising too. */
export function interpolate(x: Float64Array, y: Float64Array, at: Float64Array): Float64Array {
  const out = new Float64Array(at.length);
  for (let i = 0, j = 0; i < at.length; i++) {
    while (j < x.length - 2 && x[j + 1] < at[i]) j += 1;
    const t = Math.min(1, Math.max(0, (at[i] - x[j]) / (x[j + 1] - x[j])));
    out[i] = y[j] + t * (y[j + 1] - y[j]);
  }
  return out;
}
