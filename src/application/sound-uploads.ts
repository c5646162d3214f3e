/** Files on their way into the library, piece by piece. */
import { createHash } from 'node:crypto';
import { LapbenchError } from '../core/units/index.ts';
import type { SoundFileRecord, SoundFiles } from '../library/index.ts';
import type { SoundUpload } from './contract-sounds.ts';
import type { Clock } from './edges.ts';
import { plainFileName } from './file-name.ts';

/** Larger files are not taken: a day of sound, or a film. */
export const maximumSoundBytes = 8e9;
/** An upload that nothing was added to for so long is forgotten. */
const keptMs = 86_400_000;
/** Read at once for the hash, between which others get their turn. */
const hashBytes = 1_048_576;

export class SoundUploads {
  private readonly files: SoundFiles;
  private readonly now: Clock;

  constructor(files: SoundFiles, now: Clock) {
    this.files = files;
    this.now = now;
  }

  begin(file: string, bytes: number): SoundUpload {
    this.files.dropOlder(new Date(Date.parse(this.now()) - keptMs).toISOString());
    const name = plainFileName(file);
    if (!Number.isInteger(bytes) || bytes < 0) {
      throw new LapbenchError({
        code: 'usage',
        message: `A file has no ${bytes} bytes.`,
        remedy: 'Say how many bytes it has.',
      });
    }
    if (bytes === 0) {
      throw new LapbenchError({
        code: 'file-empty',
        file: name,
        message: 'The file is empty.',
        remedy: 'Copy it again from the recorder; it may still have been written to.',
      });
    }
    if (bytes > maximumSoundBytes) {
      throw new LapbenchError({
        code: 'file-too-large',
        file: name,
        message: `The file has ${(bytes / 1e9).toFixed(1)} GB; at most ${maximumSoundBytes / 1e9} GB are taken.`,
        remedy: 'Cut it to the descent.',
      });
    }
    return uploadOf(this.files.get(this.files.begin(name, bytes))!);
  }

  get(id: string): SoundUpload {
    return uploadOf(this.record(id));
  }

  add(id: string, offset: number, bytes: Uint8Array): SoundUpload {
    return uploadOf(this.files.add(id, offset, bytes));
  }

  drop(id: string): void {
    this.record(id);
    this.files.drop(id);
  }

  /** Hashes what has arrived and closes the upload; once done it stays so. */
  async seal(id: string): Promise<SoundFileRecord> {
    const record = this.record(id);
    if (record.sha256 !== null) return record;
    const hash = createHash('sha256');
    const { read } = this.files.reader(id);
    for (let at = 0; at < record.received; at += hashBytes) {
      hash.update(await read(at, hashBytes));
      // A turn of the event loop: an hour of sound must not keep the page waiting.
      await new Promise((resolve) => setImmediate(resolve));
    }
    this.files.seal(id, hash.digest('hex'));
    return this.record(id);
  }

  private record(id: string): SoundFileRecord {
    const record = this.files.get(id);
    if (record) return record;
    throw new LapbenchError({
      code: 'upload-unknown',
      message: `There is no upload ${JSON.stringify(id.slice(0, 60))}.`,
      remedy: 'It may have been left unfinished for over a day: send the file again.',
    });
  }
}

function uploadOf({ id, file, bytes, received }: SoundFileRecord): SoundUpload {
  return { upload: id, file, bytes, received };
}
