import type { Problem } from '../units/index.ts';

/** A bend of the road, from its track. */
export interface Corner {
  /** Where it begins, is tightest and ends, m along the course. */
  fromM: number;
  apexM: number;
  toM: number;
  /** Least radius of the ridden line, m. */
  radiusM: number;
  /** 95 % interval of it from the scatter of the positions, m; the upper end may be Infinity. */
  radiusCi95: [number, number];
  side: 'left' | 'right';
  /** Change of direction over the whole bend, degrees, always above 0. */
  turnDeg: number;
}

/**
 * A road to be ridden once from its start to its end, in equal steps. All columns are as long as
 * `distanceM`; step i lies between point i and i + 1.
 */
export interface Course {
  name: string;
  /** Along the road (not the map), m, from 0 to `lengthM` in steps of `stepM`. */
  distanceM: Float64Array;
  lengthM: number;
  /** The step asked for, stretched by less than a half of itself so that a whole number fills the length. */
  stepM: number;
  /** Height of the smoothed road, m. */
  altitudeM: Float64Array;
  /** Standard uncertainty of the height at a point against the true road, m. */
  altitudeStandardUncertaintyM: Float64Array;
  /** Slope at the point, rise over run. */
  gradient: Float64Array;
  /** Standard uncertainty of that slope at a point; neighbouring points err together. */
  gradientStandardUncertainty: Float64Array;
  /** Direction ridden towards, degrees clockwise from north; null without positions. */
  headingDeg: Float64Array | null;
  /** Curvature of the ridden line, 1/m, positive to the right; null without positions. */
  curvaturePerM: Float64Array | null;
  latDeg: Float64Array | null;
  lonDeg: Float64Array | null;
  /** Empty without positions. */
  corners: Corner[];
  /** Whether end and start lie within 50 m of each other. */
  closed: boolean;
  /** Height gained, m, counted on the smoothed road. */
  climbM: number;
  /** Seconds from the recording's first sample at which each point was passed; null without a clock. */
  passedAtS: Float64Array | null;
  warnings: Problem[];
}

/** How a course is taken from a recording. */
export interface CourseOptions {
  /** Step of the course, m. Default 1. */
  stepM?: number;
  /**
   * What is taken of a recording that rides one loop several times: everything, or so many laps from its
   * start. Without it such a recording is refused, so that the choice is the person's.
   */
  laps?: 'all' | number;
  /** Where the heights come from; decides how slowly their error may wander. Default: learned from the heights. */
  heightsFrom?: 'barometer' | 'satellite' | 'map' | null;
}
