/**
 * Gears: ratio = chainring/sprocket, development = ratio·circumference, speed = development·cadence; and
 * what a climb asks of them, by the road load (core/physics, after Martin et al. 1998).
 */
import { roadLoadPower } from '../../physics/index.ts';
import { compare, over, ratio, times, valueOf, type Ratio } from './ratio.ts';

/** One pair of chainring and sprocket. */
export interface Gear {
  chainring: number;
  sprocket: number;
  /** Turns of the wheel for one of the cranks. */
  ratio: Ratio;
  /** Metres for one turn of the cranks. */
  developmentM: Ratio;
}

/** Every pair, easiest first; alike ones by chainring. `circumferenceUm`: whole micrometres. */
export function allGears(
  chainrings: readonly number[],
  cassette: readonly number[],
  circumferenceUm: number,
): Gear[] {
  const circumference = ratio(circumferenceUm, 1_000_000);
  return chainrings
    .flatMap((chainring) =>
      cassette.map((sprocket) => {
        const own = ratio(chainring, sprocket);
        return { chainring, sprocket, ratio: own, developmentM: times(own, circumference) };
      }),
    )
    .sort((a, b) => compare(a.ratio, b.ratio) || a.chainring - b.chainring);
}

/** Speed in m/s of a development at a cadence: exactly development·cadence/60. */
export const speedAtCadenceMps = (developmentM: Ratio, cadenceRpm: number): number =>
  (developmentM.numerator * cadenceRpm) / (developmentM.denominator * 60);

/** Cadence at a speed, 1/min. */
export const cadenceAtSpeedRpm = (developmentM: Ratio, speedMps: number): number =>
  (60 * speedMps * developmentM.denominator) / developmentM.numerator;

/** How much harder `to` is than `from`, percent: 100·(to/from − 1). */
export const stepPercent = (from: Ratio, to: Ratio): number => {
  const { numerator, denominator } = over(to, from);
  return (100 * (numerator - denominator)) / denominator;
};

/** How much of the smaller ring's span the larger one's repeats, percent of it on a scale of equal steps (logarithms). */
export function overlapPercent(
  small: { lowest: Ratio; highest: Ratio },
  large: { lowest: Ratio },
): number {
  const span = Math.log(valueOf(over(small.highest, small.lowest)));
  if (span === 0) return 0;
  const shared = Math.log(valueOf(over(small.highest, large.lowest)));
  return Math.min(100, Math.max(0, (100 * shared) / span));
}

/** Steady climbing in still air. */
export interface Climbing {
  massKg: number;
  gradient: number;
  crr: number;
  cdaM2: number;
  airDensityKgM3: number;
  drivetrainEfficiency: number;
}

/** Power at the cranks for a steady speed, W. */
export function climbingPowerW(climb: Climbing, speedMps: number): number {
  return roadLoadPower({
    ...climb,
    groundSpeedMps: speedMps,
    airspeedMps: speedMps,
    accelerationMps2: 0,
    wheelInertiaKgM2: 0,
    wheelRadiusM: 1,
  }).meterW;
}

/** Steady speed at a power, m/s: the power only grows with speed where the road does not fall. */
export function climbingSpeedMps(climb: Climbing, powerW: number): number {
  if (!(climb.gradient >= 0 && powerW > 0))
    throw new RangeError('a climb does not fall, and takes power');
  let low = 0;
  let high = 40;
  while (climbingPowerW(climb, high) < powerW) high *= 2;
  for (let round = 0; round < 100 && high - low > 1e-14 * high; round++) {
    const middle = (low + high) / 2;
    if (climbingPowerW(climb, middle) < powerW) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
