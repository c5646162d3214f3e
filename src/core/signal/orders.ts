/** Whether a tone follows the turning of the wheel. */
import type { ToneTrack } from '../evidence/index.ts';
import { tQuantile } from '../statistics/index.ts';
import type { Interval } from '../units/index.ts';

/** Turns of the wheel per second against the sound's clock; NaN where it is not known. */
export interface WheelSpeed {
  timeS: ArrayLike<number>;
  wheelHz: ArrayLike<number>;
}

export interface Following {
  /** True: proportional to wheel speed. False: not. Null: the speed changed too little, or is not known, to tell. */
  followsWheel: boolean | null;
  /** Cycles per turn of the wheel when it follows, else null. */
  order: number | null;
  orderCi95: Interval | null;
  /** Slope of log frequency against log speed: 1 follows, 0 stays; null without speed. */
  slope: number | null;
  slopeStandardUncertainty: number | null;
  slopeCi95: Interval | null;
}

export interface FollowOptions {
  /** Added to the sound's time to get the speed's; default 0. */
  offsetS?: number;
}

const unknown: Following = {
  followsWheel: null,
  order: null,
  orderCi95: null,
  slope: null,
  slopeStandardUncertainty: null,
  slopeCi95: null,
};

/**
 * Regresses log frequency on log wheel speed over the track, in blocks as long as the speed's own steps, since a speed's error
 * is shared by all points between two of its values. Neighbouring blocks err together too (a speed lags, a howl wanders), so their
 * count is reduced by their autocorrelation. Told as following
 * when the 95 % interval of the slope holds 1 and not 0.5, as staying when it holds 0 or lies below 0.5, null otherwise.
 */
export function followSpeed(
  track: Pick<ToneTrack, 'timeS' | 'frequencyHz'>,
  speed: WheelSpeed,
  { offsetS = 0 }: FollowOptions = {},
): Following {
  const { x, y } = inBlocks(againstSpeed(track, speed, offsetS), blockOf(speed));
  const n = x.length;
  if (n < 4) return unknown;
  const xMean = x.reduce((a, b) => a + b, 0) / n;
  const yMean = y.reduce((a, b) => a + b, 0) / n;
  let sxx = 0;
  let sxy = 0;
  for (let i = 0; i < n; i++) {
    sxx += (x[i] - xMean) ** 2;
    sxy += (x[i] - xMean) * (y[i] - yMean);
  }
  if (Math.sqrt(sxx / n) < 0.005) return unknown;
  const slope = sxy / sxx;
  const residual = y.map((value, i) => value - yMean - slope * (x[i] - xMean));
  const free = effective(residual);
  const sse = residual.reduce((sum, r) => sum + r * r, 0);
  const variance = (sse / n) * (free / (free - 2));
  const slopeStandardUncertainty = Math.sqrt(variance / ((sxx / n) * free));
  const half = tQuantile(0.975, free - 2) * slopeStandardUncertainty;
  const slopeCi95: Interval = [slope - half, slope + half];
  const against = { slope, slopeStandardUncertainty, slopeCi95 };
  const follows = slopeCi95[0] > 0.5 && slopeCi95[0] <= 1.05 && slopeCi95[1] >= 0.95;
  const stays = slopeCi95[1] < 0.5 || slopeCi95[0] > 1.05;
  if (!follows) return { ...unknown, ...against, followsWheel: stays ? false : null };

  const ratios = y.map((value, i) => value - x[i]);
  const mean = yMean - xMean;
  const freeRatio = Math.max(3, effective(ratios.map((r) => r - mean)));
  const spread = Math.sqrt(
    ratios.reduce((sum, r) => sum + (r - mean) ** 2, 0) / (n - 1) / freeRatio,
  );
  const band = tQuantile(0.975, freeRatio - 1) * spread;
  return {
    followsWheel: true,
    order: Math.exp(mean),
    orderCi95: [Math.exp(mean - band), Math.exp(mean + band)],
    ...against,
  };
}

/** How many independent values a series that follows itself is worth: n(1 − ρ)/(1 + ρ) (Bayley & Hammersley 1946). */
function effective(residual: readonly number[]): number {
  const n = residual.length;
  let top = 0;
  let all = 0;
  for (let i = 0; i < n; i++) {
    all += residual[i] ** 2;
    if (i > 0) top += residual[i] * residual[i - 1];
  }
  const rho = all > 0 ? Math.min(0.98, Math.max(0, top / all)) : 0;
  return Math.max(3, (n * (1 - rho)) / (1 + rho));
}

interface AgainstSpeed {
  at: number[];
  x: number[];
  y: number[];
}

/** Logarithms of wheel speed (x) and frequency (y) at the points of a track where the speed is known. */
export function againstSpeed(
  track: Pick<ToneTrack, 'timeS' | 'frequencyHz'>,
  speed: WheelSpeed,
  offsetS: number,
): AgainstSpeed {
  const x: number[] = [];
  const y: number[] = [];
  const at: number[] = [];
  let k = 0;
  track.timeS.forEach((t, i) => {
    const s = t + offsetS;
    while (k < speed.timeS.length - 2 && speed.timeS[k + 1] <= s) k++;
    const left = speed.timeS[k];
    const right = speed.timeS[k + 1];
    if (!(s >= left && s <= right && right - left <= 5)) return;
    const share = (s - left) / (right - left);
    const wheelHz = speed.wheelHz[k] + share * (speed.wheelHz[k + 1] - speed.wheelHz[k]);
    if (!(wheelHz > 0.1)) return;
    x.push(Math.log(wheelHz));
    y.push(Math.log(track.frequencyHz[i]));
    at.push(s);
  });
  return { at, x, y };
}

/** Seconds between two values of the speed, 2 at most. */
function blockOf({ timeS }: WheelSpeed): number {
  const last = timeS.length - 1;
  return last > 0 ? Math.min(2, (timeS[last] - timeS[0]) / last) : 1;
}

/** Means over blocks of time. */
function inBlocks({ at, x, y }: AgainstSpeed, blockS: number): { x: number[]; y: number[] } {
  const blocks = new Map<number, { n: number; x: number; y: number }>();
  at.forEach((t, i) => {
    const number = Math.floor((t - at[0]) / blockS);
    const block = blocks.get(number) ?? { n: 0, x: 0, y: 0 };
    blocks.set(number, { n: block.n + 1, x: block.x + x[i], y: block.y + y[i] });
  });
  const all = [...blocks.values()];
  return { x: all.map((block) => block.x / block.n), y: all.map((block) => block.y / block.n) };
}
