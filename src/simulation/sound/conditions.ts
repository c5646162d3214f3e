import { simulateWheel } from './wheel.ts';
import type { SimulatedWheel } from './wheel.ts';

/** What makes the tone. The names are those of the finding, with one more for a ride that has no tone. */
export type NoiseCause =
  | 'spokes-losing-disc-side'
  | 'spokes-gaining-disc-side'
  | 'spokes-other'
  | 'brake-unit-squeal'
  | 'brake-unit-chatter'
  | 'turning-with-the-wheel'
  | 'none-of-these'
  | 'no-tone';

/** What turns with the wheel and is heard. */
export type TurningPart = 'rotor slots' | 'spokes passing' | 'tread blocks';

/** How a recorded descent is like. */
export interface NoiseConditions {
  durationS: number;
  sampleRateHz: number;
  wheel: SimulatedWheel;
  tone: {
    cause: NoiseCause;
    /** Power of the fundamental over the noise in the critical band about it, mean over each burst, dB. */
    toneToNoiseDb: number;
    /** Second, third … harmonic, dB against the fundamental. */
    harmonicsDb: number[];
    /** Spokes that sound, each with its own tone; which ones: drawn by the seed. */
    spokesSounding: number;
    /** Bending mode of the spokes, from 1, and the plane of a bladed spoke. */
    mode: number;
    plane: 'flatwise' | 'edgewise';
    /** Share of a spoke's tension change once a turn that is heard in its pitch (no source). */
    heardTurn: number;
    /** Squeal and chatter, Hz (Nakae et al. 2011: about 1000 and 500, whatever speed and torque). */
    squealHz: number;
    chatterHz: number;
    turning: { part: TurningPart; cyclesPerTurn: number };
    /** Something else: where it starts, how far ln f wanders (20 s), and whether it needs the brake. */
    elseHz: number;
    elseWander: number;
    elseWhileBraking: boolean;
    /** Small wander of every structure's pitch, in ln f. */
    jitter: number;
    /** Share of brakings that howl, and of the time inside one. */
    brakingsSounding: number;
    burstShare: number;
    /** A second, unrelated tone, dB against the first's tone to noise ratio; null: none. */
    stray: { hz: number; wander: number; againstDb: number } | null;
  };
  descent: {
    /** Rise over run, and how far it wanders (15 s). */
    gradient: number;
    gradientWander: number;
    massKg: number;
    dragAreaM2: number;
    /** Between these the rider lets it roll. */
    slowMps: number;
    fastMps: number;
    /** Brake torque of this wheel in one braking: median, spread of its ln, and wander within one (1 s). */
    torqueNm: number;
    torqueSpread: number;
    torqueWander: number;
    /** This wheel's share of all braking. */
    brakeShare: number;
  };
  background: {
    /** At 12 m/s of air, dB below full scale; grows with airspeed to the power 2.5 (no source). */
    windDbfs: number;
    headwindMps: number;
    gustMps: number;
    /** 300 to 2000 Hz at 12 m/s; grows with speed to the power 1.5 (no source). */
    tyreDbfs: number;
    /** Freehub while rolling, chain while pedalling: peak of one tick. */
    tickDbfs: number;
    freehubTicksPerTurn: number;
    floorDbfs: number;
    carsPerMinute: number;
    voicesPerMinute: number;
  };
  recorder: {
    /** 0: constant gain; 1: brings everything to the same level. */
    gainControl: number;
    /** Before the limit at full scale. */
    gainDb: number;
    highPassHz: number;
  };
  ride: {
    /** How long the ride recording runs before and after the sound. */
    leadS: number;
    tailS: number;
    everyS: number;
    speedNoiseMps: number;
    /** Relative: circumference set wrong. */
    speedScaleError: number;
    /** Clock of the sound recorder minus that of the ride recorder. */
    clockOffsetS: number;
    startEpochS: number;
  };
}

type Part<T> = { [K in keyof T]?: T[K] extends number ? T[K] : Partial<T[K]> };

/** Conditions as a caller gives them: any part may be left out. */
export type NoiseConditionsInput = Part<Omit<NoiseConditions, 'wheel'>> & {
  wheel?: SimulatedWheel;
};

const defaults: Omit<NoiseConditions, 'wheel'> = {
  durationS: 60,
  sampleRateHz: 16_000,
  tone: {
    cause: 'spokes-losing-disc-side',
    toneToNoiseDb: 0,
    harmonicsDb: [-14, -20],
    spokesSounding: 1,
    mode: 1,
    plane: 'flatwise',
    heardTurn: 0.15,
    squealHz: 1000,
    chatterHz: 500,
    turning: { part: 'rotor slots', cyclesPerTurn: 36 },
    elseHz: 750,
    elseWander: 0.01,
    elseWhileBraking: true,
    jitter: 0.001,
    brakingsSounding: 0.85,
    burstShare: 0.8,
    stray: null,
  },
  descent: {
    gradient: 0.08,
    gradientWander: 0.015,
    massKg: 85,
    dragAreaM2: 0.38,
    slowMps: 6,
    fastMps: 13,
    torqueNm: 35,
    torqueSpread: 0.3,
    torqueWander: 0.12,
    brakeShare: 0.65,
  },
  background: {
    windDbfs: -24,
    headwindMps: 0.5,
    gustMps: 1,
    tyreDbfs: -36,
    tickDbfs: -26,
    freehubTicksPerTurn: 36,
    floorDbfs: -78,
    carsPerMinute: 0.5,
    voicesPerMinute: 0.5,
  },
  recorder: { gainControl: 0.3, gainDb: 0, highPassHz: 40 },
  ride: {
    leadS: 30,
    tailS: 20,
    everyS: 1,
    speedNoiseMps: 0.05,
    speedScaleError: 0,
    clockOffsetS: 0,
    startEpochS: 1_779_004_800, // 2026-05-17 08:00 UTC
  },
};

/** Fills in what the caller left out. Throws RangeError on what cannot be recorded. */
export function noiseConditionsOf(input: NoiseConditionsInput = {}): NoiseConditions {
  const filled: NoiseConditions = {
    durationS: input.durationS ?? defaults.durationS,
    sampleRateHz: input.sampleRateHz ?? defaults.sampleRateHz,
    wheel: input.wheel ?? simulateWheel(),
    tone: { ...defaults.tone, ...input.tone },
    descent: { ...defaults.descent, ...input.descent },
    background: { ...defaults.background, ...input.background },
    recorder: { ...defaults.recorder, ...input.recorder },
    ride: { ...defaults.ride, ...input.ride },
  };
  const refuse = (what: string): never => {
    throw new RangeError(`cannot invent this sound: ${what}`);
  };
  if (!(filled.durationS > 0)) refuse('no time');
  if (!(filled.sampleRateHz >= 4000)) refuse('a sample rate below 4000 Hz has no room for a howl');
  if (!(filled.descent.fastMps > filled.descent.slowMps)) refuse('fastMps must be above slowMps');
  if (!(filled.tone.spokesSounding >= 1)) refuse('no spoke to sound');
  return filled;
}
