/** The noise under the tones, frame by frame. */
import { medianOf } from './selection.ts';

export interface NoiseFloor {
  /** First and one past the last bin for which a floor is kept. */
  readonly from: number;
  readonly to: number;
  /** Expected |X|² of noise alone in each bin of the last frame given. */
  readonly floor: Float64Array;
  /** The same without the caution that `floor` has against ticks and gusts: right on average, less steady. */
  readonly mean: Float64Array;
  /** Takes the powers |X|² of a frame. */
  update(power: Float64Array): void;
}

/**
 * For r exponentially distributed with mean 1 (power of Gaussian noise in a bin), E[(r − c)/(r + c)] = 0.
 * The root of 2c·e^c·E1(c) = 1.
 */
const balance = 0.6073;
/** Step of the shape per frame; it forgets with about 1/(0.4·step) frames, some 4 s. */
const step = 0.05;
/** Frames between two smoothings of the shape, and their half width in bins. */
const smoothingEvery = 8;
const halfWidth = 10;
const framesRemembered = 9;

/**
 * Floor = shape × gain. The shape is slow: for each bin a bounded step up or down (so that a howl or a tick moves
 * it little), then a running median over 21 bins (so that a steady tone of a few bins drops out while slopes and
 * broad humps stay). The gain is fast: in each of some bands the median of power over shape in this frame, or in the
 * last nine when that is more, so that gusts and ticks lift the floor with them.
 */
export function noiseFloor(from: number, to: number, bins: number): NoiseFloor {
  const first = Math.max(1, from - halfWidth);
  const end = Math.min(bins, to + halfWidth);
  const count = end - first;
  const shape = new Float64Array(count);
  const smooth = new Float64Array(count);
  const floor = new Float64Array(bins);
  const mean = new Float64Array(bins);
  const bands = bandsOf(first, end);
  const gains = bands.map(() => new Float64Array(framesRemembered));
  const gain = new Float64Array(bands.length);
  const frameGain = new Float64Array(bands.length);
  const scratch = new Float64Array(count);
  let seen = 0;
  let sinceSmoothing = 0;

  function interpolate(values: Float64Array, visit: (k: number, value: number) => void): void {
    let b = 0;
    for (let i = 0; i < count; i++) {
      const at = first + i;
      while (b < bands.length - 2 && at > bands[b + 1].middle) b++;
      const left = bands[b];
      const right = bands[Math.min(b + 1, bands.length - 1)];
      const share =
        right === left
          ? 0
          : Math.min(1, Math.max(0, (at - left.middle) / (right.middle - left.middle)));
      visit(i, values[b] + share * (values[Math.min(b + 1, bands.length - 1)] - values[b]));
    }
  }

  return {
    from,
    to,
    floor,
    mean,
    update(power) {
      if (seen === 0) {
        for (let i = 0; i < count; i++) shape[i] = power[first + i] + 1e-30;
        runningMedian(shape, smooth, halfWidth);
        for (let i = 0; i < count; i++) shape[i] = smooth[i] / Math.LN2;
      }
      if (sinceSmoothing === 0) runningMedian(shape, smooth, halfWidth);
      sinceSmoothing = (sinceSmoothing + 1) % (seen < 40 ? 2 : smoothingEvery);
      bands.forEach((band, b) => {
        const all = band.end - band.start;
        // A loud tone fills several bins; they are left out unless the whole band has risen.
        const most = seen === 0 ? Infinity : 20 * gain[b];
        let n = 0;
        for (let k = band.start - first; k < band.end - first; k++) {
          const ratio = power[first + k] / smooth[k];
          if (ratio < most) scratch[n++] = ratio;
        }
        if (n < all / 2) {
          for (n = 0; n < all; n++)
            scratch[n] = power[band.start + n] / smooth[band.start - first + n];
        }
        const now = Math.max(medianOf(scratch, n) / Math.LN2, 1e-12);
        gains[b][seen % framesRemembered] = now;
        frameGain[b] = now;
        const known = Math.min(seen + 1, framesRemembered);
        for (let i = 0; i < known; i++) scratch[i] = gains[b][i];
        gain[b] = Math.max(now, medianOf(scratch, known));
      });
      interpolate(gain, (i, value) => (floor[first + i] = smooth[i] * value));
      const move = Math.max(step, 0.5 / (seen + 1));
      interpolate(frameGain, (i, value) => {
        mean[first + i] = smooth[i] * value;
        const r = power[first + i] / value;
        const c = balance * shape[i];
        shape[i] *= 1 + (move * (r - c)) / (r + c);
      });
      seen++;
    },
  };
}

/** Bands of 48 bins, wider by ratio further up (a sixth of an octave). */
function bandsOf(first: number, end: number): { start: number; end: number; middle: number }[] {
  const bands = [];
  for (let start = first; start < end;) {
    let stop = Math.min(end, start + Math.max(48, Math.round(start * 0.1225)));
    if (end - stop < 32) stop = end;
    bands.push({ start, end: stop, middle: (start + stop - 1) / 2 });
    start = stop;
  }
  return bands;
}

/** Median over i ± half (fewer at the ends) by a sorted window that moves along. */
export function runningMedian(values: Float64Array, result: Float64Array, half: number): void {
  const n = values.length;
  const sorted = new Float64Array(2 * half + 2);
  let size = 0;
  const insert = (x: number): void => {
    let i = size++;
    for (; i > 0 && sorted[i - 1] > x; i--) sorted[i] = sorted[i - 1];
    sorted[i] = x;
  };
  const remove = (x: number): void => {
    let i = 0;
    while (i < size && sorted[i] !== x) i++;
    size--;
    for (; i < size; i++) sorted[i] = sorted[i + 1];
  };
  for (let i = 0; i < Math.min(n, half); i++) insert(values[i]);
  for (let i = 0; i < n; i++) {
    if (i + half < n) insert(values[i + half]);
    if (i - half - 1 >= 0) remove(values[i - half - 1]);
    const middle = size >> 1;
    result[i] = size % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
  }
}
