/** How the sound's clock lies on the speed's, when nothing but the tones themselves can say. */
import type { ToneTrack } from '../evidence/index.ts';
import { againstSpeed, type WheelSpeed } from './orders.ts';

export interface ClockFound {
  /** To be added to the sound's time. */
  offsetS: number;
  standardUncertaintyS: number;
  /** Tracks that follow the wheel at that offset. */
  tracks: number;
}

const stepS = 0.2;

/**
 * The offset within ±`mostS` at which some tracks are proportional to wheel speed best: least scatter of log(frequency/speed) within
 * each track against its scatter of log frequency, tracks weighted by their points. Null when no track changes by 3 % or more, or
 * no offset leaves less than a twentieth of a track's variance, or the best lies at the edge. The uncertainty comes from the curvature of
 * the misfit there, ten points counting as one.
 */
export function alignClock(
  tracks: readonly Pick<ToneTrack, 'timeS' | 'frequencyHz'>[],
  speed: WheelSpeed,
  { mostS = 60 }: { mostS?: number } = {},
): ClockFound | null {
  const moving = tracks.filter(({ frequencyHz }) => {
    const low = Math.min(...frequencyHz);
    return frequencyHz.length >= 20 && Math.max(...frequencyHz) > 1.03 * low;
  });
  const misfitAt = (
    offsetS: number,
    of = moving,
  ): { left: number; points: number; used: typeof moving } => {
    let left = 0;
    let points = 0;
    const used: typeof moving = [];
    for (const track of of) {
      const { x, y } = againstSpeed(track, speed, offsetS);
      if (x.length < 0.8 * track.timeS.length) continue;
      const ratio = variance(y.map((value, i) => value - x[i]));
      if (ratio > variance(y) / 20) continue;
      used.push(track);
      left += x.length * Math.log(ratio / variance(y));
      points += x.length;
    }
    return { left, points, used };
  };
  let best = 0;
  let least = misfitAt(0);
  const steps = Math.round(mostS / stepS);
  for (let k = -steps; k <= steps; k++) {
    const here = misfitAt(k * stepS);
    if (here.left < least.left) {
      least = here;
      best = k;
    }
  }
  if (least.used.length === 0 || Math.abs(best) === steps) return null;
  // The logarithm of a variance is a log-likelihood times −2/n; a parabola through three offsets gives top and width.
  const scale = (offsetS: number): number =>
    least.used.reduce((sum, track) => {
      const { x, y } = againstSpeed(track, speed, offsetS);
      return sum + (x.length / 2) * Math.log(variance(y.map((value, i) => value - x[i])));
    }, 0);
  const [before, top, after] = [-1, 0, 1].map((d) => scale((best + d) * stepS));
  const curvature = (before - 2 * top + after) / stepS ** 2;
  if (!(curvature > 0)) return null;
  return {
    offsetS: best * stepS + (0.5 * (before - after) * stepS) / (before - 2 * top + after),
    standardUncertaintyS: Math.sqrt(10 / curvature),
    tracks: least.used.length,
  };
}

function variance(values: readonly number[]): number {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length + 1e-12;
}
