/** Stiffness and slop of one wheel from the readings of the bench. */
import type { DeflectionReading } from '../../evidence/index.ts';
import { mean } from '../../statistics/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import {
  checkStraight,
  cautions,
  sayRange,
  sayRemounts,
  saySlop,
  sayZeroShift,
} from './remarks.ts';
import { judgeSeries, readingNoiseMm, zeroedAtPreload } from './judge-series.ts';
import { largestGapMm } from './model.ts';
import { overRemounts, type OverRemounts, type SeriesValue } from './over-remounts.ts';
import { usableReadings, type LoadUnit } from './plausible.ts';
import type { StiffnessFinding } from './result.ts';
import { reduceSeries, type ReducedSeries } from './reduce-series.ts';
import { seriesOf, type Range } from './series.ts';

/** What was read on the bench, and over which range the stiffness is asked for. */
export interface StiffnessEvidence {
  /** In the order taken. */
  readings: readonly DeflectionReading[];
  /** N; takes up the slop. */
  preloadN: number;
  /** N, hung on top of the preload. */
  loadN: number;
  /** What the loads of the readings are in; null when nobody said: kilograms are then asked about. */
  loadUnit: LoadUnit | null;
  inputs: { file: string; sha256: string }[];
}

/**
 * Lateral stiffness from preload to preload + load, slop apart from it, hysteresis and zero shift.
 *
 * @throws LapbenchError where the readings cannot be trusted or are too few; see docs/methods/stiffness.md
 */
export function estimateStiffness(evidence: StiffnessEvidence): StiffnessFinding {
  const range: Range = { preloadN: evidence.preloadN, loadN: evidence.loadN };
  checkRange(range);
  const { readings, complianceMmPerN } = usableReadings(
    evidence.readings,
    range,
    evidence.loadUnit,
  );
  const all = seriesOf(readings);
  const noise = readingNoiseMm(all, range, complianceMmPerN);
  const judged = all.map((series) => ({
    series,
    against: judgeSeries(series, range, complianceMmPerN, noise),
    slopHidden: zeroedAtPreload(series, range, complianceMmPerN, noise),
  }));
  const leftOut = judged.flatMap(({ against }) => (against ? [against] : []));
  if (leftOut.length === judged.length) throw new LapbenchError(leftOut);

  const reduced = judged.map(({ series, ...judgement }) => reduceSeries(series, range, judgement));
  const used = reduced.filter(({ result }) => result.used);
  const stepMm = dialStepMm(used.flatMap(({ series }) => series.readings));
  const stiffness = stiffnessOver(used, range, stepMm);
  const slop = slopOver(used, stepMm);
  const zeroShift = zeroShiftOver(used, stepMm);
  const meanCompliance = 1 / stiffness.value;
  const gaps = used.flatMap(({ gaps: own }) => own);
  const hysteresis = percentOf(largestGapMm(gaps), meanCompliance * range.loadN);

  const usedReadings = used.flatMap(({ result }) => result.readings);
  const remounts = new Set(used.map(({ series }) => series.remount)).size;
  const slopBelowZero = slop !== null && slop.ci95[1] < 0;
  const slopHidden = slopBelowZero || judged.some((one) => one.slopHidden && !one.against);
  const shownSlop = slop === null || slopBelowZero ? null : notBelowZero(slop);
  const warnings: Problem[] = [
    ...leftOut.map((problem) => ({ ...problem, message: `${problem.message} It is left out.` })),
    ...sayRemounts(used, remounts),
    ...sayRange(used, range),
    ...checkStraight(used, range),
    ...saySlop(shownSlop, slopHidden, range),
    ...sayZeroShift(zeroShift, meanCompliance * range.loadN),
  ];
  return {
    schema: 'lapbench/stiffness@1',
    lateralNPerMm: stiffness.value,
    ci95: stiffness.ci95,
    slopMm: shownSlop?.value ?? null,
    slopCi95: shownSlop?.ci95 ?? null,
    hysteresisPercent: hysteresis,
    zeroShiftMm: zeroShift?.value ?? null,
    zeroShiftCi95: zeroShift?.ci95 ?? null,
    deflectionMm: meanCompliance * range.loadN,
    preloadN: range.preloadN,
    loadN: range.loadN,
    intervalFrom: stiffness.from,
    degreesOfFreedom: stiffness.degreesOfFreedom,
    remountScatterNPerMm: stiffness.scatter,
    positions: positionsOf(used),
    readings: usedReadings.length,
    remounts,
    series: reduced.map(({ result }) => result),
    warnings,
    cautions,
    method: 'stiffness 1',
    inputs: evidence.inputs,
  };
}

