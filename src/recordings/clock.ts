import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import type { RawSamples } from './raw-samples.ts';

/** A step back by less than this is a late or swapped sample; by more, the clock was set anew. */
const clockResetS = 10;
/** A step forward by more than this within one file is a clock that was set, not a rest. */
const clockSetForwardS = 12 * 3600;
/** Seconds since 1970 beyond the year 5000 are no time. */
const latestS = 1e11;
/** More resets than this in one file are damage. */
const mostResets = 1000;
/** No device records faster than this. */
const shortestStepS = 1e-3;
/** How many samples ahead to look whether the old clock goes on after a wrong time. */
const lookAhead = 3;

/** Samples that keep the file's clock without a reset; `shiftS` brings it onto the continuous clock. */
interface ClockStretch {
  firstSample: number;
  fromRawS: number;
  toRawS: number;
  shiftS: number;
  samples: number;
}

/** Strictly increasing time over a file's samples, and the way from the file's clock to it. */
export interface SteadyClock {
  /** Index of the sample each kept time begins with; later samples of the same time follow in `mergedInto`. */
  kept: Int32Array;
  /** For each raw sample the index into `kept` it belongs to, or -1 when it was left out. */
  keptIndex: Int32Array;
  /** Time of each kept sample, s from the first. */
  timeS: Float64Array;
  startEpochS: number | null;
  startClockS: number | null;
  /** File clock to seconds from the first sample; `sample` settles which side of a clock reset is meant. */
  toRecordingS: (rawS: number, sample?: number) => number;
  warnings: Problem[];
}

/**
 * Brings the samples of a file onto one clock that only moves forward.
 *
 * Samples without a time are left out; samples that repeat a time belong to the sample before; a lone
 * wrong time, or a step back of under 10 s, is left out; after a larger step back, or one forward of
 * over 12 h, the clock goes on by one ordinary step. All of it is said in `warnings`.
 *
 * @throws LapbenchError `format-damaged` when the clock is set anew over a thousand times.
 */
