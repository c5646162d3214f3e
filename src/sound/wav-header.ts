/**
 * The chunks of a WAV file. Origin: Multimedia Programming Interface and Data Specifications 1.0 (IBM, Microsoft,
 * 1991) for RIFF; EBU Tech 3306 (RF64) and ITU-R BS.2088 (BW64) for files above 4 GB; EBU Tech 3285 for `bext`.
 */
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { latin, viewOf, type SoundBytes } from './source.ts';

export interface WavChunks {
  /** The body of `fmt `, at most 64 bytes of it. */
  format: Uint8Array;
  dataOffset: number;
  dataBytes: number;
  /** OriginationDate and OriginationTime of `bext`, as they stand there. */
  origination: string | null;
}

/** More chunks than any recorder writes: a file that goes on is damaged. */
const mostChunks = 2_000;
/** A size of 2³² − 1 says that the true one is in `ds64`, or that the recorder did not know it yet. */
const sizeUnknown = 0xffff_ffff;

/** Walks the chunks, a few bytes of each; faults that do not keep the sound from being read go to `warn`. */
export async function readWavChunks(
  source: SoundBytes,
  file: string,
  warn: (problem: Omit<Problem, 'file'>) => void,
): Promise<WavChunks> {
  const size = source.sizeBytes;
  const family = latin(await source.read(0, 4));
  const large = family === 'RF64' || family === 'BW64';
  let dataSize64: number | null = null;
  let format: Uint8Array | null = null;
  let origination: string | null = null;
  let data: { offset: number; bytes: number } | null = null;

  let offset = 12;
  for (let chunk = 0; offset + 8 <= size && chunk < mostChunks; chunk++) {
    const head = await source.read(offset, 8);
    if (head.length < 8) break;
    const name = latin(head, 0, 4);
    const body = offset + 8;
    const room = size - body;
    let bytes = viewOf(head).getUint32(4, true);
    if (name === 'ds64' && large) {
      const sizes = await source.read(body, 16);
      if (sizes.length === 16) dataSize64 = Number(viewOf(sizes).getBigUint64(8, true));
    } else if (name === 'fmt ' && format === null) {
      format = await source.read(body, Math.min(bytes, 64));
    } else if (name === 'bext' && bytes >= 338) {
      origination = latin(await source.read(body + 320, 18));
    } else if (name === 'data' && data === null) {
      const stated = large && bytes === sizeUnknown ? (dataSize64 ?? sizeUnknown) : bytes;
      bytes = await trueDataBytes(source, body, stated, warn);
      data = { offset: body, bytes };
    } else if (!isChunkName(name)) {
      break;
    }
    if (bytes > room) break;
    offset = body + bytes + (bytes % 2);
    // Some programs leave out the byte that fills up to an even place.
    if (bytes % 2 === 1 && !(await chunkAt(source, offset)) && (await chunkAt(source, offset - 1)))
      offset--;
  }

  if (data === null) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      place: { byte: Math.min(offset, size) },
      message:
        'The WAV file has no data chunk: its header is damaged, or it ends before the sound.',
      remedy: 'Copy it again from the recorder, or record again.',
    });
  }
  if (format === null || format.length < 14) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      message:
        'The WAV file does not say how its samples are written (the fmt chunk is missing or cut short).',
      remedy: 'Import it as raw data in a sound editor and save it as WAV.',
    });
  }
  return { format, dataOffset: data.offset, dataBytes: data.bytes, origination };
}

/** How many bytes of sound there are, whatever the header says of it. */
async function trueDataBytes(
  source: SoundBytes,
  body: number,
  stated: number,
  warn: (problem: Omit<Problem, 'file'>) => void,
): Promise<number> {
  const room = source.sizeBytes - body;
  const toTheEnd = (message: string): number => {
    warn({
      code: 'format-truncated',
      place: { byte: body - 4 },
      message,
      remedy: 'The sound was read to the end of the file; look whether its length is right.',
    });
    return room;
  };
  if (stated > room && stated >= 0x7fff_f000 && stated <= sizeUnknown) {
    return toTheEnd(
      'The header does not say how long the sound is: the recorder did not finish it.',
    );
  }
  if (stated > room) {
    return toTheEnd(
      `The header says that there are ${stated} bytes of sound, the file holds ${room}: its end is missing.`,
    );
  }
  const after = body + stated + (stated % 2);
  const rest = source.sizeBytes - after;
  const unexplained = rest > 8 && rest > stated && !(await chunkAt(source, after));
  if (unexplained) {
    return toTheEnd(
      `The header says that there are ${stated} bytes of sound, but ${rest} more follow: the recorder did not finish it.`,
    );
  }
  return stated;
}

/** Whether a chunk begins there that the file has room for, or the file ends there. */
async function chunkAt(source: SoundBytes, offset: number): Promise<boolean> {
  if (offset >= source.sizeBytes) return true;
  const head = await source.read(offset, 8);
  return (
    head.length === 8 &&
    isChunkName(latin(head, 0, 4)) &&
    viewOf(head).getUint32(4, true) <= source.sizeBytes - offset - 8
  );
}

const isChunkName = (name: string): boolean => /^[\w+\- ]{4}$/.test(name);
