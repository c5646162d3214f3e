/** What was heard, cut into pieces of about a second, each with how fast the wheel turned and how hard it was braked. */
import type { WheelSpeed } from '../../signal/index.ts';
import type { Braking } from './braking.ts';
import { judgedHz } from './priors.ts';
import type { Tone } from './result.ts';

export interface Piece {
  atS: number;
  lnHz: number;
  /** Standard uncertainty of `lnHz` from noise alone. */
  noise: number;
  /** ln of wheel turns per second; null where speed is not known. */
  lnWheel: number | null;
  /** ln of brake torque over its mean while it howled; 0 where it cannot be told. */
  lnTorque: number;
}

/** A tone that is judged: a fundamental within the range. */
export interface Heard {
  tone: Tone;
  pieces: Piece[];
  durationS: number;
  /** Loudness times time. */
  energy: number;
  /** Whether it sounds mostly while nobody brakes; null: not known. */
  unbraked: boolean | null;
  /** Number of the group of tones that sound at the same time as this one: one thing cannot make two of them. */
  group: number;
}

export interface Hearing {
  heard: Heard[];
  /** Position of the tone that stands out longest and most, with those near its pitch: the howl. */
  prominent: number;
  /** Share of the recording without braking; null when braking is not known. */
  unbrakedShare: number | null;
  /** Spread of ln torque that `lnTorque` does not know: from tone to tone, and from piece to piece. */
  torqueError: { tones: number; pieces: number };
  speedKnown: boolean;
}

const pieceS = 1;
/** A long tone is cut into this many pieces at most. */
const mostPieces = 60;
/** More tones than these, weakest left out, say nothing more about the howl. */
const mostHeard = 40;
/** Tones that share this part of the shorter one sound together. */
const together = 0.4;
/** Spread of ln torque from braking to braking and within one (ours, no source). */
const torqueSpread = 0.3;
/** Torque error where speed tells the braking: of the road's slope from place to place, and of what a second of speed shows. */
const errorWithSpeed = { tones: 0.07, pieces: 0.1 };
const errorWithout = { tones: 0.3, pieces: 0.12 };

export function hearingOf(
  tones: readonly Tone[],
  speed: WheelSpeed | null,
  braking: Braking | null,
  durationS: number,
): Hearing {
  const chosen = tones
    .filter((tone) => tone.harmonicOf === null)
    .filter(({ hz }) => hz >= judgedHz.low && hz <= judgedHz.high)
    .map((tone) => ({ tone, energy: 10 ** (tone.levelDb / 10) * (tone.to - tone.from) }))
    .sort((a, b) => b.energy - a.energy)
    .slice(0, mostHeard)
    .sort((a, b) => a.tone.from - b.tone.from);
  const groups = groupsOf(chosen.map(({ tone }) => tone));
  const cut = chosen.map(({ tone }) => cutTone(tone, speed, braking));
  const mean = meanSlowing(cut.flat());
  const heard = chosen.map(({ tone, energy }, i): Heard => {
    const own = cut[i];
    const braked = own.filter(({ slowing }) => slowing !== null).length;
    return {
      tone,
      energy,
      durationS: tone.to - tone.from,
      pieces: own.map(({ atS, lnHz, noise, lnWheel, slowing, error }) => ({
        atS,
        lnHz,
        noise,
        lnWheel,
        lnTorque: slowing === null || mean === null ? 0 : shrunk(Math.log(slowing / mean), error),
      })),
      unbraked: braking === null ? null : braked < own.length / 2,
      group: groups[i],
    };
  });
  const judged = heard.filter(({ pieces }) => pieces.length > 0);
  return {
    heard: judged,
    prominent: prominentOf(judged),
    unbrakedShare: braking && unbrakedShareOf(braking, durationS),
    torqueError: braking === null ? errorWithout : errorWithSpeed,
    speedKnown: cut.flat().some(({ lnWheel }) => lnWheel !== null),
  };
}

/** Tones this near in ln f stand out together. */
const nearPitch = 0.03;

function prominentOf(heard: readonly Heard[]): number {
  const own = heard.map(({ tone, durationS }) => 10 ** (tone.toneToNoiseDb / 10) * durationS);
  const all = heard.map(({ tone }, i) =>
    heard.reduce(
      (sum, other, j) =>
        sum + (Math.abs(Math.log(other.tone.hz / tone.hz)) < nearPitch ? own[j] : 0),
      own[i],
    ),
  );
  return all.indexOf(Math.max(...all));
}

