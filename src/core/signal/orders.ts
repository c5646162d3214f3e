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
 * Regresses log frequency on log wheel speed over the track, power-weighted by nothing: each point counts once. Neighbouring
 * points err together (a speed sensor lags, a howl wanders), so the count is reduced by their autocorrelation. Told as following
 * when the 95 % interval of the slope holds 1 and not 0.5, as staying when it holds 0 or lies below 0.5, null otherwise.
 */
export function followSpeed(
  track: Pick<ToneTrack, 'timeS' | 'frequencyHz'>,
  speed: WheelSpeed,
  { offsetS = 0 }: FollowOptions = {},
): Following {
  const x: number[] = [];
  const y: number[] = [];
  let at = 0;
  track.timeS.forEach((t, i) => {
    const s = t + offsetS;
    while (at < speed.timeS.length - 2 && speed.timeS[at + 1] <= s) at++;
    const left = speed.timeS[at];
    const right = speed.timeS[at + 1];
    if (!(s >= left && s <= right && right - left <= 5)) return;
    const share = (s - left) / (right - left);
    const wheelHz = speed.wheelHz[at] + share * (speed.wheelHz[at + 1] - speed.wheelHz[at]);
    if (!(wheelHz > 0.1)) return;
    x.push(Math.log(wheelHz));
    y.push(Math.log(track.frequencyHz[i]));
  });
  const n = x.length;
  if (n < 5) return unknown;
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
  if (free < 3.5) return unknown;
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
  const freeRatio = Math.max(2, effective(ratios.map((r) => r - mean)));
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
  return Math.max(2, (n * (1 - rho)) / (1 + rho));
}
