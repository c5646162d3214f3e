import type { DayEvidence } from '../../evidence/index.ts';
import { extraPowerFromCda } from '../../physics/index.ts';
import { kmhToMps, radToDeg, type Interval, type Problem } from '../../units/index.ts';
import type { Balance } from './balance.ts';
import { residualChecks, type TrendScale } from './checks.ts';
import type { Comparison } from './compare.ts';
import type { Course } from './course.ts';
import { latitudeOf, longitudeOf } from './plane.ts';
import type {
  Difference,
  FieldDragFinding,
  LapResult,
  ResidualRow,
  SetupResult,
} from './result.ts';
import type { DaySeries } from './series.ts';
import { interpolate } from './tables.ts';
import type { WindFit } from './wind-fit.ts';

const around = (value: number, half: number): Interval => [value - half, value + half];

/** Absolute drag area of every setup that has laps. */
export function setupResults(
  evidence: DayEvidence,
  laps: LapResult[],
  comparison: Comparison,
): SetupResult[] {
  return evidence.day.setups.flatMap((setup, index): SetupResult[] => {
    const estimate = comparison.absolute[index];
    if (!estimate) return [];
    const own = laps.filter((lap) => lap.setup === setup.id);
    const usedLaps = own.filter((lap) => lap.used);
    return [
      {
        id: setup.id,
        name: setup.name,
        cdaM2: estimate.value,
        ci95: around(estimate.value, estimate.halfWidth95),
        laps: usedLaps.length,
        runs: new Set(usedLaps.map((lap) => lap.run)).size,
        lapsLeftOut: own.length - usedLaps.length,
      },
    ];
  });
}

/** Every other setup against control, lowest drag first. */
export function differencesOf(
  evidence: DayEvidence,
  laps: LapResult[],
  comparison: Comparison,
): Difference[] {
  const { reference } = evidence.day;
  const watts = (deltaCdaM2: number): number =>
    extraPowerFromCda({
      deltaCdaM2,
      airDensityKgM3: reference.airDensityKgM3,
      groundSpeedMps: kmhToMps(reference.speedKmh),
    });
  const out = evidence.day.setups.flatMap((setup, index): Difference[] => {
    const estimate = comparison.difference[index];
    if (!estimate) return [];
    const ci95 = around(estimate.value, estimate.halfWidth95);
    const p = comparison.pAdjusted[index]!;
    const own = laps.filter((lap) => lap.setup === setup.id && lap.used);
    return [
      {
        setup: setup.id,
        deltaCdaM2: estimate.value,
        ci95,
        ci95Simultaneous: around(estimate.value, comparison.halfWidthSimultaneous[index]!),
        pAdjusted: p,
        wattsAtReference: watts(estimate.value),
        wattsCi95: [watts(ci95[0]), watts(ci95[1])],
        verdict: p >= 0.05 ? 'not separable' : estimate.value < 0 ? 'lower' : 'higher',
        smallestVisibleM2: comparison.smallestVisible[index]!,
        degreesOfFreedom: estimate.degreesOfFreedom,
        laps: own.length,
        runs: new Set(own.map((lap) => lap.run)).size,
      },
    ];
  });
  return out.sort((a, b) => a.deltaCdaM2 - b.deltaCdaM2);
}

/** Mean speed of the wind over the riding; null where it is no vector of the fit. */
export function meanWind(fit: WindFit): number | null {
  if (!Number.isFinite(fit.airspeedScale) || !Number.isFinite(fit.windEast[0])) return null;
  let sum = 0;
  for (let k = 0; k < fit.knotsS.length; k++) sum += Math.hypot(fit.windEast[k], fit.windNorth[k]);
  return sum / fit.knotsS.length;
}

/** The shared road as the finding shows it. */
export function roadOf(
  series: DaySeries,
  course: Course,
  fit: WindFit,
  gate: { eastM: number; northM: number } | null,
): FieldDragFinding['road'] {
  const points = course.heightM.length;
  const positionM = Array.from({ length: points }, (_, i) => i * course.stepM);
  const heightM = positionM.map(
    (r, i) => course.heightM[i] + interpolate(course.gatesM, fit.heightCorrectionM, r),
  );
  const { origin } = series;
  const lat = (north: number) => latitudeOf(origin!, north);
  const lon = (east: number) => longitudeOf(origin!, east);
  return {
    lapLengthM: course.lapLengthM,
    positionM,
    heightM,
    latDeg: course.northM && origin ? Array.from(course.northM, lat) : null,
    lonDeg: course.eastM && origin ? Array.from(course.eastM, lon) : null,
    gate: gate && origin ? { latDeg: lat(gate.northM), lonDeg: lon(gate.eastM) } : null,
  };
}

/** The rows of the fit and what the checks make of them; a failed check is a warning too. */
export function residualsOf(
  evidence: DayEvidence,
  balance: Balance,
  fit: WindFit,
  laps: LapResult[],
  comparison: Comparison,
  warnings: Problem[],
): FieldDragFinding['residuals'] {
  const hasCross = fit.rowCrosswind.some((value) => value > 0);
  const rows = balance.rows.map((row, r): ResidualRow => ({
    run: row.run + 1,
    lap: laps[row.lap].lap,
    setup: evidence.day.runs[row.run].setup,
    dayTimeS: row.dayTimeS,
    positionM: row.positionM,
    speedMps: row.distanceM / row.durationS,
    airspeedMps: fit.rowAirspeed[r],
    yawDeg: hasCross
      ? radToDeg(Math.atan2(fit.rowCrosswind[r], Math.max(0.1, fit.rowAirspeed[r])))
      : null,
    z: fit.residualZ[r],
  }));
  const checks = residualChecks(rows, trendScale(rows, laps, comparison));
  for (const check of checks) {
    if (check.passed) continue;
    warnings.push({
      code: 'residuals-not-white',
      message: `Residual check "${check.name}": ${check.meaning}`,
    });
  }
  return { checks, rows };
}

/** A lap's standard uncertainty is that of its rows' mean: a row's is larger by the root of their number. */
function trendScale(
  rows: readonly ResidualRow[],
  laps: readonly LapResult[],
  { smallestVisible }: Comparison,
): TrendScale | null {
  const uncertainties = laps
    .flatMap((lap) => (lap.used && lap.standardUncertaintyM2 ? [lap.standardUncertaintyM2] : []))
    .sort((a, b) => a - b);
  const visible = smallestVisible.filter((one) => one !== null && Number.isFinite(one) && one > 0);
  if (uncertainties.length === 0 || visible.length === 0) return null;
  const perLap = rows.length / uncertainties.length;
  return {
    rowM2: uncertainties[uncertainties.length >> 1] * Math.sqrt(perLap),
    smallestVisibleM2: Math.min(...(visible as number[])),
  };
}
