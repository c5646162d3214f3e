/** After the descent: how long the brakes take to cool, and how many such descents they stand in a row. */
import type { BrakePosition, Descent } from '../../evidence/index.ts';
import type { CoolingAir } from '../../physics/index.ts';
import type { Interval } from '../../units/index.ts';
import { middle95, positions } from './band.ts';
import { convectionAt } from './convection-band.ts';
import { runDescent, type PreparedDescent } from './heat.ts';
import { judge, limitsOf, worst } from './limits.ts';
import { stepBrake, trackC, type BrakeState } from './model.ts';
import type { Guess } from './spread.ts';

/** Longest cool-down that is followed, s. */
const longestS = 7200;
const stepS = 1.5;
/** More descents in a row than this are not tried. */
export const mostInARow = 10;

const copyOf = (state: BrakeState): BrakeState => ({ ...state, heatJ: state.heatJ.slice() });

/** Seconds until the track is below each of some falling temperatures; `longestS` where it is not by then. */
export function secondsUntil(
  after: BrakeState,
  belowC: readonly number[],
  air: CoolingAir,
  speedMps: number,
  { convection }: Guess,
  wheelRadiusM: number,
): number[] {
  const state = copyOf(after);
  const forced = convectionAt(air, speedMps, { ...state.body, wheelRadiusM }, convection);
  const found: number[] = [];
  let [time, before] = [0, trackC(state)];
  while (found.length < belowC.length) {
    const wanted = belowC[found.length];
    if (before < wanted || time >= longestS) {
      found.push(time);
      continue;
    }
    stepBrake(state, stepS, 0, forced);
    const now = trackC(state);
    if (now < wanted) found.push(time + (stepS * (before - wanted)) / (before - now));
    time += stepS;
    before = now;
  }
  return found;
}

export interface InARow {
  /** Descents in a row that stay within; `mostInARow` when no limit came before it. */
  within: number;
  /** Whether as many as were tried stay within. */
  noLimitFound: boolean;
  /** Peaks of the hottest track in each descent tried, °C: from the band, its middle. */
  peaksC: { front: number; rear: number }[];
  betweenS: number;
  betweenMps: number;
  /** Both brakes after the first descent, under each guess in turn, the best first. */
  ends: { front: BrakeState; rear: BrakeState }[];
}

/** Rides the descent again and again, with a cool-down between, until one is no longer within. */
export function descentsInARow(
  descent: PreparedDescent,
  sheet: Descent,
  guesses: { centre: Guess; others: Guess[] },
  air: CoolingAir,
  between: { seconds: number; speedMps: number },
): InARow {
  const all = [guesses.centre, ...guesses.others];
  const states: ({ front: BrakeState; rear: BrakeState } | undefined)[] = all.map(() => undefined);
  const peaksC: InARow['peaksC'] = [];
  const ends: InARow['ends'] = [];
  const row = { peaksC, ends, betweenS: between.seconds, betweenMps: between.speedMps };
  for (let ridden = 0; ridden < mostInARow; ridden++) {
    const runs = all.map((guess, i) => runDescent(descent, guess, states[i]));
    if (ridden === 0)
      ends.push(...runs.map(({ front, rear }) => ({ front: front.end, rear: rear.end })));
    const bandOf = (of: (i: number) => number): Interval => {
      const [low, high] = middle95(all.map((_, i) => of(i)).slice(1));
      return [Math.min(low, of(0)), Math.max(high, of(0))];
    };
    const verdict = worst(
      positions.flatMap((position: BrakePosition) =>
        limitsOf(position, sheet[position], sheet.fluid).map((limit) => {
          const of = (i: number): number =>
            limit.at === 'track' ? runs[i][position].peakC : runs[i][position].caliperPeakC;
          return judge(limit, of(0), bandOf(of)).verdict;
        }),
      ),
    );
    peaksC.push({ front: runs[0].front.peakC, rear: runs[0].rear.peakC });
    if (verdict !== 'within') return { ...row, within: ridden, noLimitFound: false };
    const warmest = peaksC.at(-2);
    // The brakes are where they were after the descent before: nothing more will come.
    if (
      warmest &&
      Math.abs(warmest.front - peaksC[ridden].front) < 0.5 &&
      Math.abs(warmest.rear - peaksC[ridden].rear) < 0.5
    )
      break;
    runs.forEach((run, i) => {
      states[i] = {
        front: cooled(run.front.end, all[i], air, between, sheet.wheelRadiusM),
        rear: cooled(run.rear.end, all[i], air, between, sheet.wheelRadiusM),
      };
    });
  }
  return { ...row, within: mostInARow, noLimitFound: true };
}

function cooled(
  after: BrakeState,
  guess: Guess,
  air: CoolingAir,
  { seconds, speedMps }: { seconds: number; speedMps: number },
  wheelRadiusM: number,
): BrakeState {
  const state = copyOf(after);
  const forced = convectionAt(air, speedMps, { ...state.body, wheelRadiusM }, guess.convection);
  const steps = Math.ceil(seconds / stepS);
  for (let i = 0; i < steps; i++) stepBrake(state, seconds / steps, 0, forced);
  return state;
}
