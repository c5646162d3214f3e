/** The steepest parts of a course, each over a length of its own. */
import type { Course } from '../../courses/index.ts';
import type { SteadyClimb } from '../../evidence/index.ts';

/**
 * For each length the stretch of it that gains most, as a climb of its mean gradient (rise over run).
 * Neighbouring heights err together, so the uncertainty of the mean is taken as that of its points and not
 * made smaller by their number. Lengths longer than the course, and stretches that do not rise, are left
 * out.
 */
export function steepestStretches(course: Course, lengthsM: readonly number[]): SteadyClimb[] {
  const { altitudeM, distanceM, stepM, gradientStandardUncertainty } = course;
  const found: SteadyClimb[] = [];
  for (const lengthM of lengthsM) {
    const span = Math.max(1, Math.round(lengthM / stepM));
    let start = -1;
    let gain = 0;
    for (let i = 0; i + span < altitudeM.length; i++) {
      const here = altitudeM[i + span] - altitudeM[i];
      if (here > gain) [start, gain] = [i, here];
    }
    if (start < 0) continue;
    const along = distanceM[start + span] - distanceM[start];
    if (gain >= along) continue;
    let uncertainty = 0;
    for (let i = start; i <= start + span; i++) uncertainty += gradientStandardUncertainty[i];
    found.push({
      name: `steepest ${Math.round(along)} m, from km ${(distanceM[start] / 1000).toFixed(2)}`,
      gradient: gain / Math.sqrt(along ** 2 - gain ** 2),
      gradientStandardUncertainty: uncertainty / (span + 1),
      lengthM: along,
    });
  }
  return found;
}
