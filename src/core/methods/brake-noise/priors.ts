/**
 * What is held of each cause before the sound is heard. None of these is measured on a population of bicycles;
 * they are stated so that a person can disagree. Published: squeal near 1 kHz, chatter near 500 Hz, both
 * independent of disc speed (Nakae, Ryu, Sueoka, Nakano, Inoue 2011, J Sound Vib 330:2138-2149).
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

/** Tones outside are shown but not judged, Hz. */
export const judgedHz = { low: 60, high: 6000 };

/** Where an unknown tone may lie: anywhere on the logarithmic scale between these, Hz. */
export const tonalRangeHz = { low: 150, high: 4000 };

/** Density of an unknown tone outside that, in ln f. */
export const outsideDensity = 0.02;

/** What passes with the wheel's turning: anywhere between these, Hz. */
export const turningRangeHz = { low: 60, high: 3000 };

/** Published frequencies with the spread that other brakes may have, in ln f (ours, no source). */
export const brakeUnit = {
  'brake-unit-squeal': { hz: 1000, spread: 0.2 },
  'brake-unit-chatter': { hz: 500, spread: 0.2 },
} as const;

/** Brake torque of one wheel when the person gives none: median and spread in ln (from 15 N m to 90 N m). */
export const usualTorque = { medianNm: 35, spread: 0.45 };
/** Spread of a torque that the person gave: the mean of a braking is known, the moment is not. */
export const givenTorqueSpread = 0.3;

/** Spoke pitches when neither wheel nor plucks are known, Hz: even over ln f. */
export const anySpokeHz = { low: 180, high: 900 };

/** Share of a spoke's ringing that goes to its second bending mode (ours, no source). */
export const secondModeShare = 0.1;

/** Chance that a tone has nothing to do with the cause asked about: the strongest, and any other. */
export const strayShare = { strongest: 0.05, other: 0.4 };

/**
 * How much ln f of a source wanders within a recording: median and spread of its logarithm (ours, no source).
 * `held`: what is left when the pitch's slope with torque is taken off.
 */
export const wander = {
  brakeUnit: { median: 0.0025, spread: 0.6 },
  spokesHeld: { median: 0.003, spread: 0.6 },
  none: { median: 0.011, spread: 1.1 },
  wheel: { median: 0.1, spread: 1.2 },
  unknownSpoke: { median: 0.01, spread: 1.0 },
  /** Torque varies by this share while braking. */
  torqueShare: 0.3,
  spokeSpread: 0.7,
  /** Of a spoke so near to slack that more torque would silence it. */
  nearSlack: 0.1,
  /** Less than this the analysis does not see. */
  floor: 0.0005,
};

/** Slope of ln f against ln torque: error of the torque seen in the speed, and what a stranger may do. */
export const torqueSlopes = {
  /** Of the slope itself, as a share. */
  share: 0.2,
  floor: 0.004,
  none: 0.03,
  wheel: 0.3,
  /** Spokes of an unknown wheel: 35 N m change the pitch by about a tenth (from memory). */
  unknownSpoke: { size: 0.1, spread: 0.08 },
};

/** Share of sources that sound for a good part without the brake. */
export const soundsWithoutBrake = {
  least: 0.3,
  brake: 0.04,
  wheel: 0.7,
  none: 0.4,
};

/**
 * Slope of ln f against ln wheel speed beyond its own uncertainty: a structure's pitch may follow torque, and
 * torque speed; a stranger's may do anything (ours, no source).
 */
export const slopes = {
  structureSpread: 0.1,
  wheelSpread: 0.02,
  anythingSpread: 1,
  anythingShare: 0.3,
  /** Of a structure's slopes, those that something unforeseen has spoilt. */
  spoiltShare: 0.05,
};
