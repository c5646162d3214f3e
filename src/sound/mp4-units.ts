/** AAC and Apple Lossless in MP4: units of about 1000 samples, each found by the tables and decoded alone. */
import { LapbenchError } from '../core/units/index.ts';
import { release, turn, type Codec } from './codec.ts';
import type { Mp4Index, SoundTrack } from './mp4-boxes.ts';
import { chunkOf, type SampleTable } from './mp4-table.ts';
import type { SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { cut, type CodedBlock, type Warn } from './stream.ts';
import { warningsOf } from './warnings.ts';

/** Units fed before the one that is wanted: a frame overlaps the one before it, spectral bands reach back further. */
const runUp = 6;
/** The delay that the decoder's band replication adds, in samples of its output (see @audio/decode-aac). */
const bandDelay = 962;
/** No unit of AAC is larger than 6144 bits a channel; Apple Lossless at 8 channels of 32 bits is larger. */
const mostUnitBytes = 1_048_576;
const readBytes = 262_144;

interface Shape {
  sampleRateHz: number;
  channels: number;
  /** Samples of one unit in the output, and units that the decoder holds back at the start. */
  unitSamples: number;
  heldBack: number;
  /** Samples that come out before the first of the sound: the encoder's run-in, less what the decoder drops. */
  skip: number;
  length: number;
}

/** Opens an AAC or Apple Lossless track, or null where it is something else. */
export async function openAccessUnits(
  source: SoundBytes,
  file: string,
  index: Mp4Index,
  track: SoundTrack,
  table: SampleTable,
): Promise<Sound | null> {
  const cookie = track.codec === 'alac' ? track.boxes.get('alac') : undefined;
  const asc = track.codec === 'mp4a' ? aacConfig(track.boxes.get('esds')) : null;
  if (!asc && !(cookie && cookie.length >= 24)) return null;
  const config = asc ? { asc } : { alac: cookie };
  const open = async (): Promise<Codec> => (await import('@audio/decode-aac')).decoder(config);
  const { warnings, warn } = warningsOf(file);
  const units = { source, table, open, mono: isMono(asc) };
  const shape = await probe(units, file, await windowOf(index, track, config), asc);
  const { sampleRateHz, channels, length } = shape;
  requireLayout(sampleRateHz, channels, file);
  return {
    format: {
      sampleRateHz,
      channels,
      lengthSamples: length,
      encoding: asc ? 'AAC in MP4' : 'Apple Lossless in MP4',
    },
    warnings,
    blocks: (part = {}) => {
      const wanted = samplesOf(part, sampleRateHz, length);
      const first = Math.max(0, Math.floor((wanted.from + shape.skip) / shape.unitSamples) - runUp);
      return cut(
        decodeUnits(units, shape, first, warn),
        { ...wanted, first: first * shape.unitSamples - shape.skip },
        shape,
        warn,
      );
    },
  };
}

interface Units {
  source: SoundBytes;
  table: SampleTable;
  open(): Promise<Codec>;
  mono: boolean;
}

/** Units from `first` on. One that cannot be decoded becomes silence, so that all after it stays in time. */
async function* decodeUnits(
  units: Units,
  shape: Shape,
  first: number,
  warn: Warn,
): AsyncGenerator<CodedBlock> {
  const codec = await units.open();
  const { sampleRateHz, unitSamples } = shape;
  let unit = first;
  try {
    for await (const bytes of unitBytes(units, first)) {
      const { channels, sampleRateHz: rate, dead } = await decodeUnit(codec, bytes, units.mono);
      const timeS = (unit * unitSamples - shape.skip) / sampleRateHz;
      const isStart = unit - first < shape.heldBack;
      if (channels.length > 0) yield { channels, sampleRateHz: rate };
      else if (!isStart) {
        warn({
          code: 'sound-part-lost',
          place: { timeS: Math.max(0, timeS) },
          message: 'Some of the sound could not be decoded; silence stands in its place.',
          remedy: 'If there is much of it, copy the file again from the recorder.',
        });
        yield silence(shape);
      }
      if (dead) return;
      unit++;
    }
    if (unit < units.table.count) {
      warn({
        code: 'format-truncated',
        place: { timeS: (unit * unitSamples) / sampleRateHz },
        message: 'The file ends before its sound does.',
        remedy: 'Copy it again from the recorder; what is there was read.',
      });
    }
  } finally {
    release(codec);
  }
}

const silence = ({ channels, unitSamples, sampleRateHz }: Shape): CodedBlock => ({
  sampleRateHz,
  channels: Array.from({ length: channels }, () => new Float32Array(unitSamples)),
});

async function decodeUnit(
  codec: Codec,
  bytes: Uint8Array,
  mono: boolean,
): Promise<{ channels: Float32Array[]; sampleRateHz: number; dead: boolean }> {
  const { channels, sampleRateHz, dead } = await turn(() => codec.decode(bytes));
  return { channels: mono ? channels.slice(0, 1) : channels, sampleRateHz, dead };
}

/** The bytes of each unit from `first` on; units that lie together are read together. */
async function* unitBytes({ source, table }: Units, first: number): AsyncGenerator<Uint8Array> {
  if (first >= table.count) return;
  for (let chunk = chunkOf(table, first); chunk + 1 < table.chunkFirst.length; chunk++) {
    let at = table.chunkOffset[chunk];
    let held = new Uint8Array(0);
    let heldFrom = at;
    for (let unit = table.chunkFirst[chunk]; unit < table.chunkFirst[chunk + 1]; unit++) {
      const size = table.sizeOf(unit);
      if (size > mostUnitBytes) return;
      if (unit >= first) {
        if (at + size > heldFrom + held.length) {
          const ahead = Math.max(size, Math.min(readBytes, bytesAhead(table, chunk, unit)));
          held = (await source.read(at, ahead)).slice();
          heldFrom = at;
          if (held.length < size) return;
        }
        yield held.subarray(at - heldFrom, at - heldFrom + size);
      }
      at += size;
    }
  }
}

/** How many bytes of the chunk are left, as far as it is worth counting. */
function bytesAhead(table: SampleTable, chunk: number, unit: number): number {
  let bytes = 0;
  for (let i = unit; i < table.chunkFirst[chunk + 1] && bytes < readBytes; i++) {
    bytes += table.sizeOf(i);
  }
  return bytes;
}

/** Decodes the first units to learn what comes out. */
async function probe(
  units: Units,
  file: string,
  window: { start: number; duration?: number } | null,
  asc: Uint8Array | null,
): Promise<Shape> {
  const codec = await units.open();
  let heldBack = 0;
  let unit = 0;
  let shape: Shape | null = null;
  try {
    for await (const bytes of unitBytes(units, 0)) {
      const { channels, sampleRateHz, dead } = await decodeUnit(codec, bytes, units.mono);
      if (channels.length > 0) {
        const unitSamples = channels[0].length;
        const doubled = asc !== null && sampleRateHz > 1.5 * coreRateHz(asc);
        const dropped = heldBack * unitSamples - (doubled ? bandDelay : 0);
        const skip = window ? Math.max(0, Math.round(window.start * sampleRateHz) - dropped) : 0;
        const most = (units.table.count - heldBack) * unitSamples - skip;
        const stated =
          window?.duration === undefined ? most : Math.round(window.duration * sampleRateHz);
        shape = {
          sampleRateHz,
          channels: channels.length,
          unitSamples,
          heldBack,
          skip,
          length: Math.min(stated, most),
        };
        break;
      }
      // FAAD2 gives nothing for the very first unit; anything beyond that is damage at the start.
      if (unit === 0 && asc) heldBack = 1;
      if (dead || ++unit > 50) break;
    }
  } finally {
    release(codec);
  }
  if (shape !== null && shape.length > 0) return shape;
  throw new LapbenchError({
    code: 'format-damaged',
    file,
    message: 'The file has a sound track, but no sound could be decoded from it.',
    remedy: 'Copy it again from the recorder; if that does not help, record again, best as WAV.',
  });
}

/** What the file says of the encoder's run-in and padding (edit list, or the tag of Apple's encoders). */
async function windowOf(
  index: Mp4Index,
  { boxes }: SoundTrack,
  config: { asc?: Uint8Array; alac?: Uint8Array },
): Promise<{ start: number; duration?: number } | null> {
  const { gapless } = await import('@audio/decode-aac');
  try {
    const found = gapless({
      elst: boxes.get('elst'),
      mdhd: boxes.get('mdhd'),
      stts: boxes.get('stts'),
      mvhd: index.movieHeader ?? undefined,
      ilst: index.tags ?? undefined,
      ...config,
    });
    return found && Number.isFinite(found.start) ? found : null;
  } catch {
    return null;
  }
}

/** AudioSpecificConfig out of esds (ISO/IEC 14496-1, 7.2.6), for AAC only. */
function aacConfig(esds: Uint8Array | undefined): Uint8Array | null {
  if (!esds) return null;
  let at = 4;
  while (at + 2 < esds.length) {
    const tag = esds[at++];
    let length = 0;
    for (let i = 0; i < 4; i++) {
      const byte = esds[at++];
      length = (length << 7) | (byte & 0x7f);
      if ((byte & 0x80) === 0) break;
    }
    if (tag === 0x03) at += 3;
    else if (tag === 0x04) {
      // Object types: 0x40 is MPEG-4 audio, 0x66 to 0x68 MPEG-2 AAC.
      if (![0x40, 0x66, 0x67, 0x68].includes(esds[at])) return null;
      at += 13;
    } else if (tag === 0x05) {
      const config = esds.subarray(at, at + length);
      return config.length >= 2 ? config : null;
    } else at += length;
  }
  return null;
}

const coreRates = [
  96_000, 88_200, 64_000, 48_000, 44_100, 32_000, 24_000, 22_050, 16_000, 12_000, 11_025, 8_000,
];

function coreRateHz(asc: Uint8Array): number {
  return coreRates[((asc[0] & 7) << 1) | (asc[1] >> 7)] ?? Infinity;
}

/** One channel and no parametric stereo (object type 29), which the decoder gives as two equal ones. */
function isMono(asc: Uint8Array | null): boolean {
  return asc !== null && ((asc[1] >> 3) & 15) === 1 && asc[0] >> 3 === 2;
}
