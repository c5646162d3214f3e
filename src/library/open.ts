import fs from 'node:fs';
import path from 'node:path';
import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import type { ProblemCode } from '../core/units/index.ts';
import { Library } from './library.ts';
import { makeFolder } from './make-folder.ts';
import { applicationId, migrations } from './schema.ts';
import { busyCodes, guarded, inTransaction, loadSqlite, sleep, sqliteCode } from './sqlite.ts';

/** What the library needs from outside. */
export interface LibraryOptions {
  /** Now, as an ISO time in UTC. */
  now: () => string;
  /** An id for a new day; asked again while it is in use. */
  newId: () => string;
  /** How long to wait for another program that is writing, ms. Default 5000. */
  busyTimeoutMs?: number;
}

/**
 * Opens a library file, making it (and its folder) when there is none. Older files are brought up
 * to date; after a crash the file is checked before use. Every write is on the disk when its call
 * returns.
 *
 * @throws LapbenchError `library-damaged`, `library-newer`, `library-busy` or `library-unwritable`;
 * the file is then as it was.
 */
export function openLibrary(location: string, options: LibraryOptions): Library {
  const { busyTimeoutMs = 5000 } = options;
  const place = location === ':memory:' ? location : path.resolve(location);
  const crashed = place !== ':memory:' && prepareFile(place);
  return guarded(place, () => {
    const { DatabaseSync } = loadSqlite();
    const db = new DatabaseSync(place);
    try {
      db.exec(`PRAGMA busy_timeout = ${Math.round(busyTimeoutMs)}`);
      refuseForeign(db, place);
      if (crashed) checkStructure(db, place);
      configure(db, busyTimeoutMs);
      migrate(db, place);
      return new Library(db, place, options);
    } catch (error) {
      db.close();
      throw error;
    }
  });
}

/**
 * Makes the folder, refuses what is no SQLite file without touching it, and answers whether the
 * last program that had the library open did not close it.
 */
function prepareFile(place: string): boolean {
  const unwritable = (message: string, remedy: string): never =>
    refuse('library-unwritable', place, message, remedy);
  try {
    makeFolder(path.dirname(place));
  } catch {
    unwritable('The folder of the library cannot be made.', 'Name a place where you may write.');
  }
  const stats = fs.statSync(place, { throwIfNoEntry: false });
  if (!stats) return false;
  if (!stats.isFile())
    return unwritable('This is a folder or a device, not a library file.', 'Name a file.');
  if (stats.size > 0) {
    const head = Buffer.alloc(16);
    try {
      const file = fs.openSync(place, 'r');
      fs.readSync(file, head);
      fs.closeSync(file);
    } catch {
      unwritable('The library may not be read.', 'Give yourself permission to read and write it.');
    }
    if (head.toString('latin1') !== 'SQLite format 3\0') {
      refuse(
        'library-damaged',
        place,
        'This file is not a library, or it is damaged from its first byte.',
        'Name another file, or go on with a backup of this one.',
      );
    }
  }
  const log = fs.statSync(`${place}-wal`, { throwIfNoEntry: false });
  return log !== undefined && log.size > 0;
}

/** Reads only, so that a stranger's database is left as it was. */
function refuseForeign(db: DatabaseSync, place: string): void {
  // One snapshot: another program may be making this very library between two reads.
  db.exec('BEGIN');
  const id = numberOf(db, 'PRAGMA application_id', 'application_id');
  const tables = numberOf(db, 'SELECT count(*) AS tables FROM sqlite_schema', 'tables');
  db.exec('COMMIT');
  if (id !== applicationId && !(id === 0 && tables === 0)) {
    refuse(
      'library-damaged',
      place,
      'This is a database of another program, not a library.',
      'Name another file.',
    );
  }
  refuseNewer(db, place);
}

function refuseNewer(db: DatabaseSync, place: string): void {
  const version = numberOf(db, 'PRAGMA user_version', 'user_version');
  if (version <= migrations.length) return;
  refuse(
    'library-newer',
    place,
    `This library was written by a newer version of Lapbench (layout ${version}; this one knows ${migrations.length}).`,
    'Install the newer version, or name another file.',
  );
}

/** Every page and index of the file; refuses when SQLite finds one damaged. */
export function checkStructure(db: DatabaseSync, place: string): void {
  const rows = db.prepare('PRAGMA integrity_check(5)').all() as { integrity_check: string }[];
  if (rows.length === 1 && rows[0].integrity_check === 'ok') return;
  refuse(
    'library-damaged',
    place,
    `The library is damaged: ${rows[0]?.integrity_check ?? 'it cannot be checked'}.`,
    'Leave the file as it is and go on with a backup of it.',
  );
}

function configure(db: DatabaseSync, busyTimeoutMs: number): void {
  // Before the first table: lets the file shrink when a day is purged.
  db.exec('PRAGMA auto_vacuum = INCREMENTAL');
  // SQLite does not wait for others while it changes this.
  for (let waitedMs = 0; ; waitedMs += 10) {
    try {
      db.exec('PRAGMA journal_mode = WAL');
      break;
    } catch (error) {
      if (!busyCodes.has(sqliteCode(error) ?? 0) || waitedMs >= busyTimeoutMs) throw error;
      sleep(10);
    }
  }
  // FULL: a commit returns when it is on the disk, not when the system has promised to write it.
  db.exec('PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF');
  db.exec('PRAGMA journal_size_limit = 16777216');
}

function migrate(db: DatabaseSync, place: string): void {
  if (numberOf(db, 'PRAGMA user_version', 'user_version') === migrations.length) return;
  inTransaction(db, () => {
    // Another program may have been first while this one waited.
    refuseNewer(db, place);
    const version = numberOf(db, 'PRAGMA user_version', 'user_version');
    for (const migration of migrations.slice(version)) db.exec(migration);
    db.exec(`PRAGMA application_id = ${applicationId}; PRAGMA user_version = ${migrations.length}`);
  });
}

function numberOf(db: DatabaseSync, sql: string, column: string): number {
  return Number((db.prepare(sql).get() as Record<string, unknown>)[column]);
}

function refuse(code: ProblemCode, file: string, message: string, remedy: string): never {
  throw new LapbenchError({ code, file, message, remedy });
}
