/** What stands with every race, and what a person should know about this one. */
import type { Problem } from '../../units/index.ts';
import type { RaceEvidence } from './evidence.ts';
import type { RaceSetup } from './result.ts';

export const cautions: readonly string[] = [
  'A computed time is no reason to ride faster than you can stop and see. On an open road, traffic law, other people, surface, light and weather decide; the model knows none of them.',
  'Speeds in corners and braking come from a track with errors of metres and from the grip you stated: never take them as safe. Gravel, wet, paint, camber and traffic lower them.',
  'Crosswind can push deep wheels aside: heed the maker’s advice. Have bicycle and brakes checked by a qualified mechanic before a race.',
];

const km = (m: number): string => `${(m / 1000).toFixed(2)} km`;

/** Fast enough that a forgotten corner matters, m/s. */
const fastMps = 16;

export function remarksOf(
  evidence: RaceEvidence,
  setups: readonly RaceSetup[],
  topMps: number,
): Problem[] {
  const { course, conditions } = evidence;
  const remarks: Problem[] = [];
  const [reference] = setups.filter(({ id }) => id === evidence.reference);
  for (const walk of reference.walks.slice(0, 5)) {
    remarks.push({
      code: 'race-walk',
      message: `From ${km(walk.fromM)} to ${km(walk.toM)}, up to ${walk.steepestPercent.toFixed(0)} %, this power does not climb at the lowest speed that is ridden: ${walk.seconds.toFixed(0)} s on foot.`,
      remedy: 'Plan more power there, a lower gear (walkBelowMps), or the walk.',
    });
  }
  if (conditions.corners === null && topMps > fastMps) {
    remarks.push({
      code: 'race-corners',
      message: `No corner limits the speed, which reaches ${(3.6 * topMps).toFixed(0)} km/h: times on winding descents come out too short.`,
      remedy:
        'Give corners with lateralAccelerationMps2 and brakingMps2 for a course with positions.',
    });
  } else if (conditions.corners !== null && course.curvaturePerM === null) {
    remarks.push({
      code: 'race-corners',
      message: 'Corners should limit the speed, and the course has no positions to find them by.',
      remedy: 'Give a recording with positions.',
    });
  }
  const worst = setups.reduce(
    (most, one) => Math.max(most, Math.abs(one.energy.closurePercent)),
    0,
  );
  if (worst > 0.1) {
    remarks.push({
      code: 'race-energy',
      message: `The energy does not close by ${worst.toPrecision(2)} %: the steps are too long for this course.`,
      remedy: 'Take a smaller stepM.',
    });
  }
  return remarks;
}
