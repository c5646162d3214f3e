/** The sound of MP4, M4A and MOV files, also of video: only the bytes of the sound are read. */
import { LapbenchError } from '../core/units/index.ts';
import { openAccessUnits } from './mp4-units.ts';
import { readMp4Index, type Mp4Index, type SoundTrack } from './mp4-boxes.ts';
import { openMp4Pcm } from './mp4-pcm.ts';
import { readSampleTable } from './mp4-table.ts';
import type { SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { cut, decodeStream, firstBlock, type CodedStream } from './stream.ts';
import { warningsOf } from './warnings.ts';

export async function openMp4(source: SoundBytes, file: string): Promise<Sound> {
  const index = await readMp4Index(source, file);
  const track = index.tracks[0];
  if (track === undefined) {
    throw new LapbenchError({
      code: 'sound-track-missing',
      file,
      message:
        index.pictures > 0 ? 'The video has no sound track.' : 'The file has no sound track.',
      remedy: 'Give the recording that has the sound; some cameras keep it in a file of its own.',
    });
  }
  const sound = await openTrack(source, file, index, track);
  if (index.tracks.length > 1) {
    sound.warnings.push({
      code: 'sound-part-lost',
      file,
      message: `The file has ${index.tracks.length} sound tracks; the first was read.`,
      remedy: 'Export the one that matters as WAV if the first is not it.',
    });
  }
  const created = index.createdEpochS;
  Object.assign(sound.format, {
    startEpochS: created,
    startClock: created === null ? null : 'utc',
    startNote:
      created === null
        ? null
        : 'creation time in the file: whole seconds, UTC by the standard; some recorders write local time, some the moment they stopped',
  } satisfies Partial<Sound['format']>);
  return sound;
}

async function openTrack(
  source: SoundBytes,
  file: string,
  index: Mp4Index,
  track: SoundTrack,
): Promise<Sound> {
  const table = readSampleTable(track.boxes, source.sizeBytes);
  if (table === null && index.fragmented) return openFragments(source, file);
  if (table === null) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      message: 'The tables that say where the sound lies in the file are damaged.',
      remedy: 'Copy it again from the recorder.',
    });
  }
  const sound =
    (await openMp4Pcm(source, file, track, table)) ??
    (await openAccessUnits(source, file, index, track, table));
  if (sound) return sound;
  throw new LapbenchError({
    code: 'sound-encoding',
    file,
    message: `The sound track is written as “${track.codec}”, which is not read.`,
    remedy: 'Convert its sound to WAV or M4A (AAC) with a sound editor.',
  });
}

/** Files written while recording, as browsers do: fragments one after the other, decoded from the start. */
async function openFragments(source: SoundBytes, file: string): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const stream: CodedStream = {
    source,
    file,
    name: 'MP4 in fragments',
    fromByte: 0,
    toByte: source.sizeBytes,
    bytesPerTurn: 16_384,
    open: async () => (await import('@audio/decode-mp4')).decoder(),
    holdsBack: true,
  };
  const { sampleRateHz, channels } = await firstBlock(stream);
  requireLayout(sampleRateHz, channels.length, file);
  const layout = { sampleRateHz, channels: channels.length };
  return {
    format: { ...layout, lengthSamples: null, encoding: 'MP4 in fragments' },
    warnings,
    blocks: (part = {}) =>
      cut(decodeStream(stream, warn), samplesOf(part, sampleRateHz, null), layout, warn),
  };
}
