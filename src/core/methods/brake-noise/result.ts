import type { SoundFormat, SoundLevels } from '../../evidence/index.ts';
import type { Interval, Problem } from '../../units/index.ts';

/** A tone of the recording with what the wheel's speed says of it. */
export interface Tone {
  /** From 1, strongest first; explanations refer to it. */
  tone: number;
  /** Power-weighted mean over the tone. */
  hz: number;
  ci95: Interval;
  /** Root mean square, dB below full scale. */
  levelDb: number;
  toneToNoiseDb: number;
  /** Seconds from the start of the recording. */
  from: number;
  to: number;
  driftHzPerS: number;
  /** Whether the frequency is proportional to wheel speed; null: no speed, or it did not change enough to tell. */
  followsWheel: boolean | null;
  /** Cycles per turn of the wheel when it follows; null otherwise. */
  order: number | null;
  /** What that order is made by, when it is known: `rotor slots`, `spokes passing` … */
  orderName: string | null;
  /** `tone` of the fundamental of which this is a harmonic, and which one. */
  harmonicOf: number | null;
  harmonic: number | null;
  /** For drawing: seconds and Hz. */
  track: { timeS: number[]; hz: number[] };
}

export interface Pluck {
  file: string;
  /** Number of the spoke as told or as the order of plucking says; null: not assigned. */
  spoke: number | null;
  atS: number;
  hz: number;
  ci95: Interval;
  q: number | null;
  /** From the pitch through the tensioned spoke of the wheel sheet; null without one. */
  tensionN: number | null;
  tensionCi95: Interval | null;
  /** Torque on the hub while it was plucked, Nm. */
  brakeTorqueNm: number;
  used: boolean;
  reason: string | null;
}

/** Frequency of one spoke against brake torque. */
export interface SpokeCurve {
  spoke: number;
  /** Side and role are known from a wheel sheet only. */
  side: 'left' | 'right' | null;
  /** Geometry's name; what it does under braking is in `underBraking`. */
  role: 'leading' | 'trailing' | 'radial' | null;
  underBraking: 'gains' | 'loses' | 'unchanged';
  discSide: boolean | null;
  /** Which bending: for a round spoke both are one. */
  plane: 'both' | 'flatwise' | 'edgewise';
  torqueNm: number[];
  hz: number[];
  tensionN: number[] | null;
  /** From plucks, from the wheel's mechanics, or from the mechanics drawn through the plucks. */
  basis: 'plucks' | 'mechanics' | 'both';
}

export type CauseId =
  | 'spokes-losing-disc-side'
  | 'spokes-gaining-disc-side'
  | 'spokes-other'
  | 'brake-unit-squeal'
  | 'brake-unit-chatter'
  | 'turning-with-the-wheel'
  | 'none-of-these';

export interface Explanation {
  id: CauseId;
  /** In words. */
  cause: string;
  /** Probability given the recording, the candidates and the stated priors; all add up to 1. */
  odds: number;
  /** Where this cause would put its tone, Hz, at `atTorqueNm`; empty where it predicts none. */
  predictedHz: number[];
  atTorqueNm: number[];
  /** Of which tones it speaks. */
  tones: number[];
  /** Probability that a tone placed at random would fit this cause as well. */
  byChance: number | null;
  why: string;
}

/** Something to try, with what the next recording would show if the explanation is right. */
export interface Suggestion {
  change: string;
  expect: string;
  for: CauseId;
}

export interface BrakeNoiseFinding {
  schema: 'lapbench/brake-noise@1';
  sound: SoundFormat & SoundLevels & { file: string; channelUsed: string };
  tones: Tone[];
  plucks: Pluck[];
  curves: SpokeCurve[];
  explanations: Explanation[];
  suggestions: Suggestion[];
  brakeTorqueNm: { value: number; ci95: Interval; basis: string } | null;
  wheel: { name: string } | null;
  /** How the sound's clock was laid on the ride's; null without a ride. */
  alignment: { offsetS: number; how: 'clock' | 'told' | 'speed'; uncertaintyS: number } | null;
  warnings: Problem[];
  cautions: string[];
  method: 'brake-noise 1';
  inputs: { file: string; sha256: string }[];
}
