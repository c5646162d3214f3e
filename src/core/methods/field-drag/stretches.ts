import type { DayEvidence } from '../../evidence/index.ts';
import { median } from '../../statistics/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import type { RunSeries } from './series.ts';
import { interpolate } from './tables.ts';

/** A stretch of one run that may be a lap, in metres of path ridden since the run's first sample. */
export interface LapStretch {
  fromPathM: number;
  toPathM: number;
  /** Path at the turn of an out-and-back; null on a loop. */
  turnPathM: number | null;
}

export interface FoundLaps {
  /** For each run, its whole laps in riding order. */
  laps: LapStretch[][];
  lapLengthM: number;
  /** True when the road was ridden in one direction only: a lap does not end where it began. */
  oneWay?: boolean;
  /** Start gate in metres east and north of the origin, null without positions. */
  gate: { eastM: number; northM: number } | null;
  warnings: Problem[];
}

/** A lap may differ from the median length by this share (riding line, wheel calibration, GPS). */
export const lengthTolerance = 0.03;

/** Marks closer than this are one press of the button. */
const doublePressM = 50;

export function pathAtMarks(run: RunSeries): number[] {
  const total = run.pathM[run.pathM.length - 1];
  const paths = run.lapMarksS.map((mark) => interpolate(run.timeS, run.pathM, mark));
  const kept: number[] = [0];
  for (const path of paths) {
    if (path - kept[kept.length - 1] > doublePressM) kept.push(path);
  }
  if (total - kept[kept.length - 1] > doublePressM) kept.push(total);
  return kept;
}

export function stretchesOf(boundaries: number[]): LapStretch[] {
  const out: LapStretch[] = [];
  for (let i = 1; i < boundaries.length; i++) {
    out.push({ fromPathM: boundaries[i - 1], toPathM: boundaries[i], turnPathM: null });
  }
  return out;
}

/** The length that most stretches share: the one with most others within tolerance, longest first. */
export function commonLength(lengths: number[], stated: number | null): number | null {
  if (stated !== null) return stated;
  const useful = lengths.filter((length) => length > 150).sort((a, b) => b - a);
  let best: { count: number; length: number } | null = null;
  for (const length of useful) {
    const alike = useful.filter((other) => Math.abs(other / length - 1) <= lengthTolerance);
    if (!best || alike.length > best.count) best = { count: alike.length, length: median(alike) };
  }
  if (!best) return null;
  return best.length;
}

export function wholeLaps(stretches: LapStretch[][], lengthM: number): LapStretch[][] {
  return stretches.map((run) =>
    run.filter((lap) => Math.abs((lap.toPathM - lap.fromPathM) / lengthM - 1) <= lengthTolerance),
  );
}

export const count = (laps: LapStretch[][]): number =>
  laps.reduce((sum, run) => sum + run.length, 0);

export function notFound(evidence: DayEvidence, how: string): LapbenchError {
  return new LapbenchError({
    code: 'laps-not-found',
    file: evidence.day.runs[0]?.file,
    message: `No laps were found: ${how}`,
    remedy:
      'Press the lap button at the same place each lap, or record positions, or give course.lapLengthM in the sheet.',
  });
}
