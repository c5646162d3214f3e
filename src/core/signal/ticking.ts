/** A regular ticking (chain, freehub, a rattle) is a comb of lines for a spectrum, but no tone to a rider. */
import type { ToneTrack } from '../evidence/index.ts';

export interface Ticking {
  /** Ticks per second. */
  hz: number;
  startS: number;
  endS: number;
  /** Lines of the comb that had been taken for tones. */
  lines: number;
}

/** Slower ticks are heard as ticks, and their lines lie too close to be parted; faster ones are heard as a tone. */
const slowestHz = 20;
const fastestHz = 130;

/**
 * Takes combs out of the tracks: three or more neighbouring multiples of 20 to 130 Hz that sound together, the first of them at most
 * the third multiple. A line of the comb that stands out above those three by more than 3 dB stays: it may be a tone that happens to lie there.
 */
export function partTicking(tracks: readonly ToneTrack[]): {
  tones: ToneTrack[];
  ticking: Ticking[];
} {
  const gone = new Set<ToneTrack>();
  const ticking: Ticking[] = [];
  const byPitch = [...tracks].sort((a, b) => a.hz - b.hz);
  for (const a of byPitch) {
    if (a.hz > 3 * fastestHz) break;
    if (gone.has(a)) continue;
    const triple = tripleFrom(a, byPitch);
    if (triple === null) continue;
    const startS = Math.min(...triple.map((track) => track.startS));
    const endS = Math.max(...triple.map((track) => track.endS));
    const hz = (triple[2].hz - a.hz) / 2;
    const loudest = Math.max(...triple.map((track) => track.toneToNoiseDb)) + 3;
    const lines = byPitch.filter((track) => {
      const n = Math.max(1, Math.round(track.hz / hz));
      const off = Math.abs(track.hz - n * hz);
      return (
        !gone.has(track) &&
        track.toneToNoiseDb <= loudest &&
        off <= Math.max(0.02 * track.hz, 2) &&
        off <= 0.15 * hz &&
        overlap(track, { startS, endS }) >= 0.5 * (track.endS - track.startS)
      );
    });
    lines.forEach((track) => gone.add(track));
    if (lines.length >= 3) ticking.push({ hz, startS, endS, lines: lines.length });
  }
  return { tones: tracks.filter((track) => !gone.has(track)), ticking };
}

function tripleFrom(a: ToneTrack, byPitch: readonly ToneTrack[]): ToneTrack[] | null {
  for (const n of [1, 2, 3]) {
    const hz = a.hz / n;
    if (hz < slowestHz || hz > fastestHz) continue;
    const at = (m: number): ToneTrack | undefined =>
      byPitch.find(
        (track) =>
          Math.abs(track.hz - m * hz) <= 0.015 * m * hz &&
          overlap(track, a) >= 0.5 * Math.min(track.endS - track.startS, a.endS - a.startS),
      );
    const [b, c] = [at(n + 1), at(n + 2)];
    if (b && c) return [a, b, c];
  }
  return null;
}

function overlap(a: { startS: number; endS: number }, b: { startS: number; endS: number }): number {
  return Math.min(a.endS, b.endS) - Math.max(a.startS, b.startS);
}
