/** MP3: MPEG audio layer III (ISO/IEC 11172-3, 13818-3). Decoded by libmpg123 from @audio/decode-mp3. */
import { LapbenchError } from '../core/units/index.ts';
import { latin, viewOf, type SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { cut, decodeStream, firstBlock, type CodedStream } from './stream.ts';
import { warningsOf } from './warnings.ts';

/** A frame is looked for this far into the file. */
const searchBytes = 131_072;

/** Opens an MP3 whose frames begin at or after `offset` (past an ID3 tag). */
export async function openMp3(source: SoundBytes, file: string, offset: number): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const bytes = await source.read(offset, searchBytes);
  const start = firstFrame(bytes);
  const frame = start === null ? null : frameAt(bytes, start);
  if (start === null || frame === null) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      message: 'The file has an MP3 tag, but no MP3 frame near its beginning.',
      remedy: 'Copy it again from the recorder, or export it as WAV with a sound editor.',
    });
  }
  const stream: CodedStream = {
    source,
    file,
    name: 'MP3',
    fromByte: offset + start,
    toByte: source.sizeBytes,
    bytesPerTurn: 16_384,
    open: async () => (await import('@audio/decode-mp3')).decoder(),
    mono: frame.channels === 1,
    lengthSlack: 4_096,
  };
  const { sampleRateHz, channels } = await firstBlock(stream);
  requireLayout(sampleRateHz, channels.length, file);
  const layout = { sampleRateHz, channels: channels.length };
  const lengthSamples = statedLength(bytes.subarray(start), frame);
  stream.lengthSamples = lengthSamples;
  return {
    format: { ...layout, lengthSamples, encoding: 'MP3', startEpochS: null },
    warnings,
    blocks: (part = {}) =>
      cut(decodeStream(stream, warn), samplesOf(part, sampleRateHz, null), layout, warn),
  };
}

interface Frame {
  bytes: number;
  samples: number;
  channels: number;
  /** Where a Xing or Info header would stand. */
  sideBytes: number;
}

const bitRates = {
  first: [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320],
  second: [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
};
const rates = [44_100, 48_000, 32_000];

/** The frame header at a place, or null where there is none (ISO/IEC 11172-3, 2.4.1.3). */
export function frameAt(bytes: Uint8Array, at: number): Frame | null {
  if (at + 4 > bytes.length || bytes[at] !== 0xff || (bytes[at + 1] & 0xe0) !== 0xe0) return null;
  const version = (bytes[at + 1] >> 3) & 3; // 3: MPEG 1, 2: MPEG 2, 0: MPEG 2.5
  const layer = (bytes[at + 1] >> 1) & 3;
  const bitRate = bytes[at + 2] >> 4;
  const rate = rates[(bytes[at + 2] >> 2) & 3];
  if (version === 1 || layer !== 1 || bitRate === 0 || bitRate === 15 || !rate) return null;
  const first = version === 3;
  const hz = first ? rate : version === 2 ? rate / 2 : rate / 4;
  const kbits = (first ? bitRates.first : bitRates.second)[bitRate];
  const samples = first ? 1152 : 576;
  const padding = (bytes[at + 2] >> 1) & 1;
  const channels = bytes[at + 3] >> 6 === 3 ? 1 : 2;
  const side = first ? (channels === 1 ? 17 : 32) : channels === 1 ? 9 : 17;
  return {
    bytes: Math.floor((samples * kbits * 125) / hz) + padding,
    samples,
    channels,
    sideBytes: side,
  };
}

/** The first place where a frame stands and another follows it, or the bytes end with it. */
export function firstFrame(bytes: Uint8Array): number | null {
  for (let at = 0; at + 4 <= bytes.length; at++) {
    const frame = frameAt(bytes, at);
    if (frame === null) continue;
    const next = at + frame.bytes;
    if (next === bytes.length || frameAt(bytes, next) !== null) return at;
  }
  return null;
}

/** Length by the header that encoders put in the first frame (Xing or Info, with LAME's delays). */
function statedLength(bytes: Uint8Array, frame: Frame): number | null {
  const at = 4 + frame.sideBytes;
  if (at + 12 > bytes.length || !['Xing', 'Info'].includes(latin(bytes, at, at + 4))) return null;
  const view = viewOf(bytes);
  const flags = view.getUint32(at + 4);
  if ((flags & 1) === 0) return null;
  const frames = view.getUint32(at + 8);
  let lame = at + 12;
  if (flags & 2) lame += 4;
  if (flags & 4) lame += 100;
  if (flags & 8) lame += 4;
  // The encoder's name (9), then 12 bytes, then 12 bits of delay and 12 bits of padding.
  const delays = lame + 21;
  const padded = delays + 3 <= Math.min(bytes.length, frame.bytes) && bytes[lame] !== 0;
  const cutOff = padded
    ? ((bytes[delays] << 4) | (bytes[delays + 1] >> 4)) +
      (((bytes[delays + 1] & 15) << 8) | bytes[delays + 2])
    : 0;
  const length = frames * frame.samples - cutOff;
  return length > 0 ? length : null;
}
