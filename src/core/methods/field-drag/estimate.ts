import type { DayEvidence } from '../../evidence/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { balanceRows, type Balance } from './balance.ts';
import { layCourse, type Course } from './course.ts';
import { judgeLaps } from './judge-laps.ts';
import { compareLaps, type UsedLap } from './lap-comparison.ts';
import { lapResults } from './lap-results.ts';
import { findLaps, sayRunsWithoutLaps } from './laps.ts';
import { maskOf, obviousSpans, unbalancedSpans, type LeftOutSpan } from './leave-out.ts';
import { checkEnough, checkSetups, checkWind } from './refusals.ts';
import { differencesOf, meanWind, residualsOf, roadOf, setupResults } from './report.ts';
import type { FieldDragFinding } from './result.ts';
import { prepareDay, type DaySeries } from './series.ts';
import { fitWind, type WindFit } from './wind-fit.ts';

const cautions = [
  'Ride with the traffic: local law and the road come before any lap. Stop when wind or traffic make a setup unsafe to hold.',
  "Deep wheels pull in crosswinds; mount them within the maker's limits and have a qualified mechanic check what you changed.",
  'A drag area found here holds for this rider, position, road and range of wind. It says nothing on strength, braking or handling.',
];

/**
 * Field drag of a whole test day: from recordings and day sheet to a drag area for each setup and
 * its difference to control, with intervals. Pure: the same evidence gives the same finding.
 *
 * Method `field-drag 1`: (1) laps are laid on one road; (2) the energy of each stretch of road in
 * each lap is balanced with one drag area a lap, the wind as a wandering vector, the road's height
 * and the airspeed sensor's scale, all at once; (3) the laps are compared with a mixed model in which
 * the remount is the replicate. See docs/methods/field-drag.md.
 *
 * Throws LapbenchError with all that is wrong when the day cannot be reduced.
 */
export function estimateFieldDrag(evidence: DayEvidence): FieldDragFinding {
  const { day } = evidence;
  const warnings: Problem[] = [...evidence.warnings];
  checkSetups(evidence, warnings);
  const series = prepareDay(evidence);
  warnings.push(...series.warnings);
  const found = findLaps(evidence, series);
  warnings.push(...found.warnings, ...sayRunsWithoutLaps(evidence, series, found.laps));
  const course = layCourse(evidence, series, found);
  checkWind(evidence, series, course, warnings);

  const spans = obviousSpans(series.runs, course);
  let { balance, fit } = reduce(evidence, series, course, spans);
  for (let pass = 0; pass < 2; pass++) {
    const more = unbalancedSpans(series.runs, balance, fit, 6);
    if (more.length === 0) break;
    spans.push(...more);
    ({ balance, fit } = reduce(evidence, series, course, spans, fit));
  }

  const laps = lapResults(evidence, series, course, balance, fit, spans);
  judgeLaps(evidence, laps, warnings);
  const used: UsedLap[] = laps.map((lap, i) => ({ lap, i })).filter(({ lap }) => lap.used);
  checkEnough(
    evidence,
    used.map(({ lap }) => lap),
    warnings,
  );
  const comparison = compareLaps(evidence, used, fit, laps.length, series);

  return {
    schema: 'lapbench/field-drag@1',
    title: day.title,
    date: day.date,
    invented: day.invented,
    control: day.control,
    setups: setupResults(evidence, laps, comparison),
    differences: differencesOf(evidence, laps, comparison),
    laps,
    road: roadOf(series, course, fit, found.gate),
    reference: day.reference,
    estimated: {
      airspeedScale: series.usedAirspeed ? fit.airspeedScale : null,
      airspeedScaleStandardUncertainty: series.usedAirspeed
        ? Math.sqrt(fit.airspeedScaleVariance)
        : null,
      driftM2PerHour: comparison.drift?.perHour ?? 0,
      driftStandardUncertainty: comparison.drift?.standardUncertainty ?? 0,
      lapScatterM2: comparison.lapScatter,
      runScatterM2: comparison.runScatter,
      meanWindMps: meanWind(fit),
      usedAirspeed: series.usedAirspeed,
      usedAltitude: series.usedAltitude,
      usedHeading: course.tangentEast !== null && !course.headingAssumed,
    },
    residuals: residualsOf(evidence, balance, fit, laps, comparison, warnings),
    budget: comparison.budget,
    warnings,
    cautions,
    method: 'field-drag 1',
    inputs: evidence.inputs,
  };
}

/** Balances the rows that are left and fits them. */
function reduce(
  evidence: DayEvidence,
  series: DaySeries,
  course: Course,
  spans: LeftOutSpan[],
  start?: WindFit,
): { balance: Balance; fit: WindFit } {
  const balance = balanceRows(evidence, series.runs, course, maskOf(series.runs, spans));
  if (balance.rows.length < course.laps.length) {
    throw new LapbenchError({
      code: 'laps-too-few',
      message: 'Nearly all of every lap had to be left out (gaps, braking, missing power).',
      remedy: 'Look at the recordings: is power there throughout?',
    });
  }
  const input = {
    balance,
    course,
    measuredAir: series.usedAirspeed,
    measuredYaw: series.runs.every((run) => run.yawDeg !== null),
    efficiency: evidence.day.constants.drivetrainEfficiency,
    runSpans: series.runs.map((run) => ({
      fromS: run.dayOffsetS + run.timeS[0],
      toS: run.dayOffsetS + run.timeS[run.timeS.length - 1],
    })),
  };
  if (start) return { balance, fit: fitWind({ ...input, start }) };
  if (series.usedAirspeed || course.tangentEast === null) return { balance, fit: fitWind(input) };
  // Unmeasured wind: how long gusts last matters, and the day says which suits it better.
  const short = fitWind({ ...input, gustTimeS: 15 });
  const long = fitWind({ ...input, gustTimeS: 45 });
  return { balance, fit: short.logEvidence > long.logEvidence ? short : long };
}
