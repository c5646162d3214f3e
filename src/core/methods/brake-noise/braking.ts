/**
 * How hard the ride was braked over a stretch, from its speed alone: brake torque is what slows the wheel more
 * than rolling on would. Mass and the brake's share are not known, so it is a torque in units of its own; that
 * is enough to see whether a pitch follows it.
 */
import type { WheelSpeed } from '../../signal/index.ts';

export interface Braking {
  /**
   * Slowing about a stretch beyond rolling on, turns/s², with its standard uncertainty; null where nobody braked
   * or speed is not known. A second to each side is looked at, but not beyond the ends of the braking.
   */
  at(fromS: number, toS: number): { slowing: number; standardUncertainty: number } | null;
  /** Stretches in which the ride was braked, s. */
  brakings: readonly { fromS: number; toS: number }[];
}

/** For telling braking from rolling, speed is fitted by a line over this long to each side, s. */
const halfWindowS = 1.5;
/** Turns per second squared: below this between hard and soft, nobody braked and rolled by turns (0.4 m/s²). */
const leastContrast = 0.19;
/** Of the middle braking: softer is taken for rolling. */
const leastShare = 0.35;
/** Slope of the road and gusts move the slowing by about this from place to place (0.1 m/s²; ours, no source). */
const roadSpread = 0.047;
/** Noise of one speed value, turns/s (0.05 m/s; from memory of wheel sensors). */
const speedNoise = 0.024;

/** Null when speed never shows braking beside rolling. */
export function brakingOf(speed: WheelSpeed): Braking | null {
  const moments = momentsOf(speed);
  if (moments.length < 8) return null;
  const sorted = moments.map(({ gain }) => gain).sort((a, b) => a - b);
  const quantile = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))];
  const [hard, soft] = [quantile(0.05), quantile(0.95)];
  if (soft - hard < leastContrast) return null;
  const middle = (hard + soft) / 2;
  const rollOn = rollingOn(moments.filter(({ gain }) => gain > middle));
  const typical = median(
    moments.filter(({ gain }) => gain <= middle).map(({ hz, gain }) => rollOn(hz) - gain),
  );
  const least = Math.max(leastShare * typical, roadSpread);
  const brakings = stretchesOf(moments.filter((one) => rollOn(one.hz) - one.gain > least));
  const slowingOver = (fromS: number, toS: number): Slowing | null => {
    const line = lineOver(speed, fromS, toS);
    if (line === null) return null;
    return {
      slowing: rollOn(line.hz) - line.gain,
      standardUncertainty: Math.hypot(speedNoise / Math.sqrt(line.sumOfSquares), roadSpread),
    };
  };
  return {
    brakings,
    at(fromS, toS) {
      const middle = (fromS + toS) / 2;
      const own = brakings.find((one) => middle >= one.fromS - edgeS && middle <= one.toS + edgeS);
      if (own === undefined) return null;
      const near = slowingOver(Math.max(own.fromS, fromS - 1), Math.min(own.toS, toS + 1));
      const whole = slowingOver(own.fromS, own.toS);
      if (near === null || whole === null) return whole;
      // What a few speeds show is mixed with the mean of the braking: torque differs less within one than between.
      const slowing = (near.slowing + whole.slowing) / 2;
      if (slowing < least / 2) return null;
      return { slowing, standardUncertainty: near.standardUncertainty };
    },
  };
}

interface Slowing {
  slowing: number;
  standardUncertainty: number;
}

/** A howl may begin so long before speed shows it, s. */
const edgeS = 0.75;

/** Neighbouring moments joined. */
function stretchesOf(moments: readonly Moment[]): { fromS: number; toS: number }[] {
  const stretches: { fromS: number; toS: number }[] = [];
  for (const { atS } of moments) {
    const last = stretches.at(-1);
    if (last && atS - last.toS < 0.75) last.toS = atS;
    else stretches.push({ fromS: atS, toS: atS });
  }
  return stretches.filter(({ fromS, toS }) => toS - fromS >= 0.5);
}

interface Moment {
  atS: number;
  hz: number;
  /** Turns per second gained each second. */
  gain: number;
}

/** A line through the speeds about each moment, one each half second. */
function momentsOf(speed: WheelSpeed): Moment[] {
  const moments: Moment[] = [];
  const { timeS } = speed;
  if (timeS.length < 3) return moments;
  for (let t = timeS[0]; t <= timeS[timeS.length - 1]; t += 0.5) {
    const line = lineOver(speed, t - halfWindowS, t + halfWindowS);
    if (line !== null) moments.push({ ...line, atS: t });
  }
  return moments;
}

/** Least squares over at least three values; those just outside are taken where there are fewer. */
function lineOver(
  { timeS, wheelHz }: WheelSpeed,
  fromS: number,
  toS: number,
): (Omit<Moment, 'atS'> & { sumOfSquares: number }) | null {
  let first = lowerBound(timeS, fromS);
  let last = lowerBound(timeS, toS);
  const centre = (fromS + toS) / 2;
  while (last - first < 3) {
    const before = first > 0 ? centre - timeS[first - 1] : Infinity;
    const after = last < timeS.length ? timeS[last] - centre : Infinity;
    if (Math.min(before, after) > (toS - fromS) / 2 + 2) return null;
    if (before < after) first--;
    else last++;
  }
  let [n, st, sv] = [0, 0, 0];
  for (let i = first; i < last; i++) {
    if (!Number.isFinite(wheelHz[i])) return null;
    n++;
    st += timeS[i];
    sv += wheelHz[i];
  }
  const [mt, mv] = [st / n, sv / n];
  let [stt, stv] = [0, 0];
  for (let i = first; i < last; i++) {
    stt += (timeS[i] - mt) ** 2;
    stv += (timeS[i] - mt) * (wheelHz[i] - mv);
  }
  return stt > 0 ? { hz: mv, gain: stv / stt, sumOfSquares: stt } : null;
}

/** First place whose value is not below `wanted`. */
function lowerBound(values: ArrayLike<number>, wanted: number): number {
  let [low, high] = [0, values.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** What the wheel gains when it rolls: slope of the road less drag that grows with the square of speed. */
function rollingOn(rolling: readonly Moment[]): (hz: number) => number {
  const n = rolling.length;
  const x = rolling.map(({ hz }) => hz * hz);
  const [mx, my] = [
    x.reduce((sum, value) => sum + value, 0) / n,
    rolling.reduce((sum, { gain }) => sum + gain, 0) / n,
  ];
  const sxx = x.reduce((sum, value) => sum + (value - mx) ** 2, 0);
  const sxy = x.reduce((sum, value, i) => sum + (value - mx) * (rolling[i].gain - my), 0);
  const drag = sxx > 0 ? Math.min(0, sxy / sxx) : 0;
  return (hz) => my + drag * (hz * hz - mx);
}

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
