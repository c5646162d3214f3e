/**
 * The odds of each cause. Under a cause every tone heard is either made by it or a stray; the cause's unknowns
 * (torque, common error, which spokes, where the squeal lies, how far it scatters) are summed out. Every density adds
 * up to one over ln f, so a cause that could explain any tone explains none well: 32 spokes spread over 20 % earn no
 * credit for one of them lying near a tone. Tones that follow from one spoke at one torque count together, not
 * as so many independent witnesses, and of tones that sound at once one emitter makes one at most.
 */
import { logBraked, type Cause, type Predicted, type Setting } from './cause.ts';
import { strayFits } from './causes.ts';
import type { Hearing } from './hearing.ts';
import {
  evidenceCounts,
  priorOdds,
  prominentStrays,
  spokesTogether,
  strays,
  tonalRangeHz,
  unbrakedByMistake,
} from './priors.ts';

export interface CauseOdds {
  cause: Cause;
  odds: number;
  /** Probability that each tone is made by this cause, if this cause is at work. */
  belongs: number[];
  /** Where the best of its settings puts each tone that it makes; null where it does not or names no pitch. */
  predicted: (Predicted | null)[];
  byChance: number | null;
}

/** Posterior odds of all causes, most likely first; at least one tone must have been heard. */
export function oddsOf(causes: readonly Cause[], hearing: Hearing): CauseOdds[] {
  const fields = fieldsOf(hearing);
  const weighed = causes.map((cause) => {
    const ways = waysOf(cause, fields);
    const evidence = evidenceCounts * logSum(ways.map((way) => way.log));
    return { cause, ways, log: evidence + Math.log(priorOdds[cause.id]) };
  });
  const all = logSum(weighed.map(({ log }) => log));
  const howl = hearing.heard[hearing.prominent].tone;
  return weighed
    .map(({ cause, ways, log }) => ({
      cause,
      odds: Math.exp(log - all),
      ...ownTones(ways, hearing),
      byChance: chanceOf(cause, Math.log(howl.hz)),
    }))
    .sort((a, b) => b.odds - a.odds);
}

/** Tones as strays, when that share of tones is, and how they fall into the brakings. */
interface StrayField {
  log: number;
  /** For causes that sound while braking only, or for the others. */
  needsBrake: boolean;
  /** To be added to a fit to give belonging against straying, all as logarithms. */
  against: Float64Array;
  /** Sum of the logarithms of all tones straying. */
  allStray: number;
  /** Positions of the tones that sound together. */
  groups: number[][];
}

function fieldsOf(hearing: Hearing): StrayField[] {
  const { heard, prominent, unbrakedShare } = hearing;
  const fits = strayFits(hearing);
  const groups = new Map<number, number[]>();
  heard.forEach(({ group }, i) => groups.set(group, [...(groups.get(group) ?? []), i]));
  const field = (share: number, log: number, mistaken: number | null): StrayField => {
    const shares = heard.map((_, i) => (i === prominent ? prominentStrays : share));
    return {
      log,
      needsBrake: mistaken !== null,
      against: fits.map(
        (fit, i) =>
          Math.log((1 - shares[i]) / shares[i]) + logBraked(heard[i], hearing, mistaken) - fit,
      ),
      allStray: fits.reduce((sum, fit, i) => sum + fit + Math.log(shares[i]), 0),
      groups: [...groups.values()],
    };
  };
  const mistakes = unbrakedShare === null ? [{ share: 0, weight: 1 }] : unbrakedByMistake;
  return strays.flatMap(({ share, weight }) => [
    field(share, Math.log(weight), null),
    ...mistakes.map((one) => field(share, Math.log(weight * one.weight), one.share)),
  ]);
}

/** One way in which a cause may have made the sound: a setting, some of its emitters, a share of strays. */
interface Way {
  log: number;
  setting: Setting;
  emitters: readonly number[];
  field: StrayField;
}

/** Logarithm above which belonging is certain; beyond it numbers would overflow. */
const mostOdds = 600;
/** Ways less likely than the best by this factor of e are not looked at further. */
const notWorth = 14;
const leaders = 3;

function waysOf(cause: Cause, fields: readonly StrayField[]): Way[] {
  const alone = cause.most === 1 ? 1 : spokesTogether[0];
  const singles: Way[] = [];
  for (const setting of cause.settings)
    for (const field of fields.filter(({ needsBrake }) => needsBrake === setting.needsBrake))
      for (let s = 0; s < setting.fits.length; s++) {
        const log = setting.log + Math.log(alone * setting.shares[s]);
        singles.push(wayOf(setting, [s], field, log));
      }
  if (cause.most === 1) return singles;
  return [...singles, ...companies(singles, 2), ...companies(singles, 3)];
}

function wayOf(setting: Setting, emitters: readonly number[], field: StrayField, log: number): Way {
  return {
    setting,
    emitters,
    field,
    log: log + field.log + logLikelihood(setting, emitters, field),
  };
}

/**
 * Several spokes that sound in one recording: the best ones, each with every other, so that the sum holds nearly all
 * there is.
 */
