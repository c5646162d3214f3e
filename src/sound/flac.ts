/** FLAC (RFC 9639). Decoded by libFLAC from @audio/decode-flac. */
import { LapbenchError } from '../core/units/index.ts';
import { frameBefore } from './flac-seek.ts';
import type { CodedBlock, CodedStream, Warn } from './stream.ts';
import { cut, decodeStream, firstBlock } from './stream.ts';
import { latin, type SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { warningsOf } from './warnings.ts';

export interface StreamInfo {
  largestBlock: number;
  sampleRateHz: number;
  channels: number;
  bits: number;
  totalSamples: number | null;
}

/** STREAMINFO, 34 bytes (RFC 9639, 8.2). */
export function readStreamInfo(body: Uint8Array): StreamInfo {
  const low = ((body[14] << 24) | (body[15] << 16) | (body[16] << 8) | body[17]) >>> 0;
  const total = (body[13] & 15) * 2 ** 32 + low;
  return {
    largestBlock: (body[2] << 8) | body[3],
    sampleRateHz: (body[10] << 12) | (body[11] << 4) | (body[12] >> 4),
    channels: ((body[12] >> 1) & 7) + 1,
    bits: (((body[12] & 1) << 4) | (body[13] >> 4)) + 1,
    totalSamples: total > 0 ? total : null,
  };
}

/**
 * Bytes of FLAC that cannot become more than some four million samples: silence packs a block into
 * a dozen bytes, and what comes out of one turn has to fit in memory.
 */
export function bytesPerTurn({ largestBlock, channels }: StreamInfo): number {
  const smallestFrame = 8 + 2 * channels;
  const blocks = 4_194_304 / (Math.max(16, largestBlock) * channels);
  return Math.max(256, Math.min(32_768, Math.floor(blocks * smallestFrame)));
}

/** The decoder divides by 2^(bits − 1) − 1; the samples are whole numbers of 2^(1 − bits). */
export async function* rescaled(
  blocks: AsyncIterable<CodedBlock>,
  bits: number,
): AsyncGenerator<CodedBlock> {
  const half = 2 ** (bits - 1);
  for await (const { channels, sampleRateHz } of blocks) {
    yield {
      sampleRateHz,
      channels: channels.map((samples) =>
        samples.map((x) =>
          bits <= 24 ? Math.round(x * (half - 1)) / half : (x * (half - 1)) / half,
        ),
      ),
    };
  }
}

/** Opens a FLAC file whose `fLaC` stands at `offset`. */
export async function openFlac(source: SoundBytes, file: string, offset: number): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const { info, prefix, firstByte } = await readMetadata(source, file, offset);
  requireLayout(info.sampleRateHz, info.channels, file);
  const stream: CodedStream = {
    source,
    file,
    name: 'FLAC',
    prefix,
    fromByte: firstByte,
    toByte: source.sizeBytes,
    bytesPerTurn: bytesPerTurn(info),
    lengthSamples: info.totalSamples,
    open: async () => (await import('@audio/decode-flac')).decoder(),
  };
  await firstBlock(stream);
  const { sampleRateHz, channels, totalSamples } = info;
  return {
    format: {
      sampleRateHz,
      channels,
      lengthSamples: totalSamples,
      encoding: `FLAC, ${info.bits}-bit`,
      startEpochS: null,
    },
    warnings,
    blocks: (part = {}) => decodeFrom(stream, info, samplesOf(part, sampleRateHz, null), warn),
  };
}

async function* decodeFrom(
  stream: CodedStream,
  info: StreamInfo,
  wanted: { from: number; to: number },
  warn: Warn,
): AsyncGenerator<Float32Array[]> {
  const { source, fromByte } = stream;
  const start = await frameBefore(source, fromByte, info.largestBlock, wanted.from);
  const later = {
    ...stream,
    fromByte: start.byte,
    lengthSamples: info.totalSamples && info.totalSamples - start.sample,
  };
  yield* cut(
    rescaled(decodeStream(later, warn), info.bits),
    { ...wanted, first: start.sample },
    info,
    warn,
  );
}

/** Everything before the first frame; pictures and tags are passed over, not read. */
async function readMetadata(
  source: SoundBytes,
  file: string,
  offset: number,
): Promise<{ info: StreamInfo; prefix: Uint8Array; firstByte: number }> {
  const start = await source.read(offset, 42);
  const whole = start.length === 42 && latin(start, 0, 4) === 'fLaC' && (start[4] & 127) === 0;
  const info = whole ? readStreamInfo(start.subarray(8)) : null;
  let at = offset + 42;
  let last = whole && (start[4] & 128) !== 0;
  for (let block = 0; whole && !last && block < 200; block++) {
    const head = await source.read(at, 4);
    if (head.length < 4) break;
    last = (head[0] & 128) !== 0;
    at += 4 + ((head[1] << 16) | (head[2] << 8) | head[3]);
  }
  if (info === null || !last || at >= source.sizeBytes) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      place: { byte: Math.min(at, source.sizeBytes) },
      message: 'The header of the FLAC file is damaged or the file ends before the sound.',
      remedy: 'Copy it again from the recorder, or record again.',
    });
  }
  const prefix = start.slice();
  prefix[4] |= 128; // STREAMINFO is the last block of what the decoder is given
  prefix.set([0, 0, 34], 5);
  return { info, prefix, firstByte: at };
}
