import type { DayEvidence } from '../../evidence/index.ts';
import { LapbenchError, kmhToMps, radToDeg, type Problem } from '../../units/index.ts';
import { extraPowerFromCda } from '../../physics/index.ts';
import { balanceRows, type Balance } from './balance.ts';
import { residualChecks } from './checks.ts';
import { compareSetups, type ComparedLap, type Comparison } from './compare.ts';
import { layCourse, type Course } from './course.ts';
import { findLaps, interpolate } from './laps.ts';
import { maskOf, obviousSpans, unbalancedSpans, type LeftOutSpan } from './leave-out.ts';
import type {
  Difference,
  FieldDragFinding,
  Interval,
  LapResult,
  ResidualRow,
  SetupResult,
} from './result.ts';
import { prepareDay, type DaySeries } from './series.ts';
import { fitWind, type WindFit } from './wind-fit.ts';

const cautions = [
  'Ride with the traffic: local law and the road come before any lap. Stop when wind or traffic make a setup unsafe to hold.',
  "Deep wheels pull in crosswinds; mount them within the maker's limits and have a qualified mechanic check what you changed.",
  'A drag area found here holds for this rider, position, road and range of wind. It says nothing on strength, braking or handling.',
];

/**
 * What the model leaves out of an absolute value: drag that changes with yaw and speed, tyres that warm
 * up, air that shears over the road. Field methods differ by more than this on the same laps
 * (Ordinana-Perez et al. 2021, abstract: direction of change alike, absolute values not).
 */
const modelUncertainty = { around: 0.01, straight: 0.015 };
/** Least share of a lap that must be left for it to count. */
const leastShare = 0.6;

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
  warnings.push(...found.warnings);
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
  const used = laps.map((lap, i) => ({ lap, i })).filter(({ lap }) => lap.used);
  checkEnough(
    evidence,
    used.map(({ lap }) => lap),
    warnings,
  );
  const comparison = compare(evidence, used, fit, laps.length, series);

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
    residuals: residualsOf(evidence, balance, fit, laps, warnings),
    budget: comparison.budget,
    warnings,
    cautions,
    method: 'field-drag 1',
    inputs: evidence.inputs,
  };
}

