/** Where something was struck or plucked in a recording. */
import { medianOf, kthOf } from './selection.ts';

export interface Onsets {
  /** First sample of each stroke and where its sound has gone under or the next one begins. */
  strokes: { from: number; to: number }[];
  /** Mean square of the quiet between strokes, after the high pass. */
  quiet: number;
}

const blockS = 0.005;
/** A stroke is this many times above the loudest of the blocks before it, and above the quiet. */
const rise = 3;
const aboveQuiet = 10;

/**
 * Rises of energy above 70 Hz, in blocks of 5 ms smoothed over three. Two rises closer than `minimumGapS` are one stroke
 * (finger and string), which begins with the later one if that is louder.
 */
export function findOnsets(
  samples: Float32Array,
  sampleRateHz: number,
  minimumGapS: number,
): Onsets {
  const size = Math.max(1, Math.round(blockS * sampleRateHz));
  const blocks = Math.floor(samples.length / size);
  const energy = new Float64Array(blocks);
  const highPass = highPassFilter(70, sampleRateHz);
  for (let b = 0; b < blocks; b++) {
    let sum = 0;
    for (let i = b * size; i < (b + 1) * size; i++) sum += highPass(samples[i]) ** 2;
    energy[b] = sum / size;
  }
  const smooth = energy.map(
    (e, b) => (e + energy[Math.max(0, b - 1)] + energy[Math.max(0, b - 2)]) / 3,
  );
  const quiet = Math.max(kthOf(Float64Array.from(energy), blocks, Math.floor(0.1 * blocks)), 1e-14);

  const gap = Math.round(minimumGapS / blockS);
  const starts: { block: number; top: number }[] = [];
  for (let b = 1; b < blocks; b++) {
    let before = 0;
    for (let i = Math.max(0, b - 10); i < b - 1; i++) before = Math.max(before, smooth[i]);
    if (smooth[b] < rise * Math.max(before, quiet) || energy[b] < aboveQuiet * quiet) continue;
    let top = 0;
    for (let i = b; i < Math.min(blocks, b + 6); i++) top = Math.max(top, smooth[i]);
    const last = starts[starts.length - 1];
    if (last && b - last.block < gap) {
      if (top > 2 * last.top) starts[starts.length - 1] = { block: b, top };
      continue;
    }
    starts.push({ block: b, top });
  }
  const scratch = new Float64Array(9);
  const strokes = starts.map(({ block }, i) => {
    const end = i + 1 < starts.length ? starts[i + 1].block - 3 : blocks;
    let b = block + 4;
    for (; b < end; b++) {
      let n = 0;
      for (let j = b; j < Math.min(end, b + 9); j++) scratch[n++] = energy[j];
      if (medianOf(scratch, n) < 2 * quiet) break;
    }
    return { from: block * size, to: Math.max(block + 1, Math.min(b, end)) * size };
  });
  return { strokes, quiet };
}

/** Second-order Butterworth high pass by the bilinear transform (any textbook of digital filters). */
function highPassFilter(cutHz: number, sampleRateHz: number): (x: number) => number {
  const k = Math.tan((Math.PI * cutHz) / sampleRateHz);
  const norm = 1 / (1 + Math.SQRT2 * k + k * k);
  const a1 = 2 * (k * k - 1) * norm;
  const a2 = (1 - Math.SQRT2 * k + k * k) * norm;
  let x1 = 0;
  let x2 = 0;
  let y1 = 0;
  let y2 = 0;
  return (x) => {
    const y = norm * (x - 2 * x1 + x2) - a1 * y1 - a2 * y2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
    return y;
  };
}
