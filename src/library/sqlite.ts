import type * as sqlite from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import type { ProblemCode } from '../core/units/index.ts';

/**
 * Node's own SQLite. Loaded on first use and not by an import: some versions of Node print a
 * warning when it is loaded, and the command must print nothing but its answer.
 */
export function loadSqlite(): typeof sqlite {
  const emitWarning = process.emitWarning;
  process.emitWarning = ((warning: string | Error, ...rest: unknown[]): void => {
    if (String(warning).includes('SQLite is an experimental feature')) return;
    (emitWarning as (...args: unknown[]) => void).call(process, warning, ...rest);
  }) as typeof process.emitWarning;
  try {
    return process.getBuiltinModule('node:sqlite');
  } finally {
    process.emitWarning = emitWarning;
  }
}

/** Does the work in one transaction: all of it is stored, or nothing; reads see one state throughout. */
export function inTransaction<T>(
  db: sqlite.DatabaseSync,
  work: () => T,
  kind: 'IMMEDIATE' | 'DEFERRED' = 'IMMEDIATE',
): T {
  db.exec(`BEGIN ${kind}`);
  try {
    const result = work();
    db.exec('COMMIT');
    return result;
  } catch (error) {
    if (db.isTransaction) db.exec('ROLLBACK');
    throw error;
  }
}

/** Waits, blocking: for the moments in which SQLite itself does not wait for another process. */
export function sleep(milliseconds: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, milliseconds);
}

/** Primary result code of an SQLite error, or null when it is another error. */
export function sqliteCode(error: unknown): number | null {
  const { code, errcode } = error as { code?: unknown; errcode?: unknown };
  return code === 'ERR_SQLITE_ERROR' && typeof errcode === 'number' ? errcode & 0xff : null;
}

export const busyCodes = new Set([5, 6]);

/** Runs the work; what SQLite says goes wrong becomes a problem that names the file and a remedy. */
export function guarded<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw explained(error, path);
  }
}

// https://www.sqlite.org/rescode.html: names and numbers of the primary result codes.
const explanations: Record<number, [code: ProblemCode, message: string, remedy: string]> = {
  5: [
    'library-busy',
    'Another program is writing to the library.',
    'Wait until it is done, or close it, and try again.',
  ],
  6: [
    'library-busy',
    'Another program is using the library.',
    'Wait until it is done, or close it, and try again.',
  ],
  8: [
    'library-unwritable',
    'The library may not be written to.',
    'Give yourself permission to write the file and its folder.',
  ],
  10: [
    'library-unwritable',
    'The disk failed while the library was read or written.',
    'Check the disk; what was stored before is kept.',
  ],
  11: [
    'library-damaged',
    'The library is damaged.',
    'Leave the file as it is and go on with a backup of it.',
  ],
  13: [
    'library-unwritable',
    'The disk is full; nothing of this step was stored.',
    'Make room and try again.',
  ],
  14: [
    'library-unwritable',
    'The library cannot be opened.',
    'Check that its folder exists and that you may write in it.',
  ],
  18: [
    'file-too-large',
    'This is larger than the library can hold in one piece.',
    'Cut the recording to the hours of the test.',
  ],
  26: [
    'library-damaged',
    'This file is not a library, or it is damaged.',
    'Name another file, or go on with a backup of this one.',
  ],
};

function explained(error: unknown, path: string): unknown {
  const code = sqliteCode(error);
  const known = code === null ? undefined : explanations[code];
  if (!known) return error;
  const [problemCode, message, remedy] = known;
  const told = new LapbenchError({ code: problemCode, file: path, message, remedy });
  told.cause = error;
  return told;
}
