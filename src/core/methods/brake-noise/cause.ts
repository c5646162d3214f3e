/** What a cause is: in every setting that it may have, the density that each of its emitters gives to each tone heard. */
import type { Heard, Hearing } from './hearing.ts';
import type { SoundingSpoke } from './model.ts';
import { givenTorqueSpread, usualTorque } from './priors.ts';
import type { CauseId } from './result.ts';

export interface TorquePrior {
  medianNm: number;
  /** Of ln torque. */
  spread: number;
}

/** Where a cause puts a tone. */
export interface Predicted {
  hz: number;
  torqueNm: number;
  spoke: number;
  mode: 1 | 2;
}

export interface Setting {
  /** Logarithm of its share. */
  log: number;
  /** Whether it sounds while braking only. */
  needsBrake: boolean;
  /** Log density of each tone by emitter and tone; -Infinity where it would be silent. */
  fits: readonly Float64Array[];
  /** Share of each emitter. */
  shares: ArrayLike<number>;
  /** What an emitter predicts of a tone; null where the cause names no pitch. */
  predicted?: (emitter: number, tone: number) => Predicted | null;
}

export interface Cause {
  id: CauseId;
  /** How many of its emitters may sound in one recording. */
  most: 1 | 3;
  settings: Setting[];
  /** Density over ln f of a tone by its pitch alone. */
  pitchDensity: (lnHz: number) => number;
}

export const torquePrior = (givenNm: number | null): TorquePrior =>
  givenNm === null ? usualTorque : { medianNm: givenNm, spread: givenTorqueSpread };

export const normal = (x: number, middle: number, spread: number): number => {
  const z = (x - middle) / spread;
  return Math.exp(-0.5 * z * z) / (spread * Math.sqrt(2 * Math.PI));
};

export const spokeCauses = [
  'spokes-losing-disc-side',
  'spokes-gaining-disc-side',
  'spokes-other',
] as const;
export type SpokeCauseId = (typeof spokeCauses)[number];

export interface CauseInputs {
  hearing: Hearing;
  spokes: readonly SoundingSpoke[];
  torque: TorquePrior;
  /** Spread of an error that moves all spokes' pitches together, in ln f. */
  commonSpread: number;
  /** What is known to pass at each turn. */
  counts: readonly number[];
}

/**
 * Logarithm of the chance that a tone falls into, or out of, the braking; `mistaken`: how often
 * what needs the brake is taken to sound without it; null for what does not need it.
 */
export function logBraked(
  { unbraked }: Heard,
  { unbrakedShare }: Hearing,
  mistaken: number | null,
): number {
  if (unbraked === null || unbrakedShare === null) return 0;
  const outside = mistaken ?? unbrakedShare;
  return Math.log(unbraked ? outside : 1 - outside);
}
