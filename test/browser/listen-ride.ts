import { simulateNoiseRide, simulateWheel } from '../../src/simulation/index.ts';
import { writeWav } from '../../src/sound/index.ts';

/** Fourteen invented seconds in which spokes that braking lets go howl, as a WAV file. */
export function howlingRide(): Uint8Array {
  const ride = simulateNoiseRide(
    {
      wheel: simulateWheel({ count: 28, cross: 2, section: { diameterM: 0.0018 } }, 44),
      durationS: 14,
      sampleRateHz: 16_000,
      tone: {
        cause: 'spokes-losing-disc-side',
        spokesSounding: 1,
        toneToNoiseDb: 12,
        brakingsSounding: 1,
        burstShare: 1,
      },
      descent: { torqueNm: 45 },
    },
    7,
  );
  const samples = new Float32Array(ride.lengthSamples);
  let at = 0;
  for (const block of ride.samples()) {
    samples.set(block, at);
    at += block.length;
  }
  return writeWav([samples], ride.sampleRateHz);
}