function checkSetups(evidence: DayEvidence, warnings: Problem[]): void {
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
function checkWind(
  evidence: DayEvidence,
  series: DaySeries,
  course: Course,
  warnings: Problem[],
): void {
  if (series.usedAirspeed) {
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
  const oneWay =
    course.kind === 'out-and-back'
      ? !course.legs.some((leg) => leg.sense === -1)
      : course.tangentEast !== null && headingSpread(course) < 0.5;
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

/** 1 minus the length of the mean heading: 0 when all road points one way, 1 on a closed loop. */
function headingSpread(course: Course): number {
  let east = 0;
  let north = 0;
  const n = course.tangentEast!.length;
  for (let i = 0; i < n; i++) {
    east += course.tangentEast![i] / n;
    north += course.tangentNorth![i] / n;
  }
  return 1 - Math.hypot(east, north);
}

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

function lapResults(
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

/** Marks laps that stand far from their like, then lets the person's word stand over all. */
function judgeLaps(evidence: DayEvidence, laps: LapResult[], warnings: Problem[]): void {
  const { day } = evidence;
  const usable = laps.filter((lap) => lap.used);
  const bySetup = new Map<string, number[]>();
  for (const lap of usable) {
    bySetup.set(lap.setup, [...(bySetup.get(lap.setup) ?? []), lap.cdaM2!]);
  }
  const middle = new Map([...bySetup].map(([id, values]) => [id, medianOf(values)]));
  const off = (lap: LapResult) => lap.cdaM2! - middle.get(lap.setup)!;
  if (usable.length >= 6) {
    // 1.4826 × median absolute deviation estimates the standard deviation of normal data.
    const spread = 1.4826 * medianOf(usable.map((lap) => Math.abs(off(lap))));
    for (const lap of usable) {
      const like = bySetup.get(lap.setup)!.length;
      if (like < 3) continue;
      const allowed = Math.max(5 * spread, 4 * lap.standardUncertaintyM2!, 0.02 * lap.cdaM2!);
      if (Math.abs(off(lap)) <= allowed) continue;
      lap.used = false;
      lap.reason = `outlier: ${off(lap) > 0 ? '+' : '−'}${Math.abs(off(lap)).toFixed(3)} m² from the middle of its setup, ${(Math.abs(off(lap)) / Math.max(1e-9, spread)).toFixed(0)} times the usual scatter`;
    }
  }
  for (const word of day.overrules) {
    const lap = laps.find((one) => one.run === word.run && one.lap === word.lap);
    if (!lap) {
      warnings.push({
        code: 'overrule-unknown',
        place: { run: word.run, lap: word.lap },
        message: `The sheet has a word on lap ${word.lap} of run ${word.run}, which was not found on the road.`,
        remedy: 'Check the numbers against the list of laps.',
      });
      continue;
    }
    if (lap.used === word.use) continue;
    if (word.use && lap.cdaM2 === null) continue;
    lap.used = word.use;
    lap.overruled = true;
    const own = word.reason ? `: ${word.reason}` : '';
    lap.reason = word.use
      ? `kept by the tester${own} (the method would leave it out: ${lap.reason})`
      : `left out by the tester${own}`;
  }
  for (const lap of laps) {
    if (lap.used) continue;
    warnings.push({
      code: 'lap-left-out',
      file: day.runs[lap.run - 1].file,
      place: { run: lap.run, lap: lap.lap },
      message: `Left out, ${lap.reason}.`,
      remedy: lap.overruled ? undefined : 'A "laps" entry in the sheet overrules this.',
    });
  }
}

const medianOf = (values: number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
};

function checkEnough(evidence: DayEvidence, used: LapResult[], warnings: Problem[]): void {
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

function compare(
  evidence: DayEvidence,
  used: { lap: LapResult; i: number }[],
  fit: WindFit,
  all: number,
  series: DaySeries,
): Comparison {
  const { day } = evidence;
  const idOf = new Map(day.setups.map((setup, index) => [setup.id, index]));
  const laps: ComparedLap[] = used.map(({ lap }) => ({
    setup: idOf.get(lap.setup)!,
    run: lap.run,
    timeH: (lap.dayTimeS + 0.5 * lap.durationS) / 3600,
    cdaM2: lap.cdaM2!,
  }));
  const n = used.length;
  const covariance = new Float64Array(n * n);
  used.forEach((a, i) =>
    used.forEach((b, j) => {
      covariance[i * n + j] = fit.covariance[a.i * all + b.i];
    }),
  );
  const pick = (values: Float64Array) => Float64Array.from(used, ({ i }) => values[i]);
  const { constants, system } = day;
  return compareSetups({
    laps,
    covariance,
    setupCount: day.setups.length,
    control: idOf.get(day.control)!,
    sensitivity: {
      crr: pick(fit.sensitivity.crr),
      massKg: pick(fit.sensitivity.massKg),
      efficiency: pick(fit.sensitivity.efficiency),
      meanSquareM2PerS2: pick(fit.sensitivity.meanSquareM2PerS2),
    },
    uncertainty: {
      crr: constants.crrStandardUncertainty,
      massKg: system.massStandardUncertaintyKg,
      efficiency: Math.hypot(
        constants.drivetrainEfficiencyStandardUncertainty,
        constants.powerScaleStandardUncertainty * constants.drivetrainEfficiency,
      ),
      meanSquareM2PerS2:
        series.usedAirspeed || !Number.isFinite(fit.meanSquareM2PerS2)
          ? 0
          : 0.7 * fit.meanSquareM2PerS2,
      model: fit.cross === 'lap' ? modelUncertainty.straight : modelUncertainty.around,
    },
  });
}

const around = (value: number, half: number): Interval => [value - half, value + half];

function setupResults(
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

function differencesOf(
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

function meanWind(fit: WindFit): number | null {
  if (!Number.isFinite(fit.airspeedScale) || !Number.isFinite(fit.windEast[0])) return null;
  let sum = 0;
  for (let k = 0; k < fit.knotsS.length; k++) sum += Math.hypot(fit.windEast[k], fit.windNorth[k]);
  return sum / fit.knotsS.length;
}

function roadOf(
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
  const earth = 6371008.8;
  const lat = (north: number) => origin!.latDeg + radToDeg(north / earth);
  const lon = (east: number) =>
    origin!.lonDeg + radToDeg(east / (earth * Math.cos((origin!.latDeg * Math.PI) / 180)));
  return {
    lapLengthM: course.lapLengthM,
    positionM,
    heightM,
    latDeg: course.northM && origin ? Array.from(course.northM, lat) : null,
    lonDeg: course.eastM && origin ? Array.from(course.eastM, lon) : null,
    gate: gate && origin ? { latDeg: lat(gate.northM), lonDeg: lon(gate.eastM) } : null,
  };
}

function residualsOf(
  evidence: DayEvidence,
  balance: Balance,
  fit: WindFit,
  laps: LapResult[],
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
  const checks = residualChecks(rows);
  for (const check of checks) {
    if (check.passed) continue;
    warnings.push({
      code: 'residuals-not-white',
      message: `Residual check "${check.name}": ${check.meaning}`,
    });
  }
  return { checks, rows };
}
