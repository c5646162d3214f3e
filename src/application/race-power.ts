/** The power of a ride, laid along a course. */
import type { Recording } from '../core/evidence/index.ts';
import type { Course } from '../core/courses/index.ts';
import { LapbenchError } from '../core/units/index.ts';

/** A ride on the same course may be measured longer or shorter by this share. */
const mostApart = 0.03;

/**
 * Metered power at each point of `course`, W: what `ride` showed when its own course had come as far, as a share of
 * its length. Missing power counts as none.
 *
 * @throws LapbenchError `channel-missing` without power, `course-repeated` when the lengths differ by over 3 %
 */
export function powerAlong(course: Course, ride: Recording, ridden: Course): Float64Array {
  const { powerW } = ride.channels;
  if (!powerW || ridden.passedAtS === null) {
    throw new LapbenchError({
      code: 'channel-missing',
      file: ride.file,
      message: 'The ride has no power, so it is no plan of power.',
      remedy: 'Give a ride with a power meter, or power of another kind.',
    });
  }
  const apart = ridden.lengthM / course.lengthM - 1;
  if (Math.abs(apart) > mostApart) {
    throw new LapbenchError({
      code: 'course-repeated',
      file: ride.file,
      message: `The ride is ${(ridden.lengthM / 1000).toFixed(2)} km long and the course ${(course.lengthM / 1000).toFixed(2)} km: not the same road.`,
      remedy: 'Give a ride of this course, from its start to its end.',
    });
  }
  const { timeS } = ride;
  const points = course.distanceM.length;
  const out = new Float64Array(points);
  const last = ridden.passedAtS.length - 1;
  let j = 0;
  for (let i = 0; i < points; i++) {
    const at = (i / (points - 1)) * last;
    const k = Math.min(last - 1, Math.floor(at));
    const t = ridden.passedAtS[k] + (at - k) * (ridden.passedAtS[k + 1] - ridden.passedAtS[k]);
    while (j < timeS.length - 1 && timeS[j + 1] <= t) j += 1;
    const watts = powerW[j];
    out[i] = Number.isFinite(watts) ? Math.max(0, watts) : 0;
  }
  return out;
}
