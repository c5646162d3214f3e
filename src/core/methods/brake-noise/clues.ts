/** What a set of tones shows, in three plain clues for the words of an explanation. The odds do not use them. */
import { tQuantile } from '../../statistics/index.ts';
import type { Hearing } from './hearing.ts';
import type { TrackAgainstSpeed } from './tones.ts';

export interface Clues {
  /** Pitch as the braking gets harder. */
  torque: 'falls' | 'rises' | 'stays' | 'unclear' | 'unknown';
  /** Pitch against the wheel's speed. */
  speed: 'follows' | 'stays' | 'unclear' | 'unknown';
  /** When it sounds. */
  braking: 'only while braking' | 'also without' | 'unknown';
  /** Lowest and highest mean frequency of the tones, and the mean by energy, Hz. */
  hz: { low: number; high: number; mean: number };
}

/** A slope of ln f with ln torque that would be heard: half a torque more moves the pitch by one percent. */
const notable = 0.025;

/** Of the tones at the places `of` in the hearing, at least one. */
export function cluesOf(
  { heard, unbrakedShare, speedKnown }: Hearing,
  of: readonly number[],
  speeds: readonly TrackAgainstSpeed[],
): Clues {
  const own = of.map((i) => heard[i]);
  const all = own.reduce((sum, { energy }) => sum + energy, 0);
  const hz = own.map(({ tone }) => tone.hz);
  return {
    torque: unbrakedShare === null ? 'unknown' : torqueClue(own),
    speed: speedClue(
      own,
      own.map(({ tone }) => speeds[tone.tone - 1]),
      speedKnown,
    ),
    braking:
      unbrakedShare === null
        ? 'unknown'
        : own.every(({ unbraked }) => unbraked !== true)
          ? 'only while braking'
          : 'also without',
    hz: {
      low: Math.min(...hz),
      high: Math.max(...hz),
      mean: own.reduce((sum, { tone, energy }) => sum + tone.hz * energy, 0) / all,
    },
  };
}

function torqueClue(own: Hearing['heard']): Clues['torque'] {
  const line = lineThrough(
    own
      .filter(({ unbraked }) => unbraked === false)
      .map(({ pieces }) => ({
        x: mean(pieces.map(({ lnTorque }) => lnTorque)),
        y: mean(pieces.map(({ lnHz }) => lnHz)),
      })),
    0.05,
  );
  if (line === null) return 'unclear';
  const { slope, half } = line;
  if (slope + half < 0 && slope < -notable / 2) return 'falls';
  if (slope - half > 0 && slope > notable / 2) return 'rises';
  return Math.abs(slope) + half < 2 * notable ? 'stays' : 'unclear';
}

function speedClue(
  own: Hearing['heard'],
  speeds: readonly TrackAgainstSpeed[],
  speedKnown: boolean,
): Clues['speed'] {
  if (!speedKnown) return 'unknown';
  const follow = speeds.filter(({ followsWheel }) => followsWheel === true).length;
  const stay = speeds.filter(({ followsWheel }) => followsWheel === false).length;
  if (follow > 2 * stay) return 'follows';
  if (stay > 2 * follow) return 'stays';
  // Each tone is too short to tell; from one to the next the speed may have changed enough.
  const line = lineThrough(
    own.flatMap(({ pieces }) =>
      pieces.some(({ lnWheel }) => lnWheel === null)
        ? []
        : [
            {
              x: mean(pieces.map(({ lnWheel }) => lnWheel ?? 0)),
              y: mean(pieces.map(({ lnHz }) => lnHz)),
            },
          ],
    ),
    0.03,
  );
  if (line === null) return 'unclear';
  if (line.slope - line.half > 0.5 && line.slope - line.half < 1.05) return 'follows';
  return line.slope + line.half < 0.5 ? 'stays' : 'unclear';
}

/** Least-squares slope with the half width of its 95 % interval; null for few points or too little spread of x. */
function lineThrough(
  points: readonly { x: number; y: number }[],
  leastSpread: number,
): { slope: number; half: number } | null {
  const n = points.length;
  if (n < 4) return null;
  const [mx, my] = [mean(points.map(({ x }) => x)), mean(points.map(({ y }) => y))];
  const sxx = points.reduce((sum, { x }) => sum + (x - mx) ** 2, 0);
  if (Math.sqrt(sxx / n) < leastSpread) return null;
  const slope = points.reduce((sum, { x, y }) => sum + (x - mx) * (y - my), 0) / sxx;
  const left = points.reduce((sum, { x, y }) => sum + (y - my - slope * (x - mx)) ** 2, 0);
  return { slope, half: tQuantile(0.975, n - 2) * Math.sqrt(left / (n - 2) / sxx) };
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
