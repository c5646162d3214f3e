/** Peaks of a Hann-windowed spectrum: frequency between bins, level, and how far above the noise. */

export interface PeakList {
  count: number;
  /** Bin of each maximum, and the frequency in bins. */
  bin: Int32Array;
  at: Float64Array;
  /** Mean square of the tone, full scale². */
  power: Float64Array;
  /** Scratch. */
  kept: Int32Array;
  /** |X|² of the largest bin over the noise expected there. */
  excess: Float64Array;
}

export function peakList(most: number): PeakList {
  return {
    count: 0,
    bin: new Int32Array(most),
    at: new Float64Array(most),
    kept: new Int32Array(most),
    power: new Float64Array(most),
    excess: new Float64Array(most),
  };
}

/**
 * Where between bins −1 and +1 of a maximum a tone lies, from the magnitudes of three bins of a Hann-windowed
 * frame. The window's transform is sin(πd)/(πd(1 − d²)), so |X₊₁|/|X₀| = (1 + d)/(2 − d) and |X₋₁|/|X₀| = (1 − d)/(2 + d),
 * whence d = 2(|X₊₁| − |X₋₁|)/(2|X₀| + |X₋₁| + |X₊₁|): exact for one steady tone, no bias to correct (a parabola
 * through log magnitudes is off by up to 0.016 bins). A glide widens the peak evenly, so it moves nothing.
 */
export function hannOffset(before: number, top: number, after: number): number {
  return (2 * (after - before)) / (2 * top + before + after);
}

/** Bins either side of a maximum whose power is added up for the level. */
const reach = 3;

/**
 * Fills `peaks` with the maxima of `power` (|X|² by bin) from bin `from` to before `to` that stand `least` times above
 * `floor`, lowest first. Maxima that a louder neighbour explains (skirts of the window, its switching on and off) are left
 * out. `toMeanSquare` turns Σ|X|² over the peak into the tone's mean square.
 */
export function findPeaks(
  power: Float64Array,
  floor: Float64Array,
  from: number,
  to: number,
  least: number,
  toMeanSquare: number,
  peaks: PeakList,
): void {
  let count = 0;
  const most = peaks.bin.length;
  for (let k = from; k < to && count < most; k++) {
    const p = power[k];
    if (p > least * floor[k] && p > power[k - 1] && p >= power[k + 1]) peaks.bin[count++] = k;
  }
  let kept = 0;
  for (let i = 0; i < count; i++) {
    const k = peaks.bin[i];
    if (hidden(power, peaks.bin, count, i)) continue;
    // Written in place behind the reading: `kept` never passes i, and `hidden` looks up bins only.
    peaks.at[kept] =
      k + hannOffset(Math.sqrt(power[k - 1]), Math.sqrt(power[k]), Math.sqrt(power[k + 1]));
    let sum = 0;
    for (let j = k - reach; j <= k + reach; j++) sum += power[j];
    const tone = Math.max(sum - (2 * reach + 1) * floor[k], 0.5 * (power[k] - floor[k]));
    peaks.power[kept] = tone * toMeanSquare;
    peaks.excess[kept] = power[k] / floor[k];
    peaks.kept[kept++] = k;
  }
  for (let i = 0; i < kept; i++) peaks.bin[i] = peaks.kept[i];
  peaks.count = kept;
}

/** Whether a louder maximum near by throws its skirt over maximum i: 20 dB down at 3 bins, then 9 dB an octave. */
function hidden(power: Float64Array, bins: Int32Array, count: number, i: number): boolean {
  const k = bins[i];
  for (const step of [-1, 1]) {
    for (let j = i + step; j >= 0 && j < count; j += step) {
      const distance = Math.abs(bins[j] - k);
      if (distance > 60) break;
      const skirt = 0.01 * (3 / Math.max(3, distance)) ** 3;
      if (power[k] < skirt * power[bins[j]]) return true;
    }
  }
  return false;
}
