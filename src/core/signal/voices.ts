/** Voices and horns: several harmonics of one deep note that come, glide and go together. */
import type { ToneTrack } from '../evidence/index.ts';

export interface Voice {
  /** The note of which its tones are multiples, Hz. */
  hz: number;
  startS: number;
  endS: number;
  /** Its lines that would have been taken for tones. */
  lines: number;
}

/** Notes of voices and horns, Hz, and how long a call lasts at most, s (common practice, no source). */
const note = { low: 80, high: 320 };
const longestS = 2;
/** Highest multiple looked at, and how far off it a line may lie, as a share of the note. */
const highest = 14;
const off = 0.05;
/** Relative glide that a voice has and a steady howl has not, 1/s, and how alike those of one call are. */
const leastGlide = 0.03;
const alike = { share: 0.4, perS: 0.03 };
/** Of the shorter line, this part must be shared. */
const together = 0.6;

/**
 * Takes voices out of the tones: lines that belong to three or more, at different whole multiples of one note, two of them neighbours or
 * one apart, which sound and glide together for less than two seconds. `faint` are lines too weak to be told as tones;
 * they bear witness. A howl with harmonics that holds its pitch stays, and so does one that lasts.
 */
export function partVoices(
  tracks: readonly ToneTrack[],
  faint: readonly ToneTrack[],
): { tones: ToneTrack[]; voices: Voice[] } {
  const gone = new Set<ToneTrack>();
  const voices: Voice[] = [];
  const short = [...tracks, ...faint].filter(({ startS, endS }) => endS - startS <= longestS);
  for (const track of tracks) {
    if (gone.has(track) || !short.includes(track)) continue;
    const company = short.filter((other) => goWith(track, other));
    if (company.length < 3) continue;
    const call = bestNote(track, company);
    if (call === null) continue;
    const lines = call.lines.filter((line) => tracks.includes(line) && !gone.has(line));
    lines.forEach((line) => gone.add(line));
    voices.push({
      hz: call.hz,
      startS: Math.min(...lines.map(({ startS }) => startS)),
      endS: Math.max(...lines.map(({ endS }) => endS)),
      lines: lines.length,
    });
  }
  return { tones: tracks.filter((track) => !gone.has(track)), voices };
}

/** The note of which most of the company, this track among them, are multiples; null: of none are three. */
function bestNote(
  track: ToneTrack,
  company: readonly ToneTrack[],
): { hz: number; lines: ToneTrack[] } | null {
  let best: { hz: number; lines: ToneTrack[]; multiples: number } | null = null;
  for (let n = 1; n <= highest; n++) {
    const hz = track.hz / n;
    if (hz < note.low || hz > note.high) continue;
    const lines = company.filter((line) => {
      // Lines of one call start and end apart while they glide: held against each other while both sound.
      const times = (n * meanWithin(line, track)) / meanWithin(track, line);
      return times < highest + 0.5 && Math.abs(times - Math.round(times)) < off && times > 0.5;
    });
    const multiples = [...new Set(lines.map((line) => Math.round(line.hz / hz)))].sort(
      (a, b) => a - b,
    );
    const close = multiples.some((value, i) => i > 0 && value - multiples[i - 1] <= 2);
    if (multiples.length < 3 || !close) continue;
    if (best === null || multiples.length > best.multiples)
      best = { hz, lines, multiples: multiples.length };
  }
  return best;
}

function goWith(a: ToneTrack, b: ToneTrack): boolean {
  const from = Math.max(a.startS, b.startS);
  const to = Math.min(a.endS, b.endS);
  if (to - from < together * Math.min(a.endS - a.startS, b.endS - b.startS)) return false;
  const [glide, other] = [glideWithin(a, from, to), glideWithin(b, from, to)];
  return (
    Math.abs(glide) >= leastGlide &&
    Math.abs(other - glide) <= alike.share * Math.abs(glide) + alike.perS
  );
}

/** Least-squares slope of ln f with time from one moment to another, 1/s; a voice rises and falls within one call. */
function glideWithin({ timeS, frequencyHz }: ToneTrack, from: number, to: number): number {
  const own = timeS.flatMap((t, i) =>
    t >= from && t <= to ? [[t, Math.log(frequencyHz[i])]] : [],
  );
  const middle = own.reduce((sum, [t]) => sum + t, 0) / own.length;
  const spread = own.reduce((sum, [t]) => sum + (t - middle) ** 2, 0);
  return spread > 0 ? own.reduce((sum, [t, ln]) => sum + (t - middle) * ln, 0) / spread : 0;
}

/** Mean frequency of a while b sounds. */
export function meanWithin(a: ToneTrack, b: ToneTrack): number {
  const own = a.frequencyHz.filter((_, i) => a.timeS[i] >= b.startS && a.timeS[i] <= b.endS);
  return own.length === 0 ? a.hz : own.reduce((sum, hz) => sum + hz, 0) / own.length;
}
