/** Compressed sounds that are decoded from a place on to the end, a few kilobytes at a time. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { release, turn, type Codec } from './codec.ts';
import { blockSamples } from './sound.ts';
import type { SoundBytes } from './source.ts';

/** A run of bytes that a decoder takes one after the other. */
export interface CodedStream {
  source: SoundBytes;
  file: string;
  /** Such as `MP3`. */
  name: string;
  /** Fed first, such as a header without pictures. */
  prefix?: Uint8Array;
  fromByte: number;
  toByte: number;
  /** Fed at once: small enough that what comes out fits in memory. */
  bytesPerTurn: number;
  open(): Promise<Codec>;
  /** The decoder makes two equal channels of one. */
  mono?: boolean;
  /** The decoder gives nothing for the first unit and counts that as a fault. */
  holdsBack?: boolean;
  /** Samples that the file says there are. */
  lengthSamples?: number | null;
  /** So many may be missing without anything being lost, because the length is not kept exactly. */
  lengthSlack?: number;
}

export interface CodedBlock {
  channels: Float32Array[];
  sampleRateHz: number;
}

export type Warn = (problem: Omit<Problem, 'file'>) => void;

/** Bytes read at once from the source. */
const readBytes = 262_144;
/** So much without a sample coming out: the rest is no sound. */
const mostInVain = 4_194_304;

/** Decodes to the end. What could not be decoded is told to `warn`; nothing is thrown. */
export async function* decodeStream(stream: CodedStream, warn: Warn): AsyncGenerator<CodedBlock> {
  const codec = await stream.open();
  let inVain = 0;
  let seconds = 0;
  let total = 0;
  let forgiven = stream.holdsBack ? 1 : 0;
  const lost = (why: string): void =>
    warn({
      code: 'sound-part-lost',
      place: { timeS: seconds },
      message: `${why} (${stream.name}).`,
      remedy:
        'Times after that place may be too early; if it matters, record again or repair the file.',
    });
  try {
    for await (const bytes of pieces(stream)) {
      const result = await turn(() => codec.decode(bytes));
      if (result.faults > forgiven) lost('Some of the sound could not be decoded');
      if (result.faults > 0) forgiven = 0;
      inVain = result.channels.length > 0 ? 0 : inVain + bytes.length;
      if (result.channels.length > 0) {
        yield asCoded(stream, result);
        total += result.channels[0].length;
        seconds += result.channels[0].length / result.sampleRateHz;
      }
      if (result.dead || inVain > mostInVain) {
        lost('The sound could not be decoded from here on');
        return;
      }
    }
    if (codec.flush) {
      const result = await turn(() => codec.flush?.() ?? { channelData: [], sampleRate: 0 });
      if (result.channels.length > 0) yield asCoded(stream, result);
      total += result.channels[0]?.length ?? 0;
      if (result.faults > 0) lost('The end of the sound could not be decoded');
    }
    const missing = (stream.lengthSamples ?? 0) - total;
    if (missing > (stream.lengthSlack ?? 0) && seconds > 0) {
      const share = Math.round((100 * missing) / (missing + total));
      lost(`About ${Math.max(1, share)} % of the sound that the file should have is missing`);
    }
  } finally {
    release(codec);
  }
}

const asCoded = (stream: CodedStream, block: CodedBlock): CodedBlock => ({
  sampleRateHz: block.sampleRateHz,
  channels: stream.mono ? block.channels.slice(0, 1) : block.channels,
});

async function* pieces(stream: CodedStream): AsyncGenerator<Uint8Array> {
  if (stream.prefix) yield stream.prefix;
  for (let at = stream.fromByte; at < stream.toByte;) {
    const bytes = await stream.source.read(at, Math.min(readBytes, stream.toByte - at));
    if (bytes.length === 0) return;
    for (let i = 0; i < bytes.length; i += stream.bytesPerTurn) {
      // A copy: decoders keep what they have not used yet, and the source may use its memory again.
      yield bytes.slice(i, i + stream.bytesPerTurn);
    }
    at += bytes.length;
  }
}

/** The rate and the channels that come out, from the first samples; throws where none come. */
export async function firstBlock(stream: CodedStream): Promise<CodedBlock> {
  for await (const block of decodeStream(stream, () => undefined)) return block;
  throw new LapbenchError({
    code: 'format-damaged',
    file: stream.file,
    message: `The file looks like ${stream.name}, but no sound could be decoded from it.`,
    remedy: 'Copy it again from the recorder; if that does not help, record again, best as WAV.',
  });
}

/**
 * Samples `from` up to `to` of blocks that begin at sample `first`, in blocks of no more than `blockSamples`.
 * Ends with a warning where rate or channels change.
 */
export async function* cut(
  blocks: AsyncIterable<CodedBlock>,
  { from, to, first = 0 }: { from: number; to: number; first?: number },
  { sampleRateHz, channels: count }: { sampleRateHz: number; channels: number },
  warn: Warn,
): AsyncGenerator<Float32Array[]> {
  let at = first;
  if (from >= to) return;
  for await (const { channels, sampleRateHz: rate } of blocks) {
    if (rate !== sampleRateHz || channels.length !== count) {
      warn({
        code: 'sound-part-lost',
        place: { timeS: at / sampleRateHz },
        message: `From here on the sound has ${channels.length} channels at ${rate} Hz, before it had ${count} at ${sampleRateHz} Hz; only what came before was read.`,
        remedy: 'Cut the file there with a sound editor and read the parts one by one.',
      });
      return;
    }
    const length = channels[0].length;
    const begin = Math.max(0, from - at);
    const end = Math.min(length, to - at);
    for (let i = begin; i < end; i += blockSamples) {
      const next = Math.min(end, i + blockSamples);
      yield channels.map((samples) => samples.slice(i, next));
    }
    at += length;
    if (at >= to) return;
  }
}