export function steadyClock(
  raw: Pick<RawSamples, 'file' | 'count' | 'timeS' | 'hasEpoch'>,
): SteadyClock {
  const { count, file } = raw;
  const t = raw.timeS;
  const keptIndex = new Int32Array(count).fill(-1);
  const kept = new Int32Array(count);
  const timeS = new Float64Array(count);
  const stepS = usualStep(t, count);
  const stretches: ClockStretch[] = [];
  const resets: { atS: number; byS: number }[] = [];
  let n = 0;
  let noTime = 0;
  let repeated = 0;
  let late = 0;
  let firstLateS = NaN;

  const keep = (i: number, shiftS: number): void => {
    keptIndex[i] = n;
    kept[n] = i;
    timeS[n] = t[i] + shiftS;
    n += 1;
  };

  for (let i = 0; i < count; i += 1) {
    if (!(Math.abs(t[i]) < latestS)) {
      noTime += 1;
      continue;
    }
    if (n === 0) {
      stretches.push({ firstSample: i, fromRawS: t[i], toRawS: t[i], shiftS: -t[i], samples: 1 });
      keep(i, -t[i]);
      continue;
    }
    const stretch = stretches[stretches.length - 1];
    let step = t[i] - stretch.toRawS;
    if (step < 0 && lastWasAhead(i)) {
      // The sample before had a time far in the future, and the old clock goes on: it was the wrong one.
      n -= 1;
      keptIndex.fill(-1, kept[n], i);
      stretch.samples -= 1;
      stretch.toRawS = t[kept[n - 1]];
      late += 1;
      if (Number.isNaN(firstLateS)) firstLateS = timeS[n - 1];
      step = t[i] - stretch.toRawS;
    }
    if (step === 0 || (step > 0 && t[i] + stretch.shiftS <= timeS[n - 1])) {
      repeated += 1;
      keptIndex[i] = n - 1;
    } else if (step > 0 && step <= clockSetForwardS) {
      stretch.toRawS = t[i];
      stretch.samples += 1;
      keep(i, stretch.shiftS);
    } else if ((step < 0 && step > -clockResetS) || oldClockGoesOn(i, stretch.toRawS)) {
      late += 1;
      if (Number.isNaN(firstLateS)) firstLateS = timeS[n - 1];
    } else {
      const atS = timeS[n - 1];
      resets.push({ atS, byS: step });
      if (resets.length > mostResets) throw new LapbenchError(hopelessClock(file));
      const shiftS = atS + stepS - t[i];
      stretches.push({ firstSample: i, fromRawS: t[i], toRawS: t[i], shiftS, samples: 1 });
      keep(i, shiftS);
    }
  }

  function lastWasAhead(i: number): boolean {
    if (n < 2 || kept[n - 2] < stretches[stretches.length - 1].firstSample) return false;
    const before = t[kept[n - 2]];
    return t[kept[n - 1]] - before > clockResetS && t[i] > before && t[i] - before <= clockResetS;
  }

  function oldClockGoesOn(i: number, lastRawS: number): boolean {
    for (let j = i + 1; j < count && j <= i + lookAhead; j += 1) {
      const step = t[j] - lastRawS;
      if (step > 0 && step <= clockResetS * 6) return true;
    }
    return false;
  }

  const toRecordingS = (rawS: number, sample?: number): number => {
    let best = stretches[0];
    let bestOffS = Infinity;
    for (const stretch of stretches) {
      const offS =
        sample === undefined
          ? Math.max(stretch.fromRawS - rawS, rawS - stretch.toRawS, 0)
          : stretch.firstSample <= sample
            ? 0
            : Infinity;
      if (offS < bestOffS || (sample !== undefined && offS === 0)) {
        best = stretch;
        bestOffS = offS;
      }
    }
    return rawS + best.shiftS;
  };

  return {
    kept: kept.slice(0, n),
    keptIndex,
    timeS: timeS.slice(0, n),
    startEpochS: raw.hasEpoch && n > 0 ? epochOfFirst(stretches) : null,
    startClockS: !raw.hasEpoch && n > 0 ? t[kept[0]] : null,
    toRecordingS,
    warnings: clockWarnings(),
  };

  function clockWarnings(): Problem[] {
    const warnings: Problem[] = [];
    if (noTime > 0) {
      warnings.push({
        code: 'value-invalid',
        file,
        message: `${samples(noTime)} ${noTime === 1 ? 'has' : 'have'} no time and ${noTime === 1 ? 'is' : 'are'} left out.`,
      });
    }
    if (repeated > 0) {
      warnings.push({
        code: 'time-backwards',
        file,
        message: `${samples(repeated)} ${repeated === 1 ? 'repeats' : 'repeat'} the time of the one before; values of the same time are averaged.`,
      });
    }
    if (late > 0) {
      warnings.push({
        code: 'time-backwards',
        file,
        place: { timeS: firstLateS },
        message: `${samples(late)} ${late === 1 ? 'does' : 'do'} not fit the clock around ${late === 1 ? 'it' : 'them'} (time goes back or leaps) and ${late === 1 ? 'is' : 'are'} left out.`,
      });
    }
    for (const { atS, byS } of resets.slice(0, 5)) {
      warnings.push({
        code: 'clock-reset',
        file,
        place: { timeS: atS },
        message: `The clock was set ${byS < 0 ? 'back' : 'forward'} by ${Math.abs(byS).toFixed(0)} s; time goes on from here by one step of ${stepS} s.`,
        remedy: 'Leave out the lap in which it happened if its length matters.',
      });
    }
    if (resets.length > 5) {
      warnings.push({
        code: 'clock-reset',
        file,
        message: `The clock was set ${resets.length} times in all.`,
      });
    }
    return warnings;
  }
}

function hopelessClock(file: string): Problem {
  return {
    code: 'format-damaged',
    file,
    message: `The clock of the file is set anew more than ${mostResets} times.`,
    remedy: 'Check which column holds the time, or export the ride again.',
  };
}

function samples(n: number): string {
  return n === 1 ? '1 sample' : `${n} samples`;
}

/** The clock with the most samples is believed: a device often starts on an unset one. */
function epochOfFirst(stretches: ClockStretch[]): number {
  let best = stretches[0];
  for (const stretch of stretches) if (stretch.samples > best.samples) best = stretch;
  return -best.shiftS;
}

/** Median of the forward steps from a millisecond to a minute, 1 s when there are none. */
function usualStep(t: Float64Array, count: number): number {
  const steps: number[] = [];
  for (let i = 1; i < count && steps.length < 10_000; i += 1) {
    const step = t[i] - t[i - 1];
    if (step >= shortestStepS && step < 60) steps.push(step);
  }
  if (steps.length === 0) return 1;
  return steps.sort((a, b) => a - b)[Math.floor(steps.length / 2)];
}
