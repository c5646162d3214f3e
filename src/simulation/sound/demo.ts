import { simulatePlucks } from './plucks.ts';
import type { SimulatedPlucks } from './plucks.ts';
import { simulateNoiseRide } from './ride.ts';
import type { NoiseRide, NoiseTruth } from './ride.ts';
import { simulatedWheelSheet } from './wheel-sheet.ts';
import { simulateWheel } from './wheel.ts';

/** Everything a tester would bring for one howl, all of it invented. */
export interface NoiseDemo {
  ride: {
    sampleRateHz: number;
    samples: Float32Array<ArrayBuffer>;
    startEpochS: number;
    /** The ride recording as columns (for FIT) and as CSV. */
    recording: NoiseRide['ride'];
    csv: string;
  };
  plucksFree: SimulatedPlucks;
  plucksUnderTorque: SimulatedPlucks;
  wheelSheet: string;
  /** What the tester would tell: mean brake torque while it howled, Nm. */
  brakeTorqueNm: number;
  truth: NoiseTruth;
}

/** Ride recording as CSV, times in its own clock. */
export function rideCsv({ timeS, speedMps }: NoiseRide['ride']): string {
  const rows = timeS.map((t, i) => `${t},${speedMps[i].toFixed(3)}`);
  return `time_s,speed_mps\n${rows.join('\n')}\n`;
}

/**
 * The demo: a minute of an invented descent on an invented wheel on which one or two spokes of the disc
 * side that braking lets go howl; plucks of all spokes, free and under a weight of 8 kg on a lever of 0.4 m
 * (a knock among them). The same every time.
 */
export function noiseDemo(): NoiseDemo {
  const wheel = simulateWheel(
    {
      name: 'Front wheel of a gravel bicycle (invented)',
      count: 28,
      cross: 2,
      section: { diameterM: 0.0018 },
      meanTensionN: 980,
      tensionScatter: 0.05,
      endFixity: 0.85,
      stated: { tensionFactor: 1.02 },
    },
    44,
  );
  const ride = simulateNoiseRide(
    {
      wheel,
      durationS: 60,
      sampleRateHz: 16_000,
      tone: {
        cause: 'spokes-losing-disc-side',
        spokesSounding: 2,
        toneToNoiseDb: 8,
        brakingsSounding: 1,
        burstShare: 0.9,
      },
      descent: { torqueNm: 45 },
      background: { carsPerMinute: 1, voicesPerMinute: 1 },
    },
    20260517,
  );
  const samples = new Float32Array(ride.lengthSamples);
  let at = 0;
  for (const block of ride.samples()) {
    samples.set(block, at);
    at += block.length;
  }
  const order = wheel.spokes.map(({ spoke }) => spoke);
  const pluck = { wheel, sampleRateHz: 16_000, qLow: 200, qHigh: 600, everyS: 1.05 };
  const plucksFree = simulatePlucks({ ...pluck, order }, 1);
  const lever = { massKg: 8, lengthM: 0.4 };
  const plucksUnderTorque = simulatePlucks({ ...pluck, order, lever, knocks: 1 }, 2);
  return {
    ride: {
      sampleRateHz: ride.sampleRateHz,
      samples,
      startEpochS: ride.startEpochS,
      recording: ride.ride,
      csv: rideCsv(ride.ride),
    },
    plucksFree,
    plucksUnderTorque,
    wheelSheet: simulatedWheelSheet(wheel),
    brakeTorqueNm: Math.round(ride.truth.meanTorqueNm ?? 0),
    truth: ride.truth,
  };
}
