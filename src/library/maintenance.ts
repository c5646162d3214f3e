import fs from 'node:fs';
import path from 'node:path';
import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import type { Problem } from '../core/units/index.ts';
import { sha256Of } from './recordings.ts';
import { sha256OfSound } from './sound-files.ts';

/** What a check of the library found. */
export interface Verification {
  recordings: number;
  bytes: number;
  days: number;
  findings: number;
  benchItems: number;
  sounds: number;
  /** Empty when all is as it was put in. */
  problems: Problem[];
}

/**
 * Writes a copy of the whole library to a new file, while others may go on using it. The file
 * appears under its name only when it is complete and on the disk.
 */
export function backUp(db: DatabaseSync, place: string, target: string, mark: string): void {
  const refuse = (message: string, remedy: string): never => {
    throw new LapbenchError({ code: 'library-unwritable', file: target, message, remedy });
  };
  if (fs.existsSync(target)) refuse('There is a file of this name already.', 'Name a new file.');
  const folder = path.dirname(path.resolve(target));
  if (!fs.existsSync(folder))
    refuse('The folder of the copy does not exist.', 'Make the folder first.');
  if (path.resolve(target) === place) refuse('This is the library itself.', 'Name a new file.');
  const unfinished = path.join(folder, `.${path.basename(target)}.${mark}.unfinished`);
  try {
    db.prepare('VACUUM INTO ?').run(unfinished);
    const file = fs.openSync(unfinished, 'r+');
    fs.fsyncSync(file);
    fs.closeSync(file);
    fs.renameSync(unfinished, target);
  } finally {
    fs.rmSync(unfinished, { force: true });
  }
}

/** Checks the structure of the file, every link in it, and every recording and sound against its hash. */
export function verifyAll(db: DatabaseSync, place: string): Verification {
  const problems: Problem[] = [];
  const damaged = (message: string, remedy: string): void => {
    problems.push({ code: 'library-damaged', file: place, message, remedy });
  };
  const fromBackup = 'Leave the file as it is and go on with a backup of it.';
  for (const { integrity_check } of db.prepare('PRAGMA integrity_check(20)').all()) {
    if (integrity_check !== 'ok')
      damaged(`The library is damaged: ${String(integrity_check)}.`, fromBackup);
  }
  for (const { table } of db.prepare('PRAGMA foreign_key_check').all()) {
    damaged(`An entry of "${String(table)}" points at something that is not there.`, fromBackup);
  }
  const hashes = db.prepare('SELECT sha256 FROM recordings ORDER BY sha256').all();
  const bytesOf = db.prepare('SELECT bytes FROM recordings WHERE sha256 = ?');
  const namesOf = db.prepare('SELECT DISTINCT file FROM day_recordings WHERE sha256 = ? LIMIT 3');
  let bytes = 0;
  for (const { sha256 } of hashes) {
    const stored = bytesOf.get(sha256)?.bytes as Uint8Array;
    bytes += stored.length;
    if (sha256Of(stored) === sha256) continue;
    const names = namesOf.all(sha256).map(({ file }) => String(file));
    problems.push({
      code: 'recording-changed',
      file: place,
      message: `The stored recording ${names.join(', ') || String(sha256).slice(0, 12)} is not what was put in: its hash differs.`,
      remedy:
        'Go on with a backup of the library, or add the recording again from the original file.',
    });
  }
  for (const { id, file, sha256 } of db
    .prepare('SELECT id, file, sha256 FROM sound_files WHERE sha256 IS NOT NULL ORDER BY id')
    .all()) {
    if (sha256OfSound(db, String(id)) === sha256) continue;
    problems.push({
      code: 'sound-altered',
      file: place,
      message: `The stored sound ${String(file)} is not what was put in: its hash differs.`,
      remedy: 'Go on with a backup of the library, or add the sound again from the original file.',
    });
  }
  const count = (table: string): number =>
    Number(db.prepare(`SELECT count(*) AS n FROM ${table}`).get()?.n);
  return {
    recordings: hashes.length,
    bytes,
    days: count('days'),
    findings: count('findings'),
    benchItems: count('bench_items'),
    sounds: count('sounds'),
    problems,
  };
}
