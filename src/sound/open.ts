/** A sound file of any kind that is read, told apart by its content, never by its name. */
import { LapbenchError } from '../core/units/index.ts';
import type { Sound } from './sound.ts';
import type { SoundBytes } from './source.ts';
import { isWav, openWav } from './wav.ts';

/**
 * Opens a sound. Reads a few kilobytes; the samples come with `blocks`.
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
  const head = await source.read(0, 64);
  if (isWav(head)) return openWav(source, file);
  throw new LapbenchError({
    code: 'format-unknown',
    file,
    message: 'This is not a sound file of a kind that is read.',
    remedy: 'Give a WAV, M4A, MP3, OGG, Opus or FLAC file.',
  });
}
