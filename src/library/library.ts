import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import { BenchItems } from './bench-items.ts';
import { laterThan, unusedId } from './dates-and-ids.ts';
import { findingsOf, storeFinding } from './findings.ts';
import { backUp, verifyAll } from './maintenance.ts';
import type { Verification } from './maintenance.ts';
import {
  dropUnreferenced,
  linkRecording,
  readBytes,
  recordingsOf,
  storeBytes,
  unlinkRecording,
} from './recordings.ts';
import type { DayRecord, FindingRecord, NewDay, NewFinding, SheetRecord } from './records.ts';
import { SoundFiles } from './sound-files.ts';
import { Sounds } from './sounds.ts';
import { guarded, inTransaction } from './sqlite.ts';

/**
 * All stored days and findings in one file. Each method is one transaction: when it returns, what
 * it stored is on the disk; when it throws, nothing has changed. Bad input and trouble with the
 * file throw `LapbenchError`.
 */
export class Library {
  readonly #db: DatabaseSync;
  readonly #now: () => string;
  readonly #newId: () => string;
  /** Where the file is. */
  readonly path: string;
  /** Readings of the bench and wheel sheets, apart from the days. */
  readonly benchItems: BenchItems;
  /** Sounds, and the files they rest on. */
  readonly sounds: Sounds;
  readonly soundFiles: SoundFiles;

  /** Called by `openLibrary`, which has checked the file. */
  constructor(
    db: DatabaseSync,
    path: string,
    { now, newId }: { now: () => string; newId: () => string },
  ) {
    this.#db = db;
    this.path = path;
    this.#now = now;
    this.#newId = newId;
    this.benchItems = new BenchItems(db, path, { now, newId });
    this.sounds = new Sounds(db, path, { now, newId });
    this.soundFiles = new SoundFiles(db, path, { now, newId });
  }

