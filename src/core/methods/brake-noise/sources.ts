/** From tracks to tones, and from tones to sources: tones near one pitch are one thing sounding again. */
import type { ToneTrack } from '../../evidence/index.ts';
import { againstTorque, type AgainstTorque } from './against-torque.ts';
import type { Braking } from './braking.ts';
import type { Tone } from './result.ts';
import { judgedHz } from './priors.ts';

/** What the wheel's speed says of a track. */
export interface TrackAgainstSpeed {
  followsWheel: boolean | null;
  order: number | null;
  /** Slope of ln f against ln of the wheel's turns, with its standard uncertainty; null: speed did not change enough. */
  slope: number | null;
  slopeStandardUncertainty: number | null;
}

/** Tones that belong together for the odds. */
export interface Source {
  tones: Tone[];
  hz: number;
  /** Relative standard uncertainty of `hz`. */
  spread: number;
  /** Standard deviation of ln f over the whole source, frames weighted alike. */
  wander: number;
  /** Seconds that it sounds. */
  durationS: number;
  /** Loudness times time, for telling the strongest. */
  energy: number;
  slope: { value: number; standardUncertainty: number } | null;
  /** Null when the braking is not known. */
  torque: AgainstTorque | null;
}

/** Tones further apart than this in ln f are two sources. */
const apart = 0.012;
/** More sources than these, weakest left out, say nothing more about the howl. */
const mostSources = 8;

const strengthOf = (track: ToneTrack): number =>
  10 ** (track.levelDb / 10) * (track.endS - track.startS);

/** Tones, strongest first, each with what speed says of it. `harmonicOf` is carried over to the tones' own numbers. */
export function tonesOf(
  tracks: readonly ToneTrack[],
  againstSpeed: readonly TrackAgainstSpeed[],
  orderName: (order: number) => string | null,
): { tones: Tone[]; speeds: TrackAgainstSpeed[] } {
  const order = tracks
    .map((_, i) => i)
    .sort((a, b) => strengthOf(tracks[b]) - strengthOf(tracks[a]));
  const numberOf = new Map(order.map((index, place) => [index, place + 1]));
  const tones = order.map((index, place): Tone => {
    const track = tracks[index];
    const speed = againstSpeed[index];
    return {
      tone: place + 1,
      hz: track.hz,
      ci95: [
        track.hz - 1.96 * track.standardUncertaintyHz,
        track.hz + 1.96 * track.standardUncertaintyHz,
      ],
      levelDb: track.levelDb,
      toneToNoiseDb: track.toneToNoiseDb,
      from: track.startS,
      to: track.endS,
      driftHzPerS: track.driftHzPerS,
      followsWheel: speed.followsWheel,
      order: speed.order,
      orderName: speed.order === null ? null : orderName(speed.order),
      harmonicOf: track.harmonicOf === null ? null : (numberOf.get(track.harmonicOf) ?? null),
      harmonic: track.harmonic,
      track: { timeS: track.timeS, hz: track.frequencyHz },
    };
  });
  return { tones, speeds: order.map((index) => againstSpeed[index]) };
}

/** Sources of fundamentals within the range, strongest first. */
export function sourcesOf(
  tones: readonly Tone[],
  speeds: readonly TrackAgainstSpeed[],
  braking: Braking | null,
): Source[] {
  const fundamentals = tones
    .filter((tone) => tone.harmonicOf === null)
    .filter(({ hz }) => hz >= judgedHz.low && hz <= judgedHz.high)
    .sort((a, b) => a.hz - b.hz);
  const groups: Tone[][] = [];
  for (const tone of fundamentals) {
    const last = groups.at(-1);
    const before = last?.at(-1);
    if (last && before && Math.log(tone.hz / before.hz) < apart) last.push(tone);
    else groups.push([tone]);
  }
  return groups
    .map((group) => sourceOf(group, speeds, braking))
    .sort((a, b) => b.energy - a.energy)
    .slice(0, mostSources);
}

function sourceOf(
  tones: Tone[],
  speeds: readonly TrackAgainstSpeed[],
  braking: Braking | null,
): Source {
  const frames = tones.flatMap((tone) => tone.track.hz.map((hz) => Math.log(hz)));
  const middle = frames.reduce((sum, value) => sum + value, 0) / frames.length;
  const variance = frames.reduce((sum, value) => sum + (value - middle) ** 2, 0) / frames.length;
  const duration = (tone: Tone): number => tone.to - tone.from;
  const durationS = tones.reduce((sum, tone) => sum + duration(tone), 0);
  return {
    tones,
    hz: Math.exp(middle),
    spread: Math.min(...tones.map((tone) => (tone.ci95[1] - tone.ci95[0]) / (3.92 * tone.hz))),
    wander: Math.sqrt(variance),
    durationS,
    energy: tones.reduce((sum, tone) => sum + 10 ** (tone.levelDb / 10) * duration(tone), 0),
    slope: pooledSlope(tones.map((tone) => speeds[tone.tone - 1])),
    torque: againstTorque(tones, braking),
  };
}

/** Weighted mean of the slopes that are known. */
function pooledSlope(speeds: readonly TrackAgainstSpeed[]): Source['slope'] {
  let weight = 0;
  let sum = 0;
  for (const speed of speeds) {
    if (speed.slope === null || speed.slopeStandardUncertainty === null) continue;
    const own = 1 / Math.max(speed.slopeStandardUncertainty, 0.01) ** 2;
    weight += own;
    sum += own * speed.slope;
  }
  return weight === 0 ? null : { value: sum / weight, standardUncertainty: 1 / Math.sqrt(weight) };
}