function checkRange({ preloadN, loadN }: Range): void {
  if (preloadN >= 0 && loadN > 0 && Number.isFinite(preloadN + loadN)) return;
  throw new LapbenchError({
    code: 'usage',
    message: `A preload of ${preloadN} N and a load of ${loadN} N are no range.`,
    remedy: 'Give the preload as zero or more and the load as more than zero, in newtons.',
  });
}

function stiffnessOver(used: readonly ReducedSeries[], range: Range, stepMm: number): OverRemounts {
  const values = used.map(({ result, degreesOfFreedom }) => ({
    remount: result.remount,
    positionDeg: result.positionDeg,
    value: result.lateralNPerMm!,
    standardUncertainty: result.standardUncertaintyNPerMm ?? 0,
    degreesOfFreedom,
  }));
  // Two readings a step of the dial apart from true: their difference is uncertain by step/√6.
  const typical = mean(values.map(({ value }) => value));
  const floor = (typical ** 2 * stepMm) / Math.sqrt(6) / range.loadN;
  const over = overRemounts(values, floor);
  if (over !== null) return over;
  throw new LapbenchError({
    code: 'readings-too-few',
    message: `One mounting with ${used[0].result.readings.length} readings leaves nothing to tell how sure the stiffness is.`,
    remedy: 'Mount the wheel afresh and read it again, three times or more; or read at more loads.',
  });
}

function slopOver(used: readonly ReducedSeries[], stepMm: number): OverRemounts | null {
  const values = used.flatMap(({ result, degreesOfFreedom }): SeriesValue[] =>
    result.slopMm === null
      ? []
      : [
          {
            remount: result.remount,
            positionDeg: result.positionDeg,
            value: result.slopMm,
            standardUncertainty: result.slopStandardUncertaintyMm ?? 0,
            degreesOfFreedom,
          },
        ],
  );
  return values.length === 0 ? null : overRemounts(values, stepMm / Math.sqrt(6));
}

function zeroShiftOver(used: readonly ReducedSeries[], stepMm: number): OverRemounts | null {
  const values = used.flatMap(({ result }): SeriesValue[] =>
    result.zeroShiftMm === null
      ? []
      : [
          {
            remount: result.remount,
            positionDeg: result.positionDeg,
            value: result.zeroShiftMm,
            standardUncertainty: 0,
            degreesOfFreedom: 0,
          },
        ],
  );
  return values.length === 0 ? null : overRemounts(values, stepMm / Math.sqrt(6));
}

function notBelowZero(slop: OverRemounts): OverRemounts {
  const [low, high] = slop.ci95;
  return { ...slop, value: Math.max(0, slop.value), ci95: [Math.max(0, low), high] };
}

function percentOf(gapMm: number | null, wholeMm: number): number | null {
  return gapMm === null ? null : (100 * gapMm) / wholeMm;
}

function positionsOf(used: readonly ReducedSeries[]): StiffnessFinding['positions'] {
  const places = [...new Set(used.map(({ result }) => result.positionDeg))];
  return places.map((positionDeg) => {
    const here = used.filter(({ result }) => result.positionDeg === positionDeg);
    return {
      positionDeg,
      lateralNPerMm: mean(here.map(({ result }) => result.lateralNPerMm!)),
      remounts: new Set(here.map(({ result }) => result.remount)).size,
    };
  });
}

/** Smallest step that the deflections show, from their decimals; at most a tenth of a millimetre. */
function dialStepMm(readings: readonly DeflectionReading[]): number {
  const decimals = Math.max(
    1,
    ...readings.map(({ deflectionMm }) => {
      const text = String(Math.abs(deflectionMm));
      return text.includes('e') ? 6 : (text.split('.')[1]?.length ?? 0);
    }),
  );
  return 10 ** -Math.min(6, decimals);
}