function companies(singles: readonly Way[], size: 2 | 3): Way[] {
  const best = new Map<Setting, Map<StrayField, Way[]>>();
  for (const way of singles) {
    const own = best.get(way.setting) ?? new Map<StrayField, Way[]>();
    best.set(way.setting, own.set(way.field, [...(own.get(way.field) ?? []), way]));
  }
  const found: Way[] = [];
  const tops = [...best.values()].flatMap((own) => [...own.values()]);
  let most = -Infinity;
  const ranked = tops
    .map((ways) => ways.sort((a, b) => b.log - a.log))
    .sort((a, b) => b[0].log - a[0].log)
    .slice(0, mostSettings);
  for (const ways of ranked) {
    const { setting, field } = ways[0];
    if (ways[0].log === -Infinity) continue;
    const pairs = grown(ways.slice(0, leaders), setting, field, 2);
    const own = size === 2 ? pairs : grown(pairs.slice(0, leaders), setting, field, 3);
    found.push(...own);
    most = Math.max(most, own[0]?.log ?? -Infinity);
  }
  return found.filter(({ log }) => log > most - notWorth);
}

/** Settings in which companies of spokes are tried. */
const mostSettings = 60;

/** Each of the ways with one emitter more, best first. */
function grown(from: readonly Way[], setting: Setting, field: StrayField, size: 2 | 3): Way[] {
  const seen = new Set<string>();
  const found: Way[] = [];
  for (const { emitters } of from)
    for (let s = 0; s < setting.fits.length; s++) {
      if (emitters.includes(s)) continue;
      const own = [...emitters, s].sort((a, b) => a - b);
      const key = own.join(' ');
      if (seen.has(key)) continue;
      seen.add(key);
      const orders = size === 2 ? 2 : 6;
      const share = own.reduce((product, one) => product * setting.shares[one], orders);
      const log = setting.log + Math.log(spokesTogether[size - 1] * share);
      found.push(wayOf(setting, own, field, log));
    }
  return found.sort((a, b) => b.log - a.log);
}

/** Tones that sound together: each strays or is made by one emitter, and no emitter makes two. */
function logLikelihood({ fits }: Setting, emitters: readonly number[], field: StrayField): number {
  let log = field.allStray;
  const even = 1 / emitters.length;
  for (const group of field.groups) log += Math.log(1 + waysToMake(group, 0, 0));
  return log;

  /** Sum over all ways but that of everyone straying, from position `at` of the group on. */
  function waysToMake(group: readonly number[], at: number, used: number): number {
    if (at === group.length) return 0;
    const tone = group[at];
    let sum = waysToMake(group, at + 1, used);
    for (let e = 0; e < emitters.length; e++) {
      if (used & (1 << e)) continue;
      const odds =
        even * Math.exp(Math.min(mostOdds, fits[emitters[e]][tone] + field.against[tone]));
      if (odds > 1e-12) sum += odds * (1 + waysToMake(group, at + 1, used | (1 << e)));
    }
    return sum;
  }
}

function ownTones(
  ways: readonly Way[],
  { heard }: Hearing,
): Pick<CauseOdds, 'belongs' | 'predicted'> {
  const top = ways.reduce((most, { log }) => Math.max(most, log), -Infinity);
  const worth = ways.filter(({ log }) => log > top - 6);
  const belongs = heard.map(() => 0);
  let all = 0;
  for (const { log, setting, emitters, field } of worth) {
    const weight = Math.exp(log - top);
    all += weight;
    heard.forEach((_, i) => {
      const odds = emitters.reduce(
        (sum, e) => sum + Math.exp(Math.min(mostOdds, setting.fits[e][i] + field.against[i])),
        0,
      );
      belongs[i] += (weight * (odds / emitters.length)) / (1 + odds / emitters.length);
    });
  }
  const best = ways.reduce((one, other) => (other.log > one.log ? other : one));
  return {
    belongs: belongs.map((sum) => sum / all),
    predicted: heard.map((_, i) => {
      const { setting, emitters } = best;
      const nearest = emitters.reduce((one, other) =>
        setting.fits[other][i] > setting.fits[one][i] ? other : one,
      );
      return setting.predicted?.(nearest, i) ?? null;
    }),
  };
}

function logSum(logs: readonly number[]): number {
  const top = logs.reduce((most, log) => Math.max(most, log), -Infinity);
  if (top === -Infinity) return -Infinity;
  return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
}

const chancePoints = 400;

/**
 * Probability that a tone thrown anywhere on the logarithmic scale would suit this cause by its pitch at least as well as
 * the strongest does. Null where the cause favours no frequency.
 */
function chanceOf(cause: Cause, lnHz: number): number | null {
  if (cause.id === 'none-of-these' || cause.id === 'turning-with-the-wheel') return null;
  const { low, high } = tonalRangeHz;
  const here = cause.pitchDensity(lnHz);
  let better = 0;
  for (let i = 0; i < chancePoints; i++) {
    const thrown = Math.log(low) + ((i + 0.5) / chancePoints) * Math.log(high / low);
    if (cause.pitchDensity(thrown) >= here) better++;
  }
  return better / chancePoints;
}
