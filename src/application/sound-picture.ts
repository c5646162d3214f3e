/** Levels over time and frequency, for drawing: of a whole sound from its analysis, or finely of a few seconds. */
import { decibels, realFft, windowOf } from '../core/signal/index.ts';
import type { SoundPicture } from './contract-sounds.ts';

const mostColumns = 800;
const mostRows = 480;
const lowestHz = 80;
const highestHz = 12_000;

/**
 * Spectra of a short piece of one channel that begins at `fromS`. Frames grow with its length, from 20 ms (what
 * changes is seen) to 170 ms (what stays is told apart); each column is one frame or the loudest of some.
 */
export function pictureOf(
  samples: Float32Array,
  sampleRateHz: number,
  fromS: number,
): SoundPicture {
  const durationS = samples.length / sampleRateHz;
  const frameS = Math.min(0.17, Math.max(0.02, durationS / 60));
  const n = 2 ** Math.max(8, Math.round(Math.log2(frameS * sampleRateHz)));
  const columns = Math.max(1, Math.min(mostColumns, Math.floor(samples.length / (n / 8))));
  const columnSamples = samples.length / columns;
  const edges = rowEdges(n, sampleRateHz);
  const rows = edges.length - 1;
  const levels = new Uint8Array(columns * rows);

  const window = windowOf('hann', n);
  const fft = realFft(n);
  const frame = new Float64Array(n);
  const spectrum = new Float64Array(n + 2);
  // Amplitude A of a tone gives |X| = A·n/4 in a Hann window; its root mean square is A/√2.
  const toRms = 4 / n / Math.SQRT2;
  const framesPerColumn = Math.max(1, Math.round(columnSamples / (n / 2)));
  for (let column = 0; column < columns; column++) {
    for (let part = 0; part < framesPerColumn; part++) {
      const middle = (column + (part + 0.5) / framesPerColumn) * columnSamples;
      const start = Math.round(middle - n / 2);
      for (let i = 0; i < n; i++) frame[i] = (samples[start + i] ?? 0) * window[i];
      fft.transform(frame, spectrum);
      for (let row = 0; row < rows; row++) {
        let most = 0;
        for (let k = edges[row]; k < edges[row + 1]; k++)
          most = Math.max(most, spectrum[2 * k] ** 2 + spectrum[2 * k + 1] ** 2);
        const cell = byteOf(decibels(Math.sqrt(most) * toRms));
        const at = column * rows + row;
        if (cell > levels[at]) levels[at] = cell;
      }
    }
  }
  return {
    fromS,
    columnS: durationS / columns,
    columns,
    rows,
    edgesHz: edges.map((k) => ((k - 0.5) * sampleRateHz) / n),
    levels: Buffer.from(levels).toString('base64'),
  };
}

/** Half decibels above −127.5. */
const byteOf = (levelDb: number): number =>
  Math.min(255, Math.max(0, Math.round(2 * (levelDb + 127.5))));

/** First bin of each row and one past the last; equally wide by ratio, one bin at least. */
function rowEdges(n: number, sampleRateHz: number): number[] {
  const from = Math.max(1, Math.round((lowestHz * n) / sampleRateHz));
  const to = Math.floor((Math.min(highestHz, 0.45 * sampleRateHz) * n) / sampleRateHz);
  const ratio = (to / from) ** (1 / mostRows);
  const edges = [from];
  for (let k = from; k < to;)
    edges.push((k = Math.min(to, Math.max(k + 1, Math.round(k * ratio)))));
  return edges;
}
