import type { DayEvidence } from '../../evidence/index.ts';
import { radToDeg } from '../../units/index.ts';
import type { Balance } from './balance.ts';
import type { Course } from './course.ts';
import type { LeftOutSpan } from './leave-out.ts';
import type { LapResult } from './result.ts';
import type { DaySeries } from './series.ts';
import { interpolate } from './tables.ts';
import type { WindFit } from './wind-fit.ts';

/** Least share of a lap that must be left for it to count. */
const leastShare = 0.6;

/** Every lap found, with its drag area, what was ridden in it and what was cut out of it. */
export function lapResults(
  evidence: DayEvidence,
  series: DaySeries,
  course: Course,
  balance: Balance,
  fit: WindFit,
  spans: LeftOutSpan[],
): LapResult[] {
  const { day } = evidence;
  const n = course.laps.length;
  const covered = new Float64Array(n);
  const air = new Float64Array(n);
  const time = new Float64Array(n);
  const wind = Array.from({ length: n }, () => [0, 0]);
  for (const row of balance.rows) {
    covered[row.lap] += row.distanceM;
    for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
      air[row.lap] += balance.steps.densityKgM3[s] * balance.steps.dtS[s];
      time[row.lap] += balance.steps.dtS[s];
    }
    wind[row.lap][0] += row.durationS * interpolate(fit.knotsS, fit.windEast, row.dayTimeS);
    wind[row.lap][1] += row.durationS * interpolate(fit.knotsS, fit.windNorth, row.dayTimeS);
  }
  const hasWind = course.tangentEast !== null;
  return course.laps.map((lap, i): LapResult => {
    const run = series.runs[lap.run];
    const low = Math.max(0, lap.fromPathM);
    const high = Math.min(run.pathM[run.pathM.length - 1], lap.toPathM);
    const fromS = interpolate(run.pathM, run.timeS, low);
    const toS = interpolate(run.pathM, run.timeS, high);
    const distanceM = high - low;
    const cda = fit.cdaM2[i];
    const known = Number.isFinite(cda);
    const east = time[i] > 0 ? wind[i][0] / time[i] : NaN;
    const north = time[i] > 0 ? wind[i][1] / time[i] : NaN;
    const speed = Math.hypot(east, north);
    // A crosswind that never acts as a vector (no sensor) has no direction to show.
    const showWind = hasWind && series.usedAirspeed && Number.isFinite(speed);
    return {
      run: lap.run + 1,
      lap: lap.number,
      setup: day.runs[lap.run].setup,
      cdaM2: known ? cda : null,
      standardUncertaintyM2: known ? Math.sqrt(fit.covariance[i * n + i]) : null,
      used: known && covered[i] >= leastShare * course.lapLengthM,
      reason: !known
        ? 'no stretch of it could be used'
        : covered[i] < leastShare * course.lapLengthM
          ? `only ${Math.round((100 * covered[i]) / course.lapLengthM)} % of it could be used`
          : null,
      overruled: false,
      fromS,
      toS,
      dayTimeS: run.dayOffsetS + fromS,
      durationS: toS - fromS,
      distanceM,
      meanSpeedMps: distanceM / (toS - fromS),
      meanPowerW:
        (interpolate(run.timeS, run.workJ, toS) - interpolate(run.timeS, run.workJ, fromS)) /
        (toS - fromS),
      airDensityKgM3: time[i] > 0 ? air[i] / time[i] : run.airDensityKgM3[0],
      windSpeedMps: showWind ? speed : null,
      windFromDeg:
        showWind && !course.headingAssumed ? (radToDeg(Math.atan2(east, north)) + 360) % 360 : null,
      leftOut: spans
        .filter((span) => span.run === lap.run)
        .map((span) => ({
          fromS: run.timeS[span.fromIndex],
          toS: run.timeS[span.toIndex],
          reason: span.reason,
        }))
        .filter((span) => span.fromS < toS && span.toS > fromS),
    };
  });
}
