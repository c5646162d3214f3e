/** From tracks to the tones of the finding. */
import type { ToneTrack } from '../../evidence/index.ts';
import type { Tone } from './result.ts';

/** What the wheel's speed says of a track. */
export interface TrackAgainstSpeed {
  followsWheel: boolean | null;
  order: number | null;
  /** Slope of ln f against ln of the wheel's turns, with its standard uncertainty; null: speed did not change enough. */
  slope: number | null;
  slopeStandardUncertainty: number | null;
}

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