  /** Stores a new day whole: a draft, or kept when it comes with its finding. Answers its id. */
  createDay({ sheet, recordings = [], finding, headline = '' }: NewDay): string {
    return this.#write(() => {
      const id = unusedId(this.#db, 'days', this.#newId);
      const now = this.#now();
      const { title, date, invented, setups, runs } = sheet.facts;
      this.#db
        .prepare(
          `INSERT INTO days (id, title, date, invented, setups, runs, state, sheet, headline, createdAt, changedAt)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
        )
        .run(
          ...[id, title, date, invented ? 1 : 0, setups, runs, finding ? 'kept' : 'draft'],
          ...[sheet.text, finding?.headline ?? headline, now, now],
        );
      for (const { file, bytes } of recordings)
        linkRecording(this.#db, id, file, storeBytes(this.#db, bytes));
      if (finding) storeFinding(this.#db, id, finding, now);
      return id;
    });
  }

  /** Stores a new sheet; the day is then a draft. */
  updateSheet(id: string, sheet: SheetRecord): void {
    this.#write(() => this.#change(id, { sheet, state: 'draft' }));
  }

  /**
   * Stores a recording unaltered, and where given the sheet that goes with it. Answers its SHA-256.
   * The same bytes under the same name change nothing; other bytes are refused (`recording-changed`).
   */
  addRecording(id: string, file: string, bytes: Uint8Array, sheet?: SheetRecord): string {
    return this.#write(() => {
      this.#change(id, { sheet, state: 'draft' });
      const sha256 = storeBytes(this.#db, bytes);
      linkRecording(this.#db, id, file, sha256);
      return sha256;
    });
  }

  /** Takes a recording out of a day. Its bytes stay while a day or a finding rests on them. */
  removeRecording(id: string, file: string, sheet?: SheetRecord): void {
    this.#write(() => {
      this.#change(id, { sheet, state: 'draft' });
      if (!unlinkRecording(this.#db, id, file)) {
        throw new LapbenchError({
          code: 'file-missing',
          file,
          message: 'The day has no recording of this name.',
          remedy: 'Look at the list of its recordings.',
        });
      }
      dropUnreferenced(this.#db);
    });
  }

  /** Stores a finding; it is then the day's current one, and the day is kept. Older ones stay. Answers its number. */
  putFinding(id: string, finding: NewFinding): number {
    return this.#write(() => {
      const now = this.#change(id, { state: 'kept', headline: finding.headline });
      return storeFinding(this.#db, id, finding, now);
    });
  }

  /** Newest finding of a day, or null. */
  currentFinding(id: string): FindingRecord | null {
    return this.#read(() => findingsOf(this.#db, id, 1)[0] ?? null);
  }

  /** All findings of a day, newest first. */
  findings(id: string): FindingRecord[] {
    return this.#read(() => findingsOf(this.#db, id, -1));
  }

  /** Days, newest change first; with `removed` those that were removed and can be restored. */
  listDays({ removed = false } = {}): DayRecord[] {
    return this.#read(() =>
      this.#db
        .prepare(
          `SELECT * FROM days WHERE (removedAt IS NOT NULL) = ? ORDER BY changedAt DESC, createdAt DESC, id`,
        )
        .all(removed ? 1 : 0)
        .map((row) => this.#dayOf(row)),
    );
  }

  /** A day, removed or not; null when there is none of this id. */
  getDay(id: string): DayRecord | null {
    return this.#read(() => {
      const row = this.#db.prepare('SELECT * FROM days WHERE id = ?').get(id);
      return row ? this.#dayOf(row) : null;
    });
  }

  /** A recording's bytes as they came, checked against their hash. */
  getRecordingBytes(sha256: string): Uint8Array {
    return this.#read(() => readBytes(this.#db, sha256, this.path));
  }

  /** Takes a day out of the list. `restoreDay` brings it back until it is purged. */
  removeDay(id: string): void {
    this.#write(() => {
      const now = this.#change(id, {});
      this.#db.prepare('UPDATE days SET removedAt = ? WHERE id = ?').run(now, id);
    });
  }

  /** Brings a removed day back as it was. */
  restoreDay(id: string): void {
    this.#write(() => {
      const { changes } = this.#db.prepare('UPDATE days SET removedAt = NULL WHERE id = ?').run(id);
      if (changes === 0) throw unknownDay(id, this.path);
      this.#change(id, {});
    });
  }

  /** Deletes a removed day for good, with its findings and the recordings that nothing else rests on. */
  purgeDay(id: string): void {
    this.#write(() => {
      const row = this.#db.prepare('SELECT removedAt FROM days WHERE id = ?').get(id);
      if (!row) throw unknownDay(id, this.path);
      if (row.removedAt === null) {
        throw new LapbenchError({
          code: 'usage',
          file: this.path,
          message: `The day "${id}" is still in the list.`,
          remedy: 'Remove it first, then purge it.',
        });
      }
      this.#db.prepare('DELETE FROM days WHERE id = ?').run(id);
      dropUnreferenced(this.#db);
    });
    guarded(this.path, () => this.#db.exec('PRAGMA incremental_vacuum'));
  }

  /** Writes a complete copy to a new file; the library stays in use meanwhile. */
  backup(target: string): void {
    guarded(target, () => backUp(this.#db, this.path, target, this.#newId()));
  }

  /** Checks the whole file and re-hashes every recording. Damage is in the answer, not thrown. */
  verify(): Verification {
    return this.#read(() => verifyAll(this.#db, this.path));
  }

  /** Closes the file. A second call does nothing. */
  close(): void {
    if (this.#db.isOpen) this.#db.close();
  }

  #write<T>(work: () => T): T {
    return guarded(this.path, () => inTransaction(this.#db, work));
  }

  #read<T>(work: () => T): T {
    return guarded(this.path, () => inTransaction(this.#db, work, 'DEFERRED'));
  }

  /** Changes a day that is not removed, and dates the change. Answers that date. */
  #change(
    id: string,
    {
      sheet,
      state,
      headline,
    }: { sheet?: SheetRecord; state?: 'draft' | 'kept'; headline?: string },
  ): string {
    const row = this.#db.prepare('SELECT changedAt, removedAt FROM days WHERE id = ?').get(id);
    if (!row) throw unknownDay(id, this.path);
    if (row.removedAt !== null) {
      throw new LapbenchError({
        code: 'day-unknown',
        file: this.path,
        message: `The day "${id}" was removed.`,
        remedy: 'Restore it first.',
      });
    }
    const now = laterThan(String(row.changedAt), this.#now());
    const set = (column: string, value: string | number): unknown =>
      this.#db.prepare(`UPDATE days SET ${column} = ? WHERE id = ?`).run(value, id);
    set('changedAt', now);
    if (state !== undefined) set('state', state);
    if (headline !== undefined) set('headline', headline);
    if (sheet) {
      const { title, date, invented, setups, runs } = sheet.facts;
      this.#db
        .prepare(
          'UPDATE days SET sheet = ?, title = ?, date = ?, invented = ?, setups = ?, runs = ? WHERE id = ?',
        )
        .run(sheet.text, title, date, invented ? 1 : 0, setups, runs, id);
    }
    return now;
  }

  #dayOf(row: Record<string, unknown>): DayRecord {
    const id = String(row.id);
    return {
      id,
      title: String(row.title),
      date: String(row.date),
      invented: row.invented === 1,
      setups: Number(row.setups),
      runs: Number(row.runs),
      state: row.state === 'kept' ? 'kept' : 'draft',
      sheet: String(row.sheet),
      headline: String(row.headline),
      createdAt: String(row.createdAt),
      changedAt: String(row.changedAt),
      removedAt: row.removedAt === null ? null : String(row.removedAt),
      recordings: recordingsOf(this.#db, id),
    };
  }
}

function unknownDay(id: string, path: string): LapbenchError {
  return new LapbenchError({
    code: 'day-unknown',
    file: path,
    message: `The library holds no day ${JSON.stringify(id.slice(0, 60))}.`,
    remedy: 'Look at the list of days.',
  });
}