/** Best guess of ln torque when what the speed shows of it is uncertain. */
const shrunk = (seen: number, error: number): number =>
  (seen * torqueSpread ** 2) / (torqueSpread ** 2 + error ** 2);

interface Cut extends Omit<Piece, 'lnTorque'> {
  /** Null: rolling, or not known. */
  slowing: number | null;
  error: number;
}

function cutTone(tone: Tone, speed: WheelSpeed | null, braking: Braking | null): Cut[] {
  const { timeS, hz } = tone.track;
  const count = Math.min(mostPieces, Math.max(1, Math.round((tone.to - tone.from) / pieceS)));
  const lengthS = (tone.to - tone.from) / count;
  const scatter = frameScatter(hz);
  const pieces: Cut[] = [];
  for (let k = 0; k < count; k++) {
    const fromS = tone.from + k * lengthS;
    const frames = hz.filter(
      (_, i) => timeS[i] >= fromS && (timeS[i] < fromS + lengthS || k === count - 1),
    );
    if (frames.length === 0) continue;
    const atS = fromS + lengthS / 2;
    const torque = braking?.at(fromS, fromS + lengthS) ?? null;
    pieces.push({
      atS,
      lnHz: frames.reduce((sum, value) => sum + Math.log(value), 0) / frames.length,
      // Neighbouring frames overlap by half and share part of their noise.
      noise: Math.max(leastNoise, scatter * Math.sqrt(1.5 / frames.length)),
      lnWheel: speed && lnWheelAt(speed, atS),
      slowing: torque && torque.slowing,
      error: torque ? torque.standardUncertainty / torque.slowing : 0,
    });
  }
  return pieces;
}

const leastNoise = 0.0003;

/** Standard deviation of one frame's ln f from second differences, which slow changes do not enter. */
function frameScatter(hz: readonly number[]): number {
  if (hz.length < 5) return 0.002;
  const bends = hz.slice(2).map((value, i) => Math.log((value * hz[i]) / hz[i + 1] ** 2));
  const sorted = bends.map(Math.abs).sort((a, b) => a - b);
  // Median of |N(0, 6 sigma^2)| is 0.6745 sqrt(6) sigma.
  return sorted[sorted.length >> 1] / (0.6745 * Math.sqrt(6));
}

function lnWheelAt({ timeS, wheelHz }: WheelSpeed, atS: number): number | null {
  const last = timeS.length - 1;
  if (last < 1 || atS < timeS[0] || atS > timeS[last]) return null;
  let k = 0;
  while (k < last - 1 && timeS[k + 1] <= atS) k++;
  const gap = timeS[k + 1] - timeS[k];
  if (!(gap > 0 && gap <= 5)) return null;
  const share = (atS - timeS[k]) / gap;
  const value = wheelHz[k] + share * (wheelHz[k + 1] - wheelHz[k]);
  return value > 0.1 ? Math.log(value) : null;
}

function meanSlowing(pieces: readonly Cut[]): number | null {
  const known = pieces.flatMap(({ slowing }) => (slowing === null ? [] : [slowing]));
  return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
}

function unbrakedShareOf(braking: Braking, durationS: number): number {
  let [n, rolling] = [0, 0];
  for (let t = 0.5; t < durationS; t += 1) {
    n++;
    if (braking.at(t - 0.5, t + 0.5) === null) rolling++;
  }
  return Math.min(0.95, Math.max(0.05, (rolling + 1) / (n + 2)));
}

/** Tones, in order of their start, of which all of a number sound at once. */
function groupsOf(tones: readonly Tone[]): number[] {
  const groups: number[][] = [];
  return tones.map((tone, i) => {
    const found = groups.findIndex((own) => own.every((j) => soundTogether(tone, tones[j])));
    if (found < 0) return groups.push([i]) - 1;
    groups[found].push(i);
    return found;
  });
}

function soundTogether(a: Tone, b: Tone): boolean {
  const both = Math.min(a.to, b.to) - Math.max(a.from, b.from);
  return both > together * Math.min(a.to - a.from, b.to - b.from);
}
