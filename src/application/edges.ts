/**
 * What the use cases need from outside, handed in by the face (or by a test): where files come
 * from, what time it is, where a reduction is computed.
 */
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import { LapbenchError } from '../core/units/index.ts';
import { defaultLimits } from '../recordings/index.ts';

/** Gives a recording's bytes by the name the sheet uses; throws `LapbenchError` when it cannot. */
export type ReadFile = (file: string) => Uint8Array;

/** Now, as an ISO time. */
export type Clock = () => string;

/** Larger files are refused before they are read into memory. */
export const maximumFileBytes = defaultLimits.maxBytes;

/** Hex SHA-256: how a recording is addressed and how a finding names its inputs. */
export function sha256(bytes: Uint8Array | string): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** Files beside a sheet on disk. Relative paths start at the sheet's folder. */
export function filesBeside(sheetPath: string): ReadFile {
  const folder = path.dirname(path.resolve(sheetPath));
  return (file) => readFileBounded(path.resolve(folder, file), file);
}

/**
 * Reads a whole file, refusing what is missing, not a file, or over `maximumFileBytes`.
 * `name` is how the person knows it.
 */
export function readFileBounded(location: string, name: string): Uint8Array {
  let found: fs.Stats;
  try {
    found = fs.statSync(location);
    if (found.isFile() && found.size <= maximumFileBytes) return fs.readFileSync(location);
  } catch (error) {
    throw new LapbenchError({ code: 'file-missing', file: name, ...whyUnreadable(error) });
  }
  if (!found.isFile()) {
    throw new LapbenchError({
      code: 'file-missing',
      file: name,
      message: 'This is a folder or a device, not a file.',
      remedy: 'Name the file itself.',
    });
  }
  throw new LapbenchError({
    code: 'file-too-large',
    file: name,
    message: `The file has ${(found.size / 1e6).toFixed(0)} MB; at most ${(maximumFileBytes / 1e6).toFixed(0)} MB are read.`,
    remedy: 'Cut it to the hours of the test.',
  });
}

export function whyUnreadable(error: unknown): { message: string; remedy: string } {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return {
      message: 'There is no such file.',
      remedy: 'Check the name, and that the file lies beside the sheet.',
    };
  }
  if (code === 'EACCES' || code === 'EPERM') {
    return {
      message: 'The file may not be read.',
      remedy: 'Change its permissions, or copy it to a folder of your own.',
    };
  }
  return {
    message: `The file could not be read (${code ?? String(error)}).`,
    remedy: 'Copy it afresh and try again.',
  };
}
