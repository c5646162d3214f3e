/** Kinds that are decoded from the start to the end by their own package, container and all: ADTS AAC and WebM. */
import type { Codec } from './codec.ts';
import type { SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { cut, decodeStream, firstBlock, type CodedStream } from './stream.ts';
import { warningsOf } from './warnings.ts';

const decoders = {
  AAC: async (): Promise<Codec> => (await import('@audio/decode-aac')).decoder(),
  WebM: async (): Promise<Codec> => (await import('@audio/decode-webm')).decoder(),
};

export async function openUnframed(
  source: SoundBytes,
  file: string,
  name: keyof typeof decoders,
  offset = 0,
): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const stream: CodedStream = {
    source,
    file,
    name,
    fromByte: offset,
    toByte: source.sizeBytes,
    bytesPerTurn: 8_192,
    open: decoders[name],
    holdsBack: true,
  };
  const { sampleRateHz, channels } = await firstBlock(stream);
  requireLayout(sampleRateHz, channels.length, file);
  const layout = { sampleRateHz, channels: channels.length };
  return {
    format: { ...layout, lengthSamples: null, encoding: name, startEpochS: null },
    warnings,
    blocks: (part = {}) =>
      cut(decodeStream(stream, warn), samplesOf(part, sampleRateHz, null), layout, warn),
  };
}
