import { standardGravityMps2 } from '../../units/index.ts';
import type { Balance } from './balance.ts';
import type { Course } from './course.ts';
import { eachSample } from './legs.ts';
import type { RunSeries } from './series.ts';
import { lookup } from './tables.ts';
import type { WindFit } from './wind-fit.ts';

/** A span of one run that must not be used, samples inclusive, with the reason in words. */
export interface LeftOutSpan {
  run: number;
  fromIndex: number;
  toIndex: number;
  reason: string;
}

/** Below this power the rider is taken as not pedalling, W. */
const coastingW = 40;
/** Retarding force beyond any likely air drag that counts as braking, N. */
const brakingMarginN = 25;

/** True for steps that lie in a left-out span, one array a run. */
export function maskOf(runs: RunSeries[], spans: LeftOutSpan[]): Uint8Array[] {
  const masks = runs.map((run) => new Uint8Array(run.timeS.length));
  for (const span of spans) {
    for (let i = span.fromIndex; i <= span.toIndex; i++) masks[span.run][i] = 1;
  }
  return masks;
}

/**
 * Spans that break the model and can be seen without it: braking (the bike slows more than air,
 * rolling and road can explain while nobody pedals), power that sticks, spikes, gaps.
 */
export function obviousSpans(runs: RunSeries[], course: Course): LeftOutSpan[] {
  const spans: LeftOutSpan[] = [];
  const slopeOf = (r: number): number => {
    if (!course.hasHeight) return 0;
    const reach = 2 * course.stepM;
    return (
      (lookup(course.heightM, course.stepM, r + reach) -
        lookup(course.heightM, course.stepM, r - reach)) /
      (2 * reach)
    );
  };
  const slopes = runs.map((run) => new Float64Array(run.timeS.length));
  eachSample(runs, course.legs, (leg, run, i, r) => {
    slopes[run.run][i] = leg.sense * slopeOf(r);
  });
  for (const run of runs) {
    const { timeS, speedMps, powerW } = run;
    const flags = new Uint8Array(timeS.length);
    for (let i = 2; i < timeS.length - 1; i++) {
      const span = timeS[i + 1] - timeS[i - 2];
      if (span <= 0 || span > 8) continue;
      if (Math.max(powerW[i - 1], powerW[i], powerW[i + 1]) > coastingW) continue;
      const v = speedMps[i];
      const slowing = -(speedMps[i + 1] - speedMps[i - 2]) / span;
      // Mass near enough: the rule needs no better than a few per cent.
      const mass = 85;
      const weight = mass * standardGravityMps2;
      const likely = 0.5 * 1.2 * 0.45 * (v + 3) ** 2 + 0.008 * weight + weight * slopes[run.run][i];
      if (mass * slowing > likely + brakingMarginN && slowing > 0.35) flags[i] = 1;
    }
    pushRuns(flags, (from, to) => {
      spans.push({
        run: run.run,
        fromIndex: Math.max(0, from - 2),
        toIndex: Math.min(timeS.length - 1, to + 2),
        reason: 'braking',
      });
    });
    // Power spikes: far beyond both neighbours' level for one or two samples.
    const spikes = new Uint8Array(timeS.length);
    for (let i = 2; i < timeS.length - 2; i++) {
      const around = [powerW[i - 2], powerW[i - 1], powerW[i + 1], powerW[i + 2]].sort(
        (a, b) => a - b,
      );
      if (powerW[i] > 700 && powerW[i] > 2.5 * around[2]) spikes[i] = 1;
    }
    pushRuns(spikes, (from, to) => {
      spans.push({
        run: run.run,
        fromIndex: from,
        toIndex: Math.min(timeS.length - 1, to + 1),
        reason: 'power spike',
      });
    });
    // A dropout that reads zero: no power while the bike does not slow as a coasting bike would.
    const dropouts = new Uint8Array(timeS.length);
    for (let i = 1; i < timeS.length - 1; i++) {
      if (powerW[i] < 5 && powerW[i - 1] < 5) dropouts[i] = 1;
    }
    pushRuns(dropouts, (from, to) => {
      const seconds = timeS[to] - timeS[from - 1];
      if (seconds < 3 || seconds > 120) return;
      const slowing = (speedMps[from - 1] - speedMps[to]) / seconds;
      const v = 0.5 * (speedMps[from - 1] + speedMps[to]);
      let slope = 0;
      for (let i = from; i <= to; i++) slope += slopes[run.run][i] / (to - from + 1);
      // Half the drag of a small rider in a light tailwind: less slowing than that was pedalled.
      const least =
        (0.5 * 1.2 * 0.1 * Math.max(0, v - 3) ** 2) / 85 + standardGravityMps2 * slope - 0.05;
      if (v > 6 && slowing < least && course.hasHeight) {
        spans.push({
          run: run.run,
          fromIndex: Math.max(0, from - 1),
          toIndex: Math.min(timeS.length - 1, to + 2),
          reason: 'power dropout',
        });
      }
    });
    // Stood still inside a lap.
    const still = new Uint8Array(timeS.length);
    for (let i = 1; i < timeS.length; i++) {
      if (speedMps[i] < 0.3 && speedMps[i - 1] < 0.3 && run.pathM[i] > 30) still[i] = 1;
    }
    pushRuns(still, (from, to) =>
      spans.push({ run: run.run, fromIndex: from, toIndex: to, reason: 'stood still' }),
    );
  }
  return spans;
}

function pushRuns(flags: Uint8Array, visit: (from: number, to: number) => void): void {
  for (let i = 0; i < flags.length; i++) {
    if (!flags[i]) continue;
    let j = i;
    // Flags up to three samples apart are one event.
    while (j + 1 < flags.length && (flags[j + 1] || flags[j + 2] || flags[j + 3])) j++;
    while (!flags[j]) j--;
    visit(i, j);
    i = j;
  }
}

/**
 * Rows whose energy cannot balance by a wide margin once the whole day is fitted: what braking,
 * a draft or a dropout too gentle for `obviousSpans` leaves behind.
 */
export function unbalancedSpans(
  runs: RunSeries[],
  balance: Balance,
  fit: WindFit,
  limit: number,
): LeftOutSpan[] {
  const spans: LeftOutSpan[] = [];
  balance.rows.forEach((row, r) => {
    const z = fit.residualZ[r];
    if (!(Math.abs(z) > limit)) return;
    const run = runs[row.run];
    const { steps } = balance;
    const last = row.firstStep + row.stepCount - 1;
    const fromTime = steps.dayTimeS[row.firstStep] - 0.5 * steps.dtS[row.firstStep];
    const toTime = steps.dayTimeS[last] + 0.5 * steps.dtS[last];
    let from = 0;
    while (from < run.timeS.length - 1 && run.dayOffsetS + run.timeS[from] < fromTime) from++;
    let to = from;
    while (to < run.timeS.length - 1 && run.dayOffsetS + run.timeS[to] < toTime) to++;
    spans.push({
      run: row.run,
      fromIndex: from,
      toIndex: to,
      reason:
        z > 0
          ? 'energy lost that air, road and rolling do not explain (braking, rough ground?)'
          : 'energy gained that the meter did not see (draft, push, dropout?)',
    });
  });
  return spans;
}
