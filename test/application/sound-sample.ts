/** Short sounds for tests: tones in noise, taps, silence. Made here, by nothing of the program but the WAV header. */
import { writeWav } from '../../src/sound/index.ts';

/** Uniform noise, −1 to 1; the same for the same seed (Park and Miller 1988). */
export function noiseOf(length: number, seed = 1): Float32Array {
  let state = seed;
  return Float32Array.from({ length }, () => {
    state = (state * 48_271) % 2_147_483_647;
    return (2 * state) / 2_147_483_647 - 1;
  });
}

export interface ToneInNoise {
  seconds: number;
  rateHz?: number;
  hz?: number;
  amplitude?: number;
  noise?: number;
}

/** One channel: a steady tone in white noise. */
export function toneInNoise({
  seconds,
  rateHz = 16_000,
  hz = 640,
  amplitude = 0.1,
  noise = 0.02,
}: ToneInNoise): Float32Array {
  const hiss = noiseOf(Math.round(seconds * rateHz));
  return hiss.map(
    (value, i) => noise * value + amplitude * Math.sin((2 * Math.PI * hz * i) / rateHz),
  );
}

export const wavOf = (samples: Float32Array, rateHz = 16_000): Uint8Array =>
  writeWav([samples], rateHz);

/** Strokes a second apart: each rings at its pitch with that Q, or (no pitch) is a dull knock. */
export function strokes(pitches: (number | null)[], rateHz = 16_000, q = 300): Float32Array {
  const samples = noiseOf(Math.round((pitches.length + 0.5) * rateHz)).map((x) => 0.0003 * x);
  pitches.forEach((hz, place) => {
    const start = Math.round((place + 0.3) * rateHz);
    const knock = noiseOf(rateHz, place + 2);
    for (let i = 0; i < 0.9 * rateHz; i++) {
      const t = i / rateHz;
      samples[start + i] +=
        hz === null
          ? 0.4 * knock[i] * Math.exp(-t / 0.006)
          : 0.3 * Math.sin(2 * Math.PI * hz * t) * Math.exp((-Math.PI * hz * t) / q);
    }
  });
  return samples;
}
