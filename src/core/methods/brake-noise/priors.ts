/**
 * What is held of each cause before the sound is heard. But where a source is given none of these is measured on a
 * population of bicycles (ours, no source); they are stated so that a person can disagree. Published: squeal near
 * 1 kHz, chatter near 500 Hz, both independent of disc speed (Nakae, Ryu, Sueoka, Nakano, Inoue 2011, J Sound Vib
 * 330:2138-2149). Spreads are standard deviations of a natural logarithm.
 */
import type { CauseId } from './result.ts';

export const priorOdds: Record<CauseId, number> = {
  'spokes-losing-disc-side': 0.25,
  'spokes-gaining-disc-side': 0.1,
  'spokes-other': 0.1,
  'brake-unit-squeal': 0.2,
  'brake-unit-chatter': 0.1,
  'turning-with-the-wheel': 0.1,
  'none-of-these': 0.15,
};

/**
 * What was heard counts with this exponent (likelihood to the power 0.8), for the likelihood knows neither missed nor merged tones and is
 * too sure. Set on invented rides (seeds 301 to 450) where the mean logarithm of the odds of the truth was best; a correction, not a
 * property of bicycles.
 */
export const evidenceCounts = 0.8;

/** Tones outside are shown but not judged, Hz. */
export const judgedHz = { low: 60, high: 6000 };

/** Where an unknown tone may lie: anywhere on the logarithmic scale between these, Hz. */
export const tonalRangeHz = { low: 150, high: 4000 };

/** Density of an unknown tone outside that, in ln f. */
export const outsideDensity = 0.02;

/** What passes with the wheel's turning: anywhere between these, Hz. */
export const turningRangeHz = { low: 60, high: 3000 };
/** Share of it that goes to what is known to pass: spokes, rotor slots; its spread is the wheel's circumference. */
export const knownPassing = { share: 0.5, spread: 0.012 };

/** Published frequencies with the spread that other brakes may have. */
export const brakeUnit = {
  'brake-unit-squeal': { hz: 1000, spread: 0.2 },
  'brake-unit-chatter': { hz: 500, spread: 0.2 },
} as const;

/** Brake torque of one wheel when the person gives none: median and spread (from 15 N m to 90 N m). */
export const usualTorque = { medianNm: 35, spread: 0.45 };
/** Spread of a torque that the person gave: the mean of a braking is known, the moment is not. */
export const givenTorqueSpread = 0.3;

/** Spoke pitches when neither wheel nor plucks are known, Hz: even over ln f. */
export const anySpokeHz = { low: 180, high: 900 };
/** Slope of ln f with ln torque of spokes of an unknown wheel: 35 N m change the pitch by about a tenth (from memory). */
export const unknownSpokeSlopes = [0.03, 0.06, 0.1, 0.15, 0.2];

/** Share of a spoke's ringing that goes to its second bending mode. */
export const secondModeShare = 0.1;

/** How many spokes sound together: one, two or three. */
export const spokesTogether = [0.6, 0.25, 0.15];

/** Share of tones that have nothing to do with the howl: few, or in some recordings many. */
export const strays = [
  { share: 0.03, weight: 0.75 },
  { share: 0.35, weight: 0.25 },
];
/** Share for the most prominent tone: it is the howl. */
export const prominentStrays = 0.05;

/** A stray sounds where another did before, or elsewhere: weight of elsewhere against one tone heard before. */
export const strayElsewhere = 1;

/** Scatter of ln f that is not explained: from tone to tone, and from second to second within one; with weights. */
export interface Scatter {
  tone: number;
  piece: number;
  weight: number;
}

/** Of a brake unit. */
export const structureScatter: readonly Scatter[] = [
  { tone: 0.0005, piece: 0.0003, weight: 0.1 },
  { tone: 0.001, piece: 0.0006, weight: 0.15 },
  { tone: 0.002, piece: 0.0012, weight: 0.3 },
  { tone: 0.004, piece: 0.0025, weight: 0.3 },
  { tone: 0.008, piece: 0.005, weight: 0.15 },
];
/** Of a spoke when its pitch's change with the torque that speed shows is taken off: torque changes within a second. */
export const spokeScatter: readonly (Scatter & {
  /** Torque that speed does not show, as a share of what is usual: some hands are steady. */
  unsteady: number;
})[] = [
  { tone: 0.0007, piece: 0.0007, unsteady: 0.2, weight: 0.15 },
  { tone: 0.0015, piece: 0.001, unsteady: 0.5, weight: 0.2 },
  { tone: 0.002, piece: 0.002, unsteady: 1, weight: 0.3 },
  { tone: 0.004, piece: 0.004, unsteady: 1, weight: 0.22 },
  { tone: 0.008, piece: 0.007, unsteady: 1.3, weight: 0.13 },
];
/** Of something unknown: from as steady as a brake to a voice; slow more often than quick. */
export const unknownScatter: readonly Scatter[] = [
  { tone: 0.0005, piece: 0.0003, weight: 0.05 },
  { tone: 0.001, piece: 0.0006, weight: 0.05 },
  { tone: 0.002, piece: 0.001, weight: 0.1 },
  { tone: 0.004, piece: 0.002, weight: 0.15 },
  { tone: 0.008, piece: 0.004, weight: 0.2 },
  { tone: 0.02, piece: 0.008, weight: 0.2 },
  { tone: 0.05, piece: 0.015, weight: 0.2 },
  { tone: 0.1, piece: 0.05, weight: 0.05 },
];
/** Of what turns, when the wheel's speed is taken off: the error of the speed. */
export const turningScatter: readonly Scatter[] = [
  { tone: 0.003, piece: 0.004, weight: 0.6 },
  { tone: 0.006, piece: 0.01, weight: 0.4 },
];
/** Of what turns, when speed is not known: speed itself. */
export const turningUnknownSpeed: readonly Scatter[] = [
  { tone: 0.1, piece: 0.03, weight: 0.3 },
  { tone: 0.25, piece: 0.08, weight: 0.4 },
  { tone: 0.3, piece: 0.2, weight: 0.3 },
];

/**
 * How often a tone of something that needs the brake is taken to sound without it: seldom, or, where the road's slope
 * hides soft brakings, in a quarter.
 */
export const unbrakedByMistake = [
  { share: 0.03, weight: 0.8 },
  { share: 0.25, weight: 0.2 },
];
/** Share of causes that sound while braking only. */
export const needsBrake = { turning: 0.5, none: 0.6 };
