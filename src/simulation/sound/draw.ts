/**
 * Rides at random for measuring: what each is like is drawn from spreads stated here. They are common practice
 * or plain guesses (no source) but for squeal and chatter (Nakae et al. 2011).
 */
import { randomStream } from '../random.ts';
import type { RandomStream } from '../random.ts';
import type { NoiseCause, NoiseConditionsInput, TurningPart } from './conditions.ts';
import { simulateWheel } from './wheel.ts';
import type { SimulatedWheel } from './wheel.ts';

/** Share of each cause among rides that have a tone. */
export const drawnCauses: Record<Exclude<NoiseCause, 'no-tone'>, number> = {
  'spokes-losing-disc-side': 0.25,
  'spokes-gaining-disc-side': 0.1,
  'spokes-other': 0.1,
  'brake-unit-squeal': 0.2,
  'brake-unit-chatter': 0.1,
  'turning-with-the-wheel': 0.1,
  'none-of-these': 0.15,
};

/** A ride to be judged, and what the tester brings besides the sound. */
export interface DrawnRide {
  conditions: NoiseConditionsInput & { wheel: SimulatedWheel };
  /** The tester's guess of the mean torque is wrong by this factor. */
  torqueFactor: number;
  pluckSeed: number;
  /** Lever and weight of the plucks under torque. */
  lever: { massKg: number; lengthM: number };
}

const between = (random: RandomStream, low: number, high: number): number =>
  low + (high - low) * random.uniform();
const logBetween = (random: RandomStream, low: number, high: number): number =>
  low * (high / low) ** random.uniform();
const oneOf = <T>(random: RandomStream, of: readonly T[]): T =>
  of[Math.floor(random.uniform() * of.length)];

/** One cause by its share. Shares need not add up to one. */
export function drawCause(
  random: RandomStream,
  shares: Partial<Record<NoiseCause, number>> = drawnCauses,
): NoiseCause {
  const all = Object.entries(shares) as [NoiseCause, number][];
  let left = random.uniform() * all.reduce((sum, [, share]) => sum + share, 0);
  for (const [cause, share] of all) {
    left -= share;
    if (left < 0) return cause;
  }
  return all[all.length - 1][0];
}

/** An invented front wheel with the tester's errors: tension meter 5 %, modulus 2 %. */
export function drawWheel(random: RandomStream, seed: number): SimulatedWheel {
  const [count, cross] = oneOf(random, [
    [24, 2],
    [28, 2],
    [28, 3],
    [32, 3],
  ] as const);
  return simulateWheel(
    {
      count,
      cross,
      discSide: 'left',
      seatRadiusM: between(random, 0.275, 0.302),
      tyreRadiusM: between(random, 0.332, 0.345),
      rotorSlots: oneOf(random, [24, 30, 36, 42, 48]),
      flangeRadiusM: between(random, 0.02, 0.029),
      discFlangeOffsetM: between(random, 0.022, 0.027),
      otherFlangeOffsetM: between(random, 0.031, 0.037),
      section: oneOf(random, [
        { diameterM: 0.002 },
        { diameterM: 0.0018 },
        { diameterM: 0.0017 },
        { widthM: 0.0022, thicknessM: 0.0009 },
      ]),
      meanTensionN: between(random, 850, 1200),
      tensionScatter: logBetween(random, 0.03, 0.1),
      endFixity: between(random, 0.6, 1),
      youngPa: 200e9,
      stated: {
        youngFactor: Math.exp(0.02 * random.normal()),
        tensionFactor: Math.exp(0.05 * random.normal()),
      },
    },
    seed,
  );
}

/** Passing spokes seldom: their tone lies where the wind is loudest. */
const drawPart = (u: number): TurningPart =>
  u < 0.4 ? 'rotor slots' : u < 0.9 ? 'tread blocks' : 'spokes passing';

/** Options of a draw: what is held fast. */
export interface DrawOptions {
  /** Null: a ride without a tone. */
  shares?: Partial<Record<NoiseCause, number>> | null;
  /** Null: −3 to 12 dB. */
  toneToNoiseDb?: number | null;
  durationS?: number;
  sampleRateHz?: number;
}

/** A ride at random. The same seed and options give the same one. */
export function drawNoiseRide(seed: number, options: DrawOptions = {}): DrawnRide {
  const {
    shares = drawnCauses,
    toneToNoiseDb = 0,
    durationS = 60,
    sampleRateHz = 16_000,
  } = options;
  const random = randomStream(seed, 'what the ride is like');
  const cause = drawCause(random, shares ?? { 'no-tone': 1 });
  const wheel = drawWheel(randomStream(seed, 'what the wheel is like'), seed);
  const part = drawPart(random.uniform());
  const cyclesPerTurn = {
    'rotor slots': wheel.rotorSlots,
    'spokes passing': wheel.spokes.length,
    'tread blocks': Math.round(logBetween(random, 60, 130)),
  }[part];
  const drawnDb = between(random, -3, 12);
  const strayed = random.uniform();
  return {
    conditions: {
      durationS,
      sampleRateHz,
      wheel,
      tone: {
        cause,
        toneToNoiseDb: toneToNoiseDb ?? drawnDb,
        harmonicsDb: [between(random, -24, -8), between(random, -30, -14)],
        spokesSounding: oneOf(random, [1, 1, 1, 2, 3]),
        mode: random.uniform() < 0.1 ? 2 : 1,
        plane: oneOf(random, ['flatwise', 'edgewise'] as const),
        heardTurn: between(random, 0, 0.3),
        squealHz: 1000 * Math.exp(0.2 * random.normal()),
        chatterHz: 500 * Math.exp(0.2 * random.normal()),
        turning: { part, cyclesPerTurn },
        elseHz: logBetween(random, 200, 3000),
        elseWander: logBetween(random, 0.002, 0.06),
        elseWhileBraking: random.uniform() < 0.6,
        jitter: logBetween(random, 0.0005, 0.003),
        brakingsSounding: between(random, 0.6, 1),
        burstShare: between(random, 0.6, 1),
        stray:
          cause !== 'no-tone' && strayed < 0.15
            ? {
                hz: logBetween(random, 200, 3000),
                wander: logBetween(random, 0.002, 0.06),
                againstDb: between(random, -6, 0),
              }
            : null,
      },
      descent: {
        gradient: between(random, 0.06, 0.11),
        massKg: between(random, 65, 100),
        slowMps: between(random, 4, 7),
        fastMps: between(random, 10, 15),
        torqueNm: 35 * Math.exp(0.45 * random.normal()),
      },
      background: {
        windDbfs: between(random, -32, -20),
        headwindMps: between(random, -2, 3),
        gustMps: between(random, 0.3, 1.8),
        tyreDbfs: between(random, -44, -32),
        tickDbfs: between(random, -45, -22),
        freehubTicksPerTurn: oneOf(random, [18, 24, 36, 54, 72]),
        carsPerMinute: 0.5,
        voicesPerMinute: 0.4,
      },
      recorder: {
        gainControl: between(random, 0, 0.6),
        highPassHz: logBetween(random, 20, 120),
      },
      ride: {
        leadS: Math.round(between(random, 10, 60)),
        speedNoiseMps: 0.05,
        speedScaleError: 0.01 * random.normal(),
        clockOffsetS: 0,
      },
    },
    torqueFactor: Math.exp(0.3 * random.normal()),
    pluckSeed: seed,
    lever: { massKg: 10, lengthM: between(random, 0.25, 0.5) },
  };
}
