/** Sound files on disk: opened by name, read in pieces. */
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import fsp from 'node:fs/promises';
import { LapbenchError } from '../core/units/index.ts';
import type { SoundBytes } from '../sound/index.ts';
import { whyUnreadable } from './edges.ts';

/** A file as a source, see `SoundThreads`. */
export interface SoundFile {
  path: string;
  sizeBytes: number;
}

/** Looks whether the file is there; throws `LapbenchError` with `name`, as the person typed it, when it is not. */
export function soundFile(location: string, name: string): SoundFile {
  const refuse = (message: string, remedy: string): never => {
    throw new LapbenchError({ code: 'file-missing', file: name, message, remedy });
  };
  try {
    fs.accessSync(location, fs.constants.R_OK);
    const found = fs.statSync(location);
    if (found.isFile()) return { path: location, sizeBytes: found.size };
  } catch (error) {
    const { message, remedy } = whyUnreadable(error);
    return refuse(message, remedy.replace(', and that the file lies beside the sheet', ''));
  }
  return refuse('This is a folder or a device, not a file.', 'Name the sound file itself.');
}

/** Its bytes, read in this thread; to be closed. */
export function fileBytes({ path, sizeBytes }: SoundFile): SoundBytes & {
  close: () => Promise<void>;
} {
  let handle: Promise<fsp.FileHandle> | null = null;
  return {
    sizeBytes,
    read: async (offset, length, given) => {
      handle ??= fsp.open(path);
      const wanted = Math.max(0, Math.min(length, sizeBytes - offset));
      const room = given?.subarray(0, wanted) ?? new Uint8Array(wanted);
      const { bytesRead } = await (await handle).read(room, { position: offset });
      return room.subarray(0, bytesRead);
    },
    close: async () => (await handle)?.close(),
  };
}

/** Hex SHA-256 of a file of any size. */
export async function sha256OfFile({ path }: SoundFile): Promise<string> {
  const hash = createHash('sha256');
  const handle = await fsp.open(path);
  try {
    // One piece of memory for all: a stream leaves many to be collected.
    const room = new Uint8Array(1_048_576);
    for (;;) {
      const { bytesRead } = await handle.read(room, { position: null });
      if (bytesRead === 0) return hash.digest('hex');
      hash.update(room.subarray(0, bytesRead));
    }
  } finally {
    await handle.close();
  }
}
