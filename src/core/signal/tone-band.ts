/** One band of a recording looked at in frames of one length: spectrum, floor, peaks, tracks. */
import type { AnalyserOptions } from './analysis.ts';
import { criticalBandHz } from './critical-band.ts';
import { realFft } from './fft.ts';
import { linker, type Linker } from './linking.ts';
import { noiseFloor } from './noise-floor.ts';
import { findPeaks, peakList } from './peaks.ts';
import { windowOf } from './window.ts';

export interface ToneBandRules {
  sampleRateHz: number;
  /** Samples of a frame; the hop is half of it. */
  frameSamples: number;
  /** First bin looked at, and one past the last. */
  from: number;
  to: number;
  /** First sample pushed, and from which to before which a frame's first sample must lie to count, on the recording's grid. */
  readFrom: number;
  countFrom: number;
  countTo: number;
  mostDriftHzPerS: number;
  longestGapS: AnalyserOptions['longestGapS'];
  /** Told |X|² by bin of every frame that counts. */
  onFrame?: (frame: number, power: Float64Array) => void;
}

export interface ToneBand {
  push(samples: Float32Array): void;
  /** Looks at what is there with silence behind it, unless some frame was complete. */
  completeShort(): void;
  finish: Linker['finish'];
}

/** A peak is looked at from this many times the noise's mean power on (7.8 dB). */
const leastExcess = 6;

export function toneBand(rules: ToneBandRules): ToneBand {
  const { sampleRateHz, frameSamples: n, from, to, countFrom, countTo } = rules;
  const hop = n / 2;
  const window = windowOf('hann', n);
  // Σw² = 3n/8, Σw = n/2 for a Hann window.
  const sumToMeanSquare = 2 / ((n / 2) * (n / 2)) / 1.5;
  const toDensity = 2 / (sampleRateHz * ((3 * n) / 8));
  const fft = realFft(n);
  const frame = new Float64Array(n);
  const spectrum = new Float64Array(n + 2);
  const power = new Float64Array(n / 2 + 1);
  const held = new Float32Array(n);
  let filled = 0;
  let frameNumber = rules.readFrom / hop;
  let counted = 0;
  const noise = noiseFloor(from, to, n / 2 + 1);
  const peaks = peakList(to - from);
  const tracks = linker(
    {
      binHz: sampleRateHz / n,
      hopS: hop / sampleRateHz,
      frameSamples: n,
      mostDriftHzPerS: rules.mostDriftHzPerS,
      longestGapS: rules.longestGapS ?? 0.45,
      criticalNoise: (hz, floor) => floor * toDensity * criticalBandHz(hz),
    },
    n / 2 + 1,
  );

  function analyse(): void {
    for (let i = 0; i < n; i++) frame[i] = held[i] * window[i];
    fft.transform(frame, spectrum);
    for (let k = 0; k <= n / 2; k++) {
      const re = spectrum[2 * k];
      const im = spectrum[2 * k + 1];
      power[k] = re * re + im * im;
    }
    noise.update(power);
    findPeaks(power, noise.floor, from, to, leastExcess, sumToMeanSquare, peaks);
    const counts = frameNumber * hop >= countFrom && frameNumber * hop < countTo;
    if (frameNumber * hop < countTo) tracks.step(frameNumber, peaks, noise.mean, counts);
    if (counts) {
      counted++;
      rules.onFrame?.(frameNumber, power);
    }
    frameNumber++;
  }

  return {
    push(samples) {
      for (let i = 0; i < samples.length;) {
        const take = Math.min(n - filled, samples.length - i);
        held.set(
          i === 0 && take === samples.length ? samples : samples.subarray(i, i + take),
          filled,
        );
        filled += take;
        i += take;
        if (filled === n) {
          analyse();
          held.copyWithin(0, hop);
          filled = n - hop;
        }
      }
    },
    completeShort() {
      if (counted > 0 || filled === 0) return;
      held.fill(0, filled);
      analyse();
    },
    finish: tracks.finish,
  };
}
