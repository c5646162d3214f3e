/** Which tones are harmonics of which. */
import type { ToneTrack } from '../evidence/index.ts';

const highestHarmonic = 24;
/** Part of the shorter track in which both must sound. */
const overlapNeeded = 0.6;
/** A tie is only believed when chance would make it this rarely. */
const mostByChance = 0.05;

/**
 * For each track the lowest track of which it is a whole multiple while both sound, as `{harmonicOf, harmonic}`: position of
 * that track and multiple; null where there is none. Mean frequencies must agree within three standard uncertainties and 0.1 %.
 */
export function harmonicFamilies(
  tracks: readonly ToneTrack[],
): { harmonicOf: number | null; harmonic: number | null }[] {
  const byPitch = tracks.map((_, i) => i).sort((a, b) => tracks[a].hz - tracks[b].hz);
  return tracks.map((track) => {
    for (const i of byPitch) {
      const low = tracks[i];
      const n = Math.round(track.hz / low.hz);
      if (n < 2) break;
      if (n > highestHarmonic) continue;
      const both = Math.min(track.endS, low.endS) - Math.max(track.startS, low.startS);
      if (both < overlapNeeded * Math.min(track.endS - track.startS, low.endS - low.startS))
        continue;
      const [above, below] = meansWhileBoth(track, low);
      const allowed =
        3 * Math.hypot(track.standardUncertaintyHz, n * low.standardUncertaintyHz) +
        0.001 * track.hz;
      if ((2 * allowed) / low.hz > mostByChance) continue;
      if (Math.abs(above - n * below) <= allowed) return { harmonicOf: i, harmonic: n };
    }
    return { harmonicOf: null, harmonic: null };
  });
}

/** Mean frequencies over the time that two tracks share: their whole means differ when one glides and starts later. */
function meansWhileBoth(a: ToneTrack, b: ToneTrack): [number, number] {
  const from = Math.max(a.startS, b.startS);
  const to = Math.min(a.endS, b.endS);
  const meanOf = (track: ToneTrack): number => {
    let sum = 0;
    let n = 0;
    track.timeS.forEach((t, i) => {
      if (t < from || t > to) return;
      sum += track.frequencyHz[i];
      n++;
    });
    return n > 0 ? sum / n : track.hz;
  };
  return [meanOf(a), meanOf(b)];
}
