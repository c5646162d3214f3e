/** One series reduced: its line, slop, zero shift and gaps between the branches. */
import type { DeflectionReading } from '../../evidence/index.ts';
import type { Problem } from '../../units/index.ts';
import {
  branchGaps,
  fitLine,
  largestGapMm,
  slopBelow,
  type BranchGap,
  type Line,
} from './model.ts';
import type { FittedReading, StiffnessSeries } from './result.ts';
import { fromN, inRange, toN, type Range, type Series } from './series.ts';

export interface ReducedSeries {
  series: Series;
  result: StiffnessSeries;
  /** The line that the stiffness is taken from; null when left out. */
  line: Line | null;
  branch: 'load' | 'unload';
  degreesOfFreedom: number;
  gaps: BranchGap[];
}

/** Reduces a series. `against`: the reason to leave it out; `slopHidden`: the dial was set to zero above it. */
export function reduceSeries(
  series: Series,
  range: Range,
  { against, slopHidden }: { against: Problem | null; slopHidden: boolean },
): ReducedSeries {
  const empty: StiffnessSeries = {
    remount: series.remount,
    positionDeg: series.positionDeg,
    cycle: series.cycle,
    lateralNPerMm: null,
    standardUncertaintyNPerMm: null,
    unloadingNPerMm: null,
    line: null,
    slopMm: null,
    slopStandardUncertaintyMm: null,
    slopTakenUpN: null,
    zeroShiftMm: null,
    hysteresisPercent: null,
    readings: series.readings.map((reading) => fitted(reading, range)),
    used: false,
    reason: against?.message ?? null,
  };
  const loading = inRange(series, 'load', range);
  const unloading = inRange(series, 'unload', range);
  const branch = fitLine(loading) ? 'load' : 'unload';
  const line = fitLine(branch === 'load' ? loading : unloading);
  if (against !== null || line === null) {
    return { series, result: empty, line: null, branch, degreesOfFreedom: 0, gaps: [] };
  }

  const degreesOfFreedom = line.n - 2;
  const variance = degreesOfFreedom > 0 ? line.residualSumOfSquares / degreesOfFreedom : null;
  const stiffness = 1 / line.slopeMmPerN;
  const lower = series.readings.filter(
    (one) => one.direction === branch && one.loadN < fromN(range),
  );
  const slop = slopHidden ? null : slopBelow(line, lower, range.preloadN);
  const gaps = branch === 'load' ? branchGaps(loading, unloading) : [];
  const gap = largestGapMm(gaps);
  const back = branch === 'load' ? fitLine(unloading) : line;
  return {
    series,
    line,
    branch,
    degreesOfFreedom,
    gaps,
    result: {
      ...empty,
      lateralNPerMm: stiffness,
      standardUncertaintyNPerMm:
        variance === null ? null : stiffness ** 2 * Math.sqrt(variance / line.sxxN2),
      unloadingNPerMm: back ? 1 / back.slopeMmPerN : null,
      line: { interceptMm: line.interceptMm, slopeMmPerN: line.slopeMmPerN },
      slopMm: slop?.slopMm ?? null,
      slopStandardUncertaintyMm:
        slop && variance !== null ? Math.sqrt(variance * slop.varianceFactor) : null,
      slopTakenUpN: slop?.takenUpN ?? null,
      zeroShiftMm: zeroShift(series),
      hysteresisPercent: gap === null ? null : (100 * gap * stiffness) / range.loadN,
      used: true,
    },
  };
}

function fitted(reading: DeflectionReading, range: Range): FittedReading {
  const { direction, loadN, deflectionMm, line } = reading;
  const part = loadN < fromN(range) ? 'slop' : loadN > toN(range) ? 'beyond' : 'line';
  return { direction, loadN, deflectionMm, line, part };
}

/** Reading at the lowest load after unloading less the one before loading, where both were taken. */
function zeroShift(series: Series): number | null {
  const first = series.readings.find(({ direction }) => direction === 'load');
  const last = series.readings.findLast(({ direction }) => direction === 'unload');
  if (!first || !last || first.loadN !== last.loadN) return null;
  return last.deflectionMm - first.deflectionMm;
}
