import { createHash } from 'node:crypto';
import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import { laterThan, unusedId } from './dates-and-ids.ts';
import { guarded, inTransaction } from './sqlite.ts';

/** A sound file in the library, or on its way into it. */
export interface SoundFileRecord {
  /** How an upload is addressed. */
  id: string;
  file: string;
  /** Of the whole file. */
  bytes: number;
  /** So many are there, from the first on. */
  received: number;
  /** Hex SHA-256; null until the file is whole and sealed. */
  sha256: string | null;
  changedAt: string;
}

/** Bytes of a sound file in one row: little enough to be read for one block of samples. */
const rowBytes = 262_144;
/** Rows kept in memory by one reader. */
const rowsKept = 4;

/**
 * Sound files: too large to be held in memory, so kept and read in pieces. A file comes in piece by piece, each one
 * transaction, and is then sealed with its hash.
 */
export class SoundFiles {
  readonly #db: DatabaseSync;
  readonly #path: string;
  readonly #now: () => string;
  readonly #newId: () => string;

  constructor(
    db: DatabaseSync,
    path: string,
    { now, newId }: { now: () => string; newId: () => string },
  ) {
    this.#db = db;
    this.#path = path;
    this.#now = now;
    this.#newId = newId;
  }

  /** Makes room for a file. Answers how it is addressed. */
  begin(file: string, bytes: number): string {
    return this.#write(() => {
      const id = unusedId(this.#db, 'sound_files', this.#newId);
      this.#db
        .prepare(
          'INSERT INTO sound_files (id, file, bytes, received, changedAt) VALUES (?, ?, ?, 0, ?)',
        )
        .run(id, file, bytes, this.#now());
      return id;
    });
  }

