/** Courses of even stretches: flat roads, walls, closed forms of tests. */
import type { Course } from './course.ts';

/** A straight, even piece of road. */
export interface PlainStretch {
  /** Along the road, m. */
  lengthM: number;
  /** Rise over run. */
  gradient: number;
  /** Direction ridden towards, degrees clockwise from north. Without it on any stretch the course has no directions. */
  headingDeg?: number;
}

/**
 * A course of even stretches one after the other, heights from 0 or `startAltitudeM` and without error.
 *
 * @throws RangeError when there is no stretch, or a length or the step is not above 0
 */
export function plainCourse(
  stretches: readonly PlainStretch[],
  options: { name?: string; stepM?: number; startAltitudeM?: number } = {},
): Course {
  const { name = 'even road', stepM: wanted = 1, startAltitudeM = 0 } = options;
  const lengthM = stretches.reduce((sum, one) => sum + one.lengthM, 0);
  if (stretches.some((one) => !(one.lengthM > 0)) || !(lengthM > 0) || !(wanted > 0)) {
    throw new RangeError('a course needs stretches and a step, all longer than 0 m');
  }
  const steps = Math.max(1, Math.round(lengthM / wanted));
  const stepM = lengthM / steps;
  const distanceM = Float64Array.from({ length: steps + 1 }, (_, i) => i * stepM);
  const altitudeM = new Float64Array(steps + 1);
  const gradient = new Float64Array(steps + 1);
  const headings = stretches.every((one) => one.headingDeg !== undefined);
  const headingDeg = headings ? new Float64Array(steps + 1) : null;
  let stretch = 0;
  let startM = 0;
  let height = startAltitudeM;
  const riseOf = ({ gradient: slope }: PlainStretch): number => slope / Math.hypot(1, slope);
  for (let i = 0; i <= steps; i++) {
    while (
      stretch < stretches.length - 1 &&
      distanceM[i] >= startM + stretches[stretch].lengthM - 1e-9
    ) {
      height += stretches[stretch].lengthM * riseOf(stretches[stretch]);
      startM += stretches[stretch].lengthM;
      stretch += 1;
    }
    const here = stretches[stretch];
    altitudeM[i] = height + (distanceM[i] - startM) * riseOf(here);
    gradient[i] = here.gradient;
    if (headingDeg) headingDeg[i] = here.headingDeg!;
  }
  const rises = stretches.map((one) => Math.max(0, one.lengthM * riseOf(one)));
  return {
    name,
    distanceM,
    lengthM,
    stepM,
    altitudeM,
    altitudeStandardUncertaintyM: new Float64Array(steps + 1),
    gradient,
    gradientStandardUncertainty: new Float64Array(steps + 1),
    headingDeg,
    curvaturePerM: null,
    latDeg: null,
    lonDeg: null,
    corners: [],
    closed: false,
    climbM: rises.reduce((sum, rise) => sum + rise, 0),
    passedAtS: null,
    warnings: [],
  };
}
