/** Peak, mean square, clipping and silence of a stream of samples. */

export interface LevelMeter {
  /** `at` is the number of the first sample in the recording. */
  push(samples: Float32Array, from: number, to: number, at: number): void;
  readonly peak: number;
  readonly sumOfSquares: number;
  readonly countedSamples: number;
  readonly clippedSamples: number;
  readonly clippedAtS: number[];
  readonly silentSamples: number;
}

/** Moments of clipping that are told, and the least time between two. */
const mostMoments = 200;
const apartS = 1;
/** Zeros in a row, s, from which the recorder is taken to have given nothing (and not to have crossed zero). */
const silenceS = 0.01;

export function levelMeter(sampleRateHz: number, clippingLevel = 0.999): LevelMeter {
  const zerosNeeded = Math.ceil(silenceS * sampleRateHz);
  let zeros = 0;
  let inClip = false;
  let previousHigh = false;
  const meter = {
    peak: 0,
    sumOfSquares: 0,
    countedSamples: 0,
    clippedSamples: 0,
    clippedAtS: [] as number[],
    silentSamples: 0,
    push(samples: Float32Array, from: number, to: number, at: number): void {
      let peak = meter.peak;
      let sum = 0;
      for (let i = from; i < to; i++) {
        const x = samples[i];
        const size = x < 0 ? -x : x;
        sum += x * x;
        if (size > peak) peak = size;
        if (size >= clippingLevel) {
          // One sample at full scale is a loud recording; two in a row are a flat top.
          if (previousHigh) {
            meter.clippedSamples += inClip ? 1 : 2;
            if (!inClip) note((at + i - from) / sampleRateHz);
            inClip = true;
          }
          previousHigh = true;
        } else if (previousHigh) {
          previousHigh = false;
          inClip = false;
        }
        if (x === 0) {
          zeros++;
          if (zeros === zerosNeeded) meter.silentSamples += zeros;
          else if (zeros > zerosNeeded) meter.silentSamples++;
        } else zeros = 0;
      }
      meter.peak = peak;
      meter.sumOfSquares += sum;
      meter.countedSamples += to - from;
    },
  };
  const note = (s: number): void => {
    const moments = meter.clippedAtS;
    const last = moments[moments.length - 1];
    if (moments.length < mostMoments && (last === undefined || s - last >= apartS)) moments.push(s);
  };
  return meter;
}

/**
 * dB below full scale: 20 log10 of an amplitude, or of a root mean square, over 1. Peak and root mean square share that
 * reference, so a full-scale sine has 0 and −3.01 dB (others refer the latter to such a sine and read 3.01 dB more).
 * Nothing at all is given as −200 dB, so that it can be written down as a number.
 */
export function decibels(amplitude: number): number {
  return amplitude > 1e-10 ? 20 * Math.log10(amplitude) : -200;
}
