/** The descent under every guess: peaks, times and verdict with their 95 % intervals. */
import type { BrakePosition, Descent } from '../../evidence/index.ts';
import type { Interval } from '../../units/index.ts';
import { runDescent, thresholdsC, type BrakeRun, type PreparedDescent } from './heat.ts';
import { judge, limitsOf, worst, type DescentVerdict, type JudgedLimit } from './limits.ts';
import { centreOf, guessOf, placesOf, type Guess, type Knowledge } from './spread.ts';

export const positions: readonly BrakePosition[] = ['front', 'rear'];

/** One brake over all guesses. */
export interface BrakeBand {
  /** Under the best guess. */
  centre: BrakeRun;
  peakCi95: Interval;
  padsPeakCi95: Interval;
  caliperPeakCi95: Interval;
  secondsAboveCi95: Interval[];
  heatedCi95: Interval;
  /** When the first limit of the track is met: earliest 2.5 % of the guesses, s; Infinity: it is not. */
  reachedEarlyS: number;
}

export interface DescentBand {
  front: BrakeBand;
  rear: BrakeBand;
  limits: JudgedLimit[];
  verdict: DescentVerdict;
  powerW: Float64Array;
}

/** What the guesses are drawn from. */
export interface Doubt {
  knowledge: Knowledge;
  weighed: boolean;
  /** Relative standard uncertainty of the height that is lost. */
  heightDeviation: number;
}

/** Best guess, and as many others as asked for. */
export function guessesOf(doubt: Doubt, count: number): { centre: Guess; others: Guess[] } {
  return {
    centre: guessOf(centreOf(doubt.knowledge), doubt),
    others: placesOf(doubt.knowledge, count).map((z) => guessOf(z, doubt)),
  };
}

/** How many guesses a descent of so many steps is tried under. */
export const guessCount = (steps: number, wanted: number): number =>
  Math.round(Math.min(wanted, Math.max(wanted / 4, (wanted * 800) / steps)));

/** Runs the descent under every guess. */
export function bandOf(
  descent: PreparedDescent,
  sheet: Pick<Descent, 'front' | 'rear' | 'fluid'>,
  { centre, others }: { centre: Guess; others: Guess[] },
): DescentBand {
  const best = runDescent(descent, centre, undefined, true);
  const runs = others.map((guess) => runDescent(descent, guess));
  const side = (position: BrakePosition): BrakeBand => {
    const all = runs.map((run) => run[position]);
    const interval = (of: (run: BrakeRun) => number): Interval => {
      const [low, high] = middle95(all.map(of));
      // The best guess belongs to its own interval.
      return [Math.min(low, of(best[position])), Math.max(high, of(best[position]))];
    };
    return {
      centre: best[position],
      peakCi95: interval((run) => run.peakC),
      padsPeakCi95: interval((run) => run.padsPeakC),
      caliperPeakCi95: interval((run) => run.caliperPeakC),
      secondsAboveCi95: thresholdsC.map((_, k) => interval((run) => run.secondsAbove[k])),
      heatedCi95: interval((run) => run.heatedJ),
      reachedEarlyS: early([best[position], ...all].map((run) => run.reachedS)),
    };
  };
  const front = side('front');
  const rear = side('rear');
  const bands = { front, rear };
  const limits = positions.flatMap((position) =>
    limitsOf(position, sheet[position], sheet.fluid).map((limit) => {
      const { centre: run, peakCi95, caliperPeakCi95 } = bands[position];
      return limit.at === 'track'
        ? judge(limit, run.peakC, peakCi95)
        : judge(limit, run.caliperPeakC, caliperPeakCi95);
    }),
  );
  return {
    front,
    rear,
    limits,
    verdict: worst(limits.map((one) => one.verdict)),
    powerW: best.powerW,
  };
}

/** The 2.5th percentile of times of which some may be Infinity. */
function early(times: readonly number[]): number {
  const sorted = [...times].sort((a, b) => a - b);
  return sorted[Math.floor(0.025 * sorted.length)];
}

/** 2.5th and 97.5th percentile, straight between neighbours. */
export function middle95(values: readonly number[]): Interval {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number): number => {
    const place = Math.min(sorted.length - 1, Math.max(0, share * sorted.length - 0.5));
    const below = Math.floor(place);
    const above = Math.min(sorted.length - 1, below + 1);
    return sorted[below] + (place - below) * (sorted[above] - sorted[below]);
  };
  return [at(0.025), at(0.975)];
}
