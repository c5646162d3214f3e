import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import { laterThan, unusedId } from './dates-and-ids.ts';
import type { NewSoundItem, SoundRecord } from './records.ts';
import { notWhole } from './sound-files.ts';
import { guarded, inTransaction } from './sqlite.ts';

/** What a sound can be changed in; what is left out stays. */
export type SoundRecordChange = Partial<
  Pick<NewSoundItem, 'title' | 'date' | 'setup' | 'options' | 'rideId'>
>;

/** How the analysis stands, and what lists say of it. */
export interface SoundStanding {
  state: SoundRecord['state'];
  headline: string;
  durationS?: number | null;
}

/** Something made of a sound, with the caller's mark of what it was made from. */
export interface MadeOfSound {
  key: string;
  /** Plain data, stored as JSON. */
  data: unknown;
}

const columns = `sounds.id, kind, title, date, setup, options, state, durationS, headline, createdAt,
  sounds.changedAt, removedAt, fileId, rideId, file, bytes, sha256`;

/**
 * The sounds of a library: what is known of each, and what was made of it. The bytes are in `SoundFiles`. Each method
 * is one transaction, as in `Library`.
 */
export class Sounds {
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

  /** Newest change first; with `removed` those that were removed and can be restored. */
  list({ removed = false } = {}): SoundRecord[] {
    return this.#read(() =>
      this.#db
        .prepare(
          `SELECT ${columns} FROM sounds JOIN sound_files ON sound_files.id = fileId
           WHERE (removedAt IS NOT NULL) = ? ORDER BY sounds.changedAt DESC, createdAt DESC, sounds.id`,
        )
        .all(removed ? 1 : 0)
        .map(soundOf),
    );
  }

  /** A sound, removed or not; null when there is none of this id. */
  get(id: string): SoundRecord | null {
    return this.#read(() => this.#find(id));
  }

  /** Stores a sound on a file that is whole and sealed. Answers its id. */
  create(item: NewSoundItem): string {
    return this.#write(() => {
      const file = this.#db
        .prepare('SELECT bytes, received, sha256 FROM sound_files WHERE id = ?')
        .get(item.fileId);
      if (!file || file.sha256 === null)
        throw notWhole(Number(file?.received ?? 0), Number(file?.bytes ?? 0));
      const id = unusedId(this.#db, 'sounds', this.#newId);
      const now = this.#now();
      const { kind, title, date, setup, options, fileId, rideId } = item;
      this.#db
        .prepare(
          `INSERT INTO sounds (id, kind, title, date, setup, options, fileId, rideId, state, headline, createdAt, changedAt)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, 'waiting', '', ?, ?)`,
        )
        .run(
          ...[id, kind, title, date, setup, JSON.stringify(options)],
          ...[fileId, rideId, now, now],
        );
      return id;
    });
  }

  /** Changes a sound that is not removed, and dates the change. */
  update(id: string, change: SoundRecordChange): void {
    this.#write(() => {
      const item = this.#known(id);
      if (item.removedAt !== null) throw removed(id, this.#path);
      const { title, date, setup, options, rideId } = { ...item, ...change };
      this.#db
        .prepare(
          'UPDATE sounds SET title = ?, date = ?, setup = ?, options = ?, rideId = ?, changedAt = ? WHERE id = ?',
        )
        .run(
          ...[title, date, setup, JSON.stringify(options), rideId],
          ...[laterThan(item.changedAt, this.#now()), id],
        );
    });
  }

  /** Says how the analysis stands, which is no change of the sound. */
  stand(id: string, { state, headline, durationS }: SoundStanding): void {
    this.#write(() => this.#stand(id, state, headline, durationS));
  }

  /** Stores what was made of a sound, and how it then stands; both or neither. No change of the sound. */
  putMade(
    id: string,
    what: 'analysis' | 'finding',
    { key, data }: MadeOfSound,
    { state, headline, durationS }: SoundStanding,
  ): void {
    this.#write(() => {
      // Purged meanwhile: then there is nothing to say about it.
      if (!this.#find(id)) return;
      this.#db
        .prepare(
          `INSERT INTO sound_results (sound, what, key, data) VALUES (?, ?, ?, ?)
           ON CONFLICT (sound, what) DO UPDATE SET key = excluded.key, data = excluded.data`,
        )
        .run(id, what, key, JSON.stringify(data));
      this.#stand(id, state, headline, durationS);
    });
  }

  /** What was last made of a sound; null when nothing was, or when it cannot be read. */
  made(id: string, what: 'analysis' | 'finding'): MadeOfSound | null {
    return this.#read(() => {
      const row = this.#db
        .prepare('SELECT key, data FROM sound_results WHERE sound = ? AND what = ?')
        .get(id, what);
      try {
        return row ? { key: String(row.key), data: JSON.parse(String(row.data)) as unknown } : null;
      } catch {
        return null;
      }
    });
  }

  /** Takes a sound out of the list; `restore` brings it back. */
  remove(id: string): void {
    this.#setRemoved(id, true);
  }

  /** Brings a removed sound back as it was. */
  restore(id: string): void {
    this.#setRemoved(id, false);
  }

  #setRemoved(id: string, gone: boolean): void {
    this.#write(() => {
      const now = laterThan(this.#known(id).changedAt, this.#now());
      this.#db
        .prepare('UPDATE sounds SET removedAt = ?, changedAt = ? WHERE id = ?')
        .run(gone ? now : null, now, id);
    });
  }

  #stand(id: string, state: string, headline: string, durationS?: number | null): void {
    this.#db
      .prepare(
        'UPDATE sounds SET state = ?, headline = ?, durationS = coalesce(?, durationS) WHERE id = ?',
      )
      .run(state, headline, durationS ?? null, id);
  }

  #find(id: string): SoundRecord | null {
    const row = this.#db
      .prepare(
        `SELECT ${columns} FROM sounds JOIN sound_files ON sound_files.id = fileId WHERE sounds.id = ?`,
      )
      .get(id);
    return row ? soundOf(row) : null;
  }

  #known(id: string): SoundRecord {
    const found = this.#find(id);
    if (found) return found;
    throw new LapbenchError({
      code: 'sound-unknown',
      file: this.#path,
      message: `The library holds no sound ${JSON.stringify(id.slice(0, 60))}.`,
      remedy: 'Look at the list of sounds.',
    });
  }

  #write<T>(work: () => T): T {
    return guarded(this.#path, () => inTransaction(this.#db, work));
  }

  #read<T>(work: () => T): T {
    return guarded(this.#path, () => inTransaction(this.#db, work, 'DEFERRED'));
  }
}

function removed(id: string, path: string): LapbenchError {
  return new LapbenchError({
    code: 'sound-removed',
    file: path,
    message: `The sound ${JSON.stringify(id.slice(0, 60))} was removed.`,
    remedy: 'Restore it first.',
  });
}

function soundOf(row: Record<string, unknown>): SoundRecord {
  let options: unknown;
  try {
    options = JSON.parse(String(row.options));
  } catch {
    options = {};
  }
  return {
    id: String(row.id),
    kind: String(row.kind) as SoundRecord['kind'],
    title: String(row.title),
    date: String(row.date),
    setup: String(row.setup),
    options,
    fileId: String(row.fileId),
    rideId: row.rideId === null ? null : String(row.rideId),
    file: String(row.file),
    bytes: Number(row.bytes),
    sha256: String(row.sha256),
    state: String(row.state) as SoundRecord['state'],
    durationS: row.durationS === null ? null : Number(row.durationS),
    headline: String(row.headline),
    createdAt: String(row.createdAt),
    changedAt: String(row.changedAt),
    removedAt: row.removedAt === null ? null : String(row.removedAt),
  };
}
