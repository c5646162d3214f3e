import {
  drawNoiseRide,
  simulateNoiseRide,
  simulatePlucks,
  simulatedWheelSheet,
} from '../src/simulation/index.ts';
import type { NoiseRide, NoiseTruth, SimulatedPlucks } from '../src/simulation/index.ts';

/** What the tester brings besides the sound. */
export type Brought = 'everything' | 'wheel and ride' | 'sound alone';

export interface NoiseJob {
  table: 'causes' | 'no tone';
  seed: number;
  brought: Brought;
  /** Null: −3 to 12 dB, by the seed. */
  toneToNoiseDb: number | null;
  durationS: number;
}

/** What an estimator is given: only what a tester would have. */
export interface NoiseEvidence {
  sampleRateHz: number;
  lengthSamples: number;
  blocks: () => Iterable<Float32Array>;
  /** In the sound's clock. */
  ride: { timeS: number[]; speedMps: number[]; tyreRadiusM: number; rotorSlots: number } | null;
  wheelSheet: string | null;
  plucks: Pick<SimulatedPlucks, 'samples' | 'sampleRateHz' | 'brakeTorqueNm'>[];
  brakeTorqueNm: number | null;
}

/** What it answers. */
export interface NoiseVerdict {
  tones: { hz: number; from: number; to: number }[];
  /** Any order; empty when it heard nothing. */
  causes: { id: string; odds: number }[];
}

export type NoiseEstimator = (evidence: NoiseEvidence) => NoiseVerdict;

/** The ride of a job, with its truth. */
export function caseOf(job: NoiseJob): { evidence: NoiseEvidence; truth: NoiseTruth } {
  const { conditions, lever, torqueFactor, pluckSeed } = drawNoiseRide(job.seed, {
    toneToNoiseDb: job.toneToNoiseDb,
    durationS: job.durationS,
    ...(job.table === 'no tone' ? { shares: null } : {}),
  });
  const { wheel } = conditions;
  const sound: NoiseRide = simulateNoiseRide(conditions, job.seed);
  const { truth } = sound;
  const alone = job.brought === 'sound alone';
  const sessions = job.brought === 'everything' ? [null, lever] : [];
  const evidence: NoiseEvidence = {
    sampleRateHz: sound.sampleRateHz,
    lengthSamples: sound.lengthSamples,
    blocks: () => sound.samples(),
    ride: alone
      ? null
      : {
          timeS: sound.ride.timeS.map((t) => t - truth.soundStartS),
          speedMps: sound.ride.speedMps,
          tyreRadiusM: wheel.tyreRadiusM,
          rotorSlots: wheel.rotorSlots,
        },
    wheelSheet: alone ? null : simulatedWheelSheet(wheel),
    plucks: sessions.map((weight, k) =>
      simulatePlucks({ wheel, lever: weight, sampleRateHz: 16_000 }, 2 * pluckSeed + k),
    ),
    brakeTorqueNm: alone || truth.meanTorqueNm === null ? null : truth.meanTorqueNm * torqueFactor,
  };
  return { evidence, truth };
}
