/** A course made ready for riding: equal steps with slope, surface, air, direction and speed limits. */
import type { Course } from '../../courses/index.ts';
import { airAtRise, airDensityKgM3, type Air } from '../../physics/index.ts';
import { degToRad, LapbenchError } from '../../units/index.ts';

/** A stretch of another surface. */
export interface Surface {
  fromM: number;
  toM: number;
  crr: number;
}

/** Weather and surface on the day. */
export interface Conditions {
  air: Air;
  /** Height of the place where the air was read, m; null: at the course's start. */
  airHeightM: number | null;
  /** Wind at the rider's height; null: still air. */
  wind: { speedMps: number; fromDeg: number } | { headMps: number } | null;
  crr: number;
  surfaces: readonly Surface[];
  /** Null: corners limit nobody. */
  corners: { lateralAccelerationMps2: number; brakingMps2: number } | null;
}

/** Columns by step (n) or by point (n + 1). */
export interface Road {
  stepM: number;
  steps: number;
  /** By step. */
  sine: Float64Array;
  cosine: Float64Array;
  crr: Float64Array;
  halfDensity: Float64Array;
  /** Unit vector ridden along, by step; zeros where directions are unknown. */
  east: Float64Array;
  north: Float64Array;
  /** The wind's own velocity, m/s, and a headwind that is the same everywhere. */
  windEastMps: number;
  windNorthMps: number;
  headMps: number;
  /** By point. */
  altitudeM: Float64Array;
  altitudeSdM: Float64Array;
  /** Heights this far apart err apart, so that the error's slope has the course's stated deviation, m. */
  heightLengthM: number;
  /** Speed that corners and braking for them allow, by point; null: none. */
  limitMps: Float64Array | null;
}

/** Density is worked out on a grid of heights this far apart, m, and is straight between. */
const densityGridM = 25;

/** The road in steps of about `stepM`; by default the course's own. */
export function roadOf(course: Course, conditions: Conditions, stepM = course.stepM): Road {
  const steps = Math.max(1, Math.round(course.lengthM / stepM));
  const step = course.lengthM / steps;
  const altitudeM = atPoints(course, course.altitudeM, steps);
  const sine = new Float64Array(steps);
  const cosine = new Float64Array(steps);
  const crr = new Float64Array(steps).fill(conditions.crr);
  const halfDensity = new Float64Array(steps);
  const densityAt = densities(conditions, altitudeM);
  for (let i = 0; i < steps; i++) {
    sine[i] = (altitudeM[i + 1] - altitudeM[i]) / step;
    cosine[i] = Math.sqrt(Math.max(0, 1 - sine[i] * sine[i]));
    halfDensity[i] = 0.5 * densityAt(0.5 * (altitudeM[i] + altitudeM[i + 1]));
    for (const surface of conditions.surfaces) {
      const middle = (i + 0.5) * step;
      if (middle >= surface.fromM && middle < surface.toM) crr[i] = surface.crr;
    }
  }
  const { wind } = conditions;
  const vector = wind && 'fromDeg' in wind ? wind : null;
  return {
    stepM: step,
    steps,
    sine,
    cosine,
    crr,
    halfDensity,
    ...directions(course, steps),
    // The wind blows towards the opposite of where it comes from.
    windEastMps: vector ? -vector.speedMps * Math.sin(degToRad(vector.fromDeg)) : 0,
    windNorthMps: vector ? -vector.speedMps * Math.cos(degToRad(vector.fromDeg)) : 0,
    headMps: wind && 'headMps' in wind ? wind.headMps : 0,
    altitudeM,
    altitudeSdM: atPoints(course, course.altitudeStandardUncertaintyM, steps),
    heightLengthM: heightLengthOf(course),
    limitMps: limitsOf(course, conditions, steps, step),
  };
}

/** Straight pieces between heights that err apart by s slope with √2·s/length. */
function heightLengthOf(course: Course): number {
  const mean = (values: Float64Array): number =>
    Math.sqrt(values.reduce((sum, sd) => sum + sd * sd, 0) / values.length);
  const slope = mean(course.gradientStandardUncertainty);
  if (slope === 0) return course.lengthM;
  const length = (Math.SQRT2 * mean(course.altitudeStandardUncertaintyM)) / slope;
  return Math.min(2000, Math.max(50, length));
}

function atPoints(course: Course, values: Float64Array, steps: number): Float64Array {
  const n = course.distanceM.length - 1;
  if (n === steps) return values;
  return Float64Array.from({ length: steps + 1 }, (_, i) => {
    const at = (i * n) / steps;
    const j = Math.min(n - 1, Math.floor(at));
    return values[j] + (at - j) * (values[j + 1] - values[j]);
  });
}

/** Means of the unit vectors within each step. */
function directions({ headingDeg }: Course, steps: number) {
  const east = new Float64Array(steps);
  const north = new Float64Array(steps);
  if (headingDeg === null) return { east, north };
  const n = headingDeg.length - 1;
  for (let i = 0; i < steps; i++) {
    const from = Math.floor((i * n) / steps);
    const to = Math.max(from + 1, Math.floor(((i + 1) * n) / steps));
    for (let j = from; j < to; j++) {
      const angle = degToRad(headingDeg[j]);
      east[i] += Math.sin(angle) / (to - from);
      north[i] += Math.cos(angle) / (to - from);
    }
  }
  return { east, north };
}

function densities({ air, airHeightM }: Conditions, altitudeM: Float64Array) {
  const station = airHeightM ?? altitudeM[0];
  const table = new Map<number, number>();
  const onGrid = (k: number): number => {
    let density = table.get(k);
    if (density === undefined) {
      density = densityAtRise(air, k * densityGridM);
      table.set(k, density);
    }
    return density;
  };
  return (heightM: number): number => {
    const at = (heightM - station) / densityGridM;
    const k = Math.floor(at);
    const low = onGrid(k);
    return at === k ? low : low + (at - k) * (onGrid(k + 1) - low);
  };
}

function densityAtRise(air: Air, riseM: number): number {
  try {
    return airDensityKgM3(airAtRise(air, riseM));
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new LapbenchError({
      code: 'sheet-field',
      place: { field: 'air' },
      message: `The course lies ${Math.abs(riseM)} m ${riseM > 0 ? 'above' : 'below'} where the air was read, and there the ${error.message}.`,
      remedy:
        'Check the pressure, and give air.altitudeM, the height where it was read (without it: the start).',
    });
  }
}

/** √(a·R) inside corners, and before them what braking allows to come down from. */
function limitsOf(
  { corners, curvaturePerM, stepM: fine }: Course,
  { corners: grip }: Conditions,
  steps: number,
  step: number,
): Float64Array | null {
  if (grip === null || corners.length === 0 || curvaturePerM === null) return null;
  const squares = new Float64Array(steps + 1).fill(Infinity);
  for (const { fromM, toM } of corners) {
    const to = Math.min(curvaturePerM.length - 1, Math.ceil(toM / fine));
    for (let j = Math.floor(fromM / fine); j <= to; j++) {
      const allowed = grip.lateralAccelerationMps2 / Math.abs(curvaturePerM[j]);
      const i = Math.min(steps, Math.round((j * fine) / step));
      if (allowed < squares[i]) squares[i] = allowed;
    }
  }
  for (let i = steps - 1; i >= 0; i--) {
    squares[i] = Math.min(squares[i], squares[i + 1] + 2 * grip.brakingMps2 * step);
  }
  return squares.map(Math.sqrt);
}
