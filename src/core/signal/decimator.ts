/** A recording at a lower rate, for what is deep and takes long frames. */

export interface Decimator {
  /** What the next samples add to the slower recording; valid until the next call. */
  push(samples: Float32Array): Float32Array;
}

/** Taps for each step of the decimation: from passed to blocked within 0.34 of the lower rate at 74 dB (Blackman window). */
const tapsPerStep = 16;

/**
 * Every `factor`-th sample after a low-pass of linear phase (sinc under a Blackman window, Oppenheim & Schafer, from memory): flat up
 * to 0.32 of the lower rate, what would fold back below that is 74 dB down. Sample j lies at sample j·factor of the recording; silence is
 * taken to precede it.
 */
export function decimator(factor: number): Decimator {
  if (factor === 1) return { push: (samples) => samples };
  const half = (tapsPerStep / 2) * factor;
  const taps = Float64Array.from({ length: 2 * half + 1 }, (_, i) => {
    const x = (i - half) / factor;
    const sinc = x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
    const turn = (Math.PI * i) / half;
    return sinc * (0.42 - 0.5 * Math.cos(turn) + 0.08 * Math.cos(2 * turn));
  });
  const all = taps.reduce((sum, tap) => sum + tap, 0);
  for (let i = 0; i < taps.length; i++) taps[i] /= all;
  // The first sample out is centred on the first in: half the filter waits for silence.
  let waiting = new Float32Array(half);
  return {
    push(samples) {
      const input = new Float32Array(waiting.length + samples.length);
      input.set(waiting);
      input.set(samples, waiting.length);
      const count = Math.max(0, Math.floor((input.length - taps.length) / factor) + 1);
      const out = new Float32Array(count);
      for (let j = 0; j < count; j++) {
        const at = j * factor;
        const last = at + 2 * half;
        // The filter is symmetric.
        let sum = taps[half] * input[at + half];
        for (let i = 0; i < half; i++) sum += taps[i] * (input[at + i] + input[last - i]);
        out[j] = sum;
      }
      waiting = input.slice(count * factor);
      return out;
    },
  };
}
