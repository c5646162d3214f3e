/** Where the samples of an MP4 track lie in the file (ISO/IEC 14496-12, 8.7). */
import { viewOf } from './source.ts';

export interface SampleTable {
  /** Number of samples (access units, or moments of plain sound). */
  count: number;
  chunkOffset: Float64Array;
  /** First sample of each chunk, one more at the end: `count`. */
  chunkFirst: Float64Array;
  /** Bytes of one sample. */
  sizeOf(sample: number): number;
}

/** Reads stsz, stsc and stco or co64; null where they are missing or contradict each other. */
export function readSampleTable(
  boxes: Map<string, Uint8Array>,
  fileBytes: number,
): SampleTable | null {
  const sizes = boxes.get('stsz');
  const runs = boxes.get('stsc');
  const offsets = boxes.get('stco') ?? boxes.get('co64');
  if (!sizes || !runs || !offsets) return null;
  if (sizes.length < 12 || runs.length < 20 || offsets.length < 8) return null;
  const wide = !boxes.has('stco');
  const sizeView = viewOf(sizes);
  const oneSize = sizeView.getUint32(4);
  const stated = sizeView.getUint32(8);
  // A number without a table behind it can say anything; the file cannot hold more than its size.
  const count = oneSize > 0 ? Math.min(stated, Math.floor(fileBytes / oneSize)) : stated;
  const chunks = Math.min(
    viewOf(offsets).getUint32(4),
    Math.floor((offsets.length - 8) / (wide ? 8 : 4)),
  );
  if (oneSize === 0 && sizes.length < 12 + 4 * count) return null;
  if (count === 0 || chunks === 0) return null;

  const chunkOffset = new Float64Array(chunks);
  const chunkFirst = new Float64Array(chunks + 1);
  const offsetView = viewOf(offsets);
  const runView = viewOf(runs);
  const runCount = Math.min(runView.getUint32(4), Math.floor((runs.length - 8) / 12));
  let run = 0;
  let first = 0;
  for (let chunk = 0; chunk < chunks; chunk++) {
    while (run + 1 < runCount && runView.getUint32(8 + 12 * (run + 1)) <= chunk + 1) run++;
    chunkOffset[chunk] = wide
      ? Number(offsetView.getBigUint64(8 + 8 * chunk))
      : offsetView.getUint32(8 + 4 * chunk);
    chunkFirst[chunk] = first;
    first = Math.min(count, first + runView.getUint32(8 + 12 * run + 4));
  }
  chunkFirst[chunks] = first;
  return {
    count: first,
    chunkOffset,
    chunkFirst,
    sizeOf: (sample) => (oneSize > 0 ? oneSize : sizeView.getUint32(12 + 4 * sample)),
  };
}

/** The chunk that holds a sample. */
export function chunkOf({ chunkFirst }: SampleTable, sample: number): number {
  let low = 0;
  let high = chunkFirst.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (chunkFirst[middle] <= sample) low = middle;
    else high = middle - 1;
  }
  return low;
}
