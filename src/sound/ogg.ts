/** Ogg (RFC 3533) with Vorbis, Opus (RFC 7845) or FLAC inside. Decoded by libvorbis, libopus, libFLAC. */
import { LapbenchError } from '../core/units/index.ts';
import type { Codec } from './codec.ts';
import { bytesPerTurn, readStreamInfo, rescaled, type StreamInfo } from './flac.ts';
import { latin, viewOf, type SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { cut, decodeStream, firstBlock, type CodedStream } from './stream.ts';
import { warningsOf } from './warnings.ts';

interface Inside {
  name: string;
  /** Samples that the granule position counts before the first that is heard. */
  before: number;
  open(): Promise<Codec>;
  flac?: StreamInfo;
}

export async function openOgg(source: SoundBytes, file: string): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const inside = insideOf(await source.read(0, 512), file);
  const stream: CodedStream = {
    source,
    file,
    name: inside.name,
    fromByte: 0,
    toByte: source.sizeBytes,
    bytesPerTurn: inside.flac ? bytesPerTurn(inside.flac) : 8_192,
    open: inside.open,
    lengthSlack: 4_096,
  };
  const decoded = (): ReturnType<typeof decodeStream> => {
    const blocks = decodeStream(stream, warn);
    return inside.flac ? rescaled(blocks, inside.flac.bits) : blocks;
  };
  const { sampleRateHz, channels } = await firstBlock(stream);
  requireLayout(sampleRateHz, channels.length, file);
  const layout = { sampleRateHz, channels: channels.length };
  const granule = await lastGranule(source);
  stream.lengthSamples =
    granule !== null && granule > inside.before ? granule - inside.before : null;
  return {
    format: {
      ...layout,
      lengthSamples: stream.lengthSamples,
      encoding: inside.name,
      startEpochS: null,
    },
    warnings,
    blocks: (part = {}) => cut(decoded(), samplesOf(part, sampleRateHz, null), layout, warn),
  };
}

/** What the first packet of the first page says. */
function insideOf(head: Uint8Array, file: string): Inside {
  const body = 27 + (head[26] ?? 0);
  const is = (mark: string, from = 0): boolean =>
    latin(head, body + from, body + from + mark.length) === mark;
  if (head[body] === 1 && is('vorbis', 1)) {
    return {
      name: 'Ogg Vorbis',
      before: 0,
      open: async () => (await import('@audio/decode-vorbis')).decoder(),
    };
  }
  if (is('OpusHead') && head.length >= body + 12) {
    return {
      name: 'Ogg Opus',
      before: viewOf(head).getUint16(body + 10, true),
      open: async () => (await import('@audio/decode-opus')).decoder(),
    };
  }
  if (head[body] === 0x7f && is('FLAC', 1) && is('fLaC', 9) && head.length >= body + 51) {
    return {
      name: 'Ogg FLAC',
      before: 0,
      open: async () => (await import('@audio/decode-flac')).decoder(),
      flac: readStreamInfo(head.subarray(body + 17)),
    };
  }
  throw new LapbenchError({
    code: 'sound-encoding',
    file,
    message: `The Ogg file holds something that is not read (it begins with “${latin(head, body, body + 8)}”).`,
    remedy: 'Convert its sound to WAV or FLAC with a sound editor.',
  });
}

/** Position that the last page of the first stream ends with, in samples, or null where it is not to be had. */
async function lastGranule(source: SoundBytes): Promise<number | null> {
  const first = await source.read(0, 27);
  const from = Math.max(0, source.sizeBytes - 70_000);
  const tail = await source.read(from, source.sizeBytes - from);
  const view = viewOf(tail);
  for (let at = tail.length - 27; at >= 0; at--) {
    if (latin(tail, at, at + 4) !== 'OggS' || tail[at + 4] !== 0) continue;
    const granule = view.getBigInt64(at + 6, true);
    if (granule < 0n) continue;
    const same = view.getUint32(at + 14, true) === viewOf(first).getUint32(14, true);
    return same ? Number(granule) : null;
  }
  return null;
}
