/**
 * The odds of each cause. Under a cause every source of the recording either belongs to it, with the density
 * that the cause gives to its pitch, its wander and its slope with speed, or is a stray. A common error of
 * all pitches is integrated out; torque is, inside the candidates. Since every density adds up to one over
 * ln f, a cause that could explain any tone explains none well: 32 spokes spread over 20 % earn no credit
 * for one of them lying near a tone.
 */
import { normalQuantile } from '../../statistics/index.ts';
import { stray, type Candidate } from './candidates.ts';
import { priorOdds, strayShare, tonalRangeHz } from './priors.ts';
import type { CauseId } from './result.ts';
import type { Source } from './sources.ts';

export interface CauseOdds {
  candidate: Candidate;
  odds: number;
  /** Probability that each source belongs to this cause, if this cause is at work. */
  belongs: number[];
  byChance: number | null;
}

const shiftPoints = 15;

/** Posterior odds of all candidates, most likely first. `sources` strongest first, at least one. */
export function oddsOf(candidates: readonly Candidate[], sources: readonly Source[]): CauseOdds[] {
  const strays = sources.map((source) => stray.density(source, 0));
  const weighed = candidates.map((candidate) => {
    const fits = shiftsOf(candidate.commonSpread).map((shift) =>
      sources.map((source) => candidate.density(source, shift)),
    );
    const likelihoods = fits.map((own) =>
      own.reduce(
        (sum, density, i) => sum + Math.log(mixed(candidate.id, density, strays[i], i)),
        0,
      ),
    );
    return {
      candidate,
      fits,
      likelihoods,
      log: logMean(likelihoods) + Math.log(priorOdds[candidate.id]),
    };
  });
  const top = Math.max(...weighed.map(({ log }) => log));
  const total = weighed.reduce((sum, { log }) => sum + Math.exp(log - top), 0);
  return weighed
    .map(({ candidate, fits, likelihoods, log }) => ({
      candidate,
      odds: Math.exp(log - top) / total,
      belongs: sources.map((_, i) => belonging(candidate.id, fits, likelihoods, strays, i)),
      byChance: chanceOf(candidate, sources[0]),
    }))
    .sort((a, b) => b.odds - a.odds);
}

/** A source under a cause: its own or a stray. */
function mixed(id: CauseId, density: number, strayDensity: number, place: number): number {
  if (id === 'none-of-these') return strayDensity;
  const share = place === 0 ? strayShare.strongest : strayShare.other;
  return (1 - share) * density + share * strayDensity;
}

function belonging(
  id: CauseId,
  fits: readonly number[][],
  likelihoods: readonly number[],
  strays: readonly number[],
  place: number,
): number {
  const top = Math.max(...likelihoods);
  const share = place === 0 ? strayShare.strongest : strayShare.other;
  let [sum, all] = [0, 0];
  fits.forEach((own, shift) => {
    const weight = Math.exp(likelihoods[shift] - top);
    const whole = mixed(id, own[place], strays[place], place);
    all += weight;
    sum += whole > 0 ? (weight * (1 - share) * own[place]) / whole : 0;
  });
  return id === 'none-of-these' ? 1 : sum / all;
}

const shiftsOf = (spread: number): number[] =>
  spread === 0
    ? [0]
    : Array.from(
        { length: shiftPoints },
        (_, i) => spread * normalQuantile((i + 0.5) / shiftPoints),
      );

function logMean(logs: readonly number[]): number {
  const top = Math.max(...logs);
  if (top === -Infinity) return -Infinity;
  return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0) / logs.length);
}

const chancePoints = 400;

/**
 * Probability that a tone thrown anywhere on the logarithmic scale would suit this cause at least as well as
 * the strongest source does. Null where the cause favours no frequency.
 */
function chanceOf(candidate: Candidate, source: Source): number | null {
  if (candidate.id === 'none-of-these' || candidate.id === 'turning-with-the-wheel') return null;
  const { low, high } = tonalRangeHz;
  const here = candidate.pitchDensity(Math.log(source.hz));
  let better = 0;
  for (let i = 0; i < chancePoints; i++) {
    const lnHz = Math.log(low) + ((i + 0.5) / chancePoints) * Math.log(high / low);
    if (candidate.pitchDensity(lnHz) >= here) better++;
  }
  return better / chancePoints;
}