  get(id: string): SoundFileRecord | null {
    return guarded(this.#path, () => {
      const row = this.#db.prepare('SELECT * FROM sound_files WHERE id = ?').get(id);
      return row ? recordOf(row) : null;
    });
  }

  /**
   * Adds the bytes that begin at `offset`. What is there already is passed over, so that a piece may be sent again;
   * a gap, or more than was announced, is refused (`upload-offset`).
   */
  add(id: string, offset: number, bytes: Uint8Array): SoundFileRecord {
    return this.#write(() => {
      const { received, bytes: whole, sha256, changedAt } = this.#known(id);
      const end = offset + bytes.length;
      if (offset > received || end > whole || sha256 !== null) {
        throw new LapbenchError({
          code: 'upload-offset',
          message:
            sha256 !== null
              ? 'The file has arrived whole already.'
              : end > whole
                ? `The piece ends at byte ${end}, but the file was said to have ${whole}.`
                : `The piece begins at byte ${offset}, but only ${received} bytes have arrived.`,
          remedy: 'Ask how much has arrived, and go on from there.',
        });
      }
      const fresh = bytes.subarray(received - offset);
      const put = this.#db.prepare(
        'INSERT INTO sound_pieces (file, start, bytes) VALUES (?, ?, ?)',
      );
      for (let at = 0; at < fresh.length; at += rowBytes)
        put.run(id, received + at, fresh.subarray(at, at + rowBytes));
      this.#db
        .prepare('UPDATE sound_files SET received = ?, changedAt = ? WHERE id = ?')
        .run(Math.max(received, end), laterThan(changedAt, this.#now()), id);
      return this.#known(id);
    });
  }

  /** Ends an upload that is whole; `sha256` is that of the bytes as they are stored. */
  seal(id: string, sha256: string): void {
    this.#write(() => {
      const { received, bytes } = this.#known(id);
      if (received < bytes) throw notWhole(received, bytes);
      this.#db.prepare('UPDATE sound_files SET sha256 = ? WHERE id = ?').run(sha256, id);
    });
  }

  /** Forgets a file that no sound rests on; false when there is none of this id or a sound does. */
  drop(id: string): boolean {
    return this.#write(
      () =>
        this.#db
          .prepare(
            'DELETE FROM sound_files WHERE id = ? AND NOT EXISTS (SELECT 1 FROM sounds WHERE sound_files.id IN (fileId, rideId))',
          )
          .run(id).changes > 0,
    );
  }

  /** Forgets uploads without a sound that nothing was added to since then (ISO time). */
  dropOlder(before: string): void {
    this.#write(() =>
      this.#db
        .prepare(
          'DELETE FROM sound_files WHERE changedAt < ? AND NOT EXISTS (SELECT 1 FROM sounds WHERE sound_files.id IN (fileId, rideId))',
        )
        .run(before),
    );
    guarded(this.#path, () => this.#db.exec('PRAGMA incremental_vacuum'));
  }

  /** Its bytes, to be read from any place; a few hundred kilobytes are in memory at a time. */
  reader(id: string): {
    sizeBytes: number;
    read: (offset: number, length: number) => Promise<Uint8Array>;
  } {
    const { received } = guarded(this.#path, () => this.#known(id));
    const rows = new Map<number, Uint8Array>();
    const rowAt = (offset: number): { start: number; bytes: Uint8Array } => {
      for (const [start, bytes] of rows)
        if (offset >= start && offset < start + bytes.length) return { start, bytes };
      const row = guarded(this.#path, () =>
        this.#db
          .prepare(
            'SELECT start, bytes FROM sound_pieces WHERE file = ? AND start <= ? ORDER BY start DESC LIMIT 1',
          )
          .get(id, offset),
      );
      const start = Number(row?.start ?? 0);
      const bytes = (row?.bytes as Uint8Array | undefined) ?? new Uint8Array(0);
      if (offset >= start + bytes.length) throw gone(this.#path);
      rows.set(start, bytes);
      if (rows.size > rowsKept) rows.delete(rows.keys().next().value!);
      return { start, bytes };
    };
    const read = (offset: number, length: number): Uint8Array => {
      const end = Math.min(received, offset + length);
      const all = new Uint8Array(Math.max(0, end - offset));
      for (let at = Math.max(0, offset); at < end;) {
        const { start, bytes } = rowAt(at);
        const part = bytes.subarray(at - start, Math.min(bytes.length, end - start));
        all.set(part, at - offset);
        at += part.length;
      }
      return all;
    };
    return {
      sizeBytes: received,
      // Async, so that damage is a rejection, not a throw in the middle of somebody's loop.
      read: async (offset, length) => Promise.resolve(read(offset, length)),
    };
  }

  #known(id: string): SoundFileRecord {
    const row = this.#db.prepare('SELECT * FROM sound_files WHERE id = ?').get(id);
    if (row) return recordOf(row);
    throw new LapbenchError({
      code: 'upload-unknown',
      message: `There is no upload ${JSON.stringify(id.slice(0, 60))}.`,
      remedy: 'It may have been left unfinished for over a day: send the file again.',
    });
  }

  #write<T>(work: () => T): T {
    return guarded(this.#path, () => inTransaction(this.#db, work));
  }
}

/** Hashes the stored bytes of a sound file, a row at a time. */
export function sha256OfSound(db: DatabaseSync, id: string): string {
  const hash = createHash('sha256');
  const rows = db
    .prepare('SELECT bytes FROM sound_pieces WHERE file = ? ORDER BY start')
    .iterate(id);
  for (const { bytes } of rows) hash.update(bytes as Uint8Array);
  return hash.digest('hex');
}

export function notWhole(received: number, bytes: number): LapbenchError {
  return new LapbenchError({
    code: 'upload-offset',
    message: `Only ${received} of ${bytes} bytes have arrived.`,
    remedy: 'Send the rest first.',
  });
}

function gone(path: string): LapbenchError {
  return new LapbenchError({
    code: 'library-damaged',
    file: path,
    message: 'A piece of a stored sound is missing.',
    remedy: 'Go on with a backup of the library, or add the sound again from the original file.',
  });
}

function recordOf(row: Record<string, unknown>): SoundFileRecord {
  return {
    id: String(row.id),
    file: String(row.file),
    bytes: Number(row.bytes),
    received: Number(row.received),
    sha256: row.sha256 === null ? null : String(row.sha256),
    changedAt: String(row.changedAt),
  };
}
