import type { DayEvidence } from '../../evidence/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import type { Course } from './course.ts';
import type { LapResult } from './result.ts';
import type { DaySeries } from './series.ts';
import { meanHeading } from './wind-layout.ts';

/** Refuses a day with nothing to compare; warns of setups that were never ridden. */
export function checkSetups(evidence: DayEvidence, warnings: Problem[]): void {
  const { day } = evidence;
  const ridden = new Set(day.runs.map((run) => run.setup));
  if (ridden.size < 2) {
    throw new LapbenchError({
      code: 'one-setup-only',
      place: day.placeOf('runs'),
      message: `All runs are on one setup (${[...ridden].join(', ') || 'none'}); there is nothing to compare.`,
      remedy: 'Ride the control and at least one other setup, several runs each, in turn.',
    });
  }
  if (!ridden.has(day.control)) {
    throw new LapbenchError({
      code: 'setup-not-ridden',
      place: day.placeOf('control'),
      message: `The control setup "${day.control}" was never ridden.`,
      remedy: 'Name a setup that has runs as control.',
    });
  }
  for (const [index, setup] of day.setups.entries()) {
    if (ridden.has(setup.id) || warnings.some((w) => w.code === 'setup-not-ridden')) continue;
    warnings.push({
      code: 'setup-not-ridden',
      place: day.placeOf(`setups.${index}`),
      message: `Setup "${setup.id}" is in the sheet but was never ridden; it is left out of the comparison.`,
    });
  }
}

/** Refuses what cannot be told: one direction of riding, no airspeed, unknown wind. */
export function checkWind(
  evidence: DayEvidence,
  series: DaySeries,
  course: Course,
  warnings: Problem[],
): void {
  const oneWay =
    course.kind === 'out-and-back'
      ? !course.legs.some((leg) => leg.sense === -1)
      : course.tangentEast !== null && meanHeading(course) > 0.5;
  if (series.usedAirspeed) {
    if (oneWay) {
      warnings.push({
        code: 'wind-unknown',
        file: evidence.day.runs[0].file,
        message:
          'The road was ridden in one direction only: the airspeed sensor cannot be calibrated in place, so absolute values carry its scale error, and a sensor that drifts would look like drag.',
        remedy: 'Ride there and back, or a loop.',
      });
    }
    if (course.tangentEast === null) {
      warnings.push({
        code: 'heading-missing',
        message:
          'Without positions the crosswind is taken as strong as the wind along the road, on average over a lap; absolute values and windy days suffer.',
        remedy: 'Record positions as well.',
      });
    }
    return;
  }
  if (oneWay) {
    throw new LapbenchError({
      code: 'wind-unknown',
      file: evidence.day.runs[0].file,
      message:
        'The road was ridden in one direction only, without an airspeed sensor: wind and drag cannot be told apart.',
      remedy: 'Ride there and back (or a loop), or record airspeed along the bike.',
    });
  }
  warnings.push({
    code: 'airspeed-unusable',
    message:
      course.tangentEast === null
        ? 'No airspeed and no positions: the air is taken as still, and wind that changed between runs is in the scatter of the laps.'
        : 'No airspeed: the wind is estimated from laps in both directions, which makes the intervals several times wider than a sensor would.',
    remedy: 'An airspeed sensor along the bike is the best single gain for this road.',
  });
}

/** Refuses when too few laps are left; warns of setups without a second run. */
export function checkEnough(evidence: DayEvidence, used: LapResult[], warnings: Problem[]): void {
  const { day } = evidence;
  const ids = [...new Set(used.map((lap) => lap.setup))];
  const problem = (message: string): LapbenchError =>
    new LapbenchError({
      code: 'laps-too-few',
      file: day.runs[0].file,
      message,
      remedy: 'Ride at least two runs of each setup with two or more laps each.',
    });
  if (!ids.includes(day.control)) throw problem('No lap of the control setup can be used.');
  if (ids.length < 2) throw problem('Only the control setup has laps that can be used.');
  if (used.length - ids.length < 2) {
    throw problem(
      `Only ${used.length} usable laps for ${ids.length} setups: nothing shows how far laps scatter.`,
    );
  }
  for (const id of ids) {
    const runs = new Set(used.filter((lap) => lap.setup === id).map((lap) => lap.run));
    if (runs.size >= 2) continue;
    warnings.push({
      code: 'not-replicated',
      message: `Setup "${id}" was mounted once only: what a remount changes cannot be seen, so a usual value is assumed and the interval is wider.`,
      remedy: 'Ride each setup in two or more runs, taking turns.',
    });
  }
}
