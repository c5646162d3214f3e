/** A sound file of any kind that is read, told apart by its content, never by its name. */
import { LapbenchError } from '../core/units/index.ts';
import { openFlac } from './flac.ts';
import { firstFrame, openMp3 } from './mp3.ts';
import { openMp4 } from './mp4.ts';
import { openOgg } from './ogg.ts';
import { latin, type SoundBytes } from './source.ts';
import type { Sound } from './sound.ts';
import { openUnframed } from './unframed.ts';
import { isWav, openWav } from './wav.ts';

const read = 'WAV, M4A, MP4 or MOV, MP3, OGG, Opus, FLAC or WebM';

/**
 * Opens a sound. Reads some kilobytes; the samples come with `blocks`.
 * @param file its name, for messages
 * @throws LapbenchError where it is no sound that can be read, with what to do about it
 */
export async function openSound(source: SoundBytes, file: string): Promise<Sound> {
  if (source.sizeBytes === 0) {
    throw new LapbenchError({
      code: 'file-empty',
      file,
      message: 'The file is empty.',
      remedy: 'Copy it again from the recorder; it may still have been written to.',
    });
  }
  const offset = await afterTags(source);
  const head = await source.read(offset, 4_096);
  const opens = (mark: string, at = 0): boolean => latin(head, at, at + mark.length) === mark;

  if (isWav(head)) return openWav(source, file);
  if (opens('fLaC')) return openFlac(source, file, offset);
  if (opens('OggS')) return openOgg(source, file);
  if (isMp4(head)) return openMp4(source, file);
  if (head[0] === 0x1a && head[1] === 0x45 && head[2] === 0xdf && head[3] === 0xa3)
    return openUnframed(source, file, 'WebM');
  const other = otherKind(head);
  if (other !== null) {
    throw new LapbenchError({
      code: 'sound-encoding',
      file,
      message: `This is ${other}, which is not read.`,
      remedy: 'Save its sound as WAV, M4A or FLAC with a sound editor.',
    });
  }
  if (head[0] === 0xff && (head[1] & 0xf6) === 0xf0)
    return openUnframed(source, file, 'AAC', offset);
  // An MP3 has no mark of its own: a tag before it, or frames that follow each other.
  if (offset > 0 || firstFrame(head) === 0) return openMp3(source, file, offset);
  throw new LapbenchError({
    code: 'format-unknown',
    file,
    message: isText(head)
      ? 'This is a text, not a sound.'
      : 'This is not a sound file of a kind that is read.',
    remedy: `Give a ${read} file.`,
  });
}

/** Where the sound begins: past ID3v2 tags (id3.org, 2.4 structure, 3.1), which stand before MP3, AAC, even FLAC. */
async function afterTags(source: SoundBytes): Promise<number> {
  let offset = 0;
  for (let tag = 0; tag < 8; tag++) {
    const head = await source.read(offset, 10);
    if (latin(head, 0, 3) !== 'ID3' || head.length < 10) break;
    if (head.subarray(6).some((byte) => byte > 127)) break;
    const size = (head[6] << 21) | (head[7] << 14) | (head[8] << 7) | head[9];
    offset += 10 + size + (head[5] & 16 ? 10 : 0);
  }
  return Math.min(offset, source.sizeBytes);
}

/** `ftyp`, or the boxes that older QuickTime files begin with. */
function isMp4(head: Uint8Array): boolean {
  return ['ftyp', 'moov', 'mdat', 'wide', 'free', 'skip', 'pnot'].includes(latin(head, 4, 8));
}

/** Kinds that people may well have, by name, so that the message is of use. */
function otherKind(head: Uint8Array): string | null {
  const at = (from: number, to: number): string => latin(head, from, to);
  if (at(0, 4) === 'FORM' && at(8, 11) === 'AIF') return 'an AIFF file';
  if (at(0, 4) === 'RIFX') return 'a WAV file with the bytes in reverse order (RIFX)';
  if (at(0, 4) === 'RIFF' && at(8, 11) === 'AVI') return 'a video in an AVI file';
  if (at(0, 4) === 'RIFF') return `a RIFF file of the kind “${at(8, 12)}”`;
  if (at(0, 4) === 'riff') return 'a Wave64 file';
  if (at(0, 4) === 'caff') return 'a CAF file';
  if (at(0, 5) === '#!AMR') return 'an AMR file';
  if (at(0, 4) === '.snd') return 'an AU file';
  if (at(0, 4) === 'MThd') return 'a MIDI file: notes, no sound';
  if (head[0] === 0x30 && head[1] === 0x26 && head[2] === 0xb2 && head[3] === 0x75)
    return 'a WMA or WMV file';
  return null;
}

/** Mostly letters, digits and line ends. */
function isText(head: Uint8Array): boolean {
  return head
    .subarray(0, 512)
    .every((byte) => byte >= 32 || byte === 9 || byte === 10 || byte === 13);
}
