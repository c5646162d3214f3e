/** Measuring a sound by sums over sines and cosines: nothing of core/signal, which is judged with these sounds. */

/** Power of a sinusoid (A²/2) at one frequency, Hann window. */
export function powerAt(samples: ArrayLike<number>, hz: number, sampleRateHz: number): number {
  const n = samples.length;
  let re = 0;
  let im = 0;
  let weight = 0;
  for (let k = 0; k < n; k++) {
    const w = 0.5 - 0.5 * Math.cos((2 * Math.PI * k) / n);
    const turn = (2 * Math.PI * hz * k) / sampleRateHz;
    re += w * samples[k] * Math.cos(turn);
    im += w * samples[k] * Math.sin(turn);
    weight += w;
  }
  return (2 * (re * re + im * im)) / (weight * weight);
}

/** One-sided power density at a frequency, mean over pieces of a length with Hann windows (Welch 1967). */
export function densityOf(
  samples: ArrayLike<number>,
  hz: number,
  sampleRateHz: number,
  piece = 1024,
): number {
  let sum = 0;
  let count = 0;
  for (let from = 0; from + piece <= samples.length; from += piece / 2) {
    sum += powerAt(Array.prototype.slice.call(samples, from, from + piece), hz, sampleRateHz);
    count++;
  }
  // A Hann window is 1.5 bins wide to noise (Harris 1978).
  return sum / count / ((1.5 * sampleRateHz) / piece);
}

/** Frequency of the strongest line between two bounds: a coarse look, then three finer ones. */
export function strongestHz(
  samples: ArrayLike<number>,
  [low, high]: [number, number],
  sampleRateHz: number,
): number {
  let from = low;
  let to = high;
  let best = low;
  let step = (0.5 * sampleRateHz) / samples.length;
  for (let round = 0; round < 4; round++) {
    let most = -1;
    for (let hz = from; hz <= to; hz += step) {
      const power = powerAt(samples, hz, sampleRateHz);
      if (power > most) [most, best] = [power, hz];
    }
    [from, to, step] = [best - step, best + step, step / 5];
  }
  return best;
}

export function rmsOf(samples: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < samples.length; k++) sum += samples[k] * samples[k];
  return Math.sqrt(sum / samples.length);
}

/** All blocks of a stream in one piece. */
export function gather(blocks: Iterable<Float32Array>, length: number): Float32Array<ArrayBuffer> {
  const all = new Float32Array(length);
  let at = 0;
  for (const block of blocks) {
    all.set(block, at);
    at += block.length;
  }
  if (at !== length) throw new Error(`${at} samples, expected ${length}`);
  return all;
}
