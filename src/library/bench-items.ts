import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import { laterThan, unusedId } from './dates-and-ids.ts';
import type { BenchItemRecord, NewBenchItem } from './records.ts';
import { guarded, inTransaction } from './sqlite.ts';

/** What a bench item can be changed in; what is left out stays. */
export type BenchItemChange = Partial<Omit<NewBenchItem, 'kind'>>;

/**
 * The bench items of a library: readings and wheel sheets as written, with the result that was last
 * made from them. Each method is one transaction, as in `Library`.
 */
export class BenchItems {
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
  list({ removed = false } = {}): BenchItemRecord[] {
    return this.#read(() =>
      this.#db
        .prepare(
          `SELECT * FROM bench_items WHERE (removedAt IS NOT NULL) = ? ORDER BY changedAt DESC, createdAt DESC, id`,
        )
        .all(removed ? 1 : 0)
        .map(itemOf),
    );
  }

  /** An item, removed or not; null when there is none of this id. */
  get(id: string): BenchItemRecord | null {
    return this.#read(() => {
      const row = this.#db.prepare('SELECT * FROM bench_items WHERE id = ?').get(id);
      return row ? itemOf(row) : null;
    });
  }

  /** Stores a new item whole. Answers its id. */
  create(item: NewBenchItem): string {
    return this.#write(() => {
      const id = unusedId(this.#db, 'bench_items', this.#newId);
      const now = this.#now();
      const { kind, title, date, setup, input, options, result, method, headline } = item;
      this.#db
        .prepare(
          `INSERT INTO bench_items (id, kind, title, date, setup, input, options, result, method, headline, createdAt, changedAt)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
        )
        .run(
          ...[id, kind, title, date, setup, input],
          ...[JSON.stringify(options), jsonOrNull(result), method, headline, now, now],
        );
      return id;
    });
  }

  /** Changes an item that is not removed, and dates the change. */
  update(id: string, change: BenchItemChange): void {
    this.#write(() => {
      const row = this.#rowOf(id);
      if (row.removedAt !== null) {
        throw new LapbenchError({
          code: 'bench-item-removed',
          file: this.#path,
          message: `The bench item "${id}" was removed.`,
          remedy: 'Restore it first.',
        });
      }
      const next = { ...itemOf(row), ...change };
      this.#db
        .prepare(
          `UPDATE bench_items SET title = ?, date = ?, setup = ?, input = ?, options = ?, result = ?,
             method = ?, headline = ?, changedAt = ? WHERE id = ?`,
        )
        .run(
          ...[next.title, next.date, next.setup, next.input, JSON.stringify(next.options)],
          ...[jsonOrNull(next.result), next.method, next.headline],
          ...[laterThan(String(row.changedAt), this.#now()), id],
        );
    });
  }

  /**
   * Stores what was made of an item, which is no change of it and so leaves its date. Nothing is
   * stored when the item was changed or removed since `changedAt`.
   */
  putResult(
    id: string,
    changedAt: string,
    { result, method, headline }: Pick<NewBenchItem, 'result' | 'method' | 'headline'>,
  ): void {
    this.#write(() => {
      this.#db
        .prepare(
          `UPDATE bench_items SET result = ?, method = ?, headline = ?
           WHERE id = ? AND changedAt = ? AND removedAt IS NULL`,
        )
        .run(jsonOrNull(result), method, headline, id, changedAt);
    });
  }

  /** Takes an item out of the list; `restore` brings it back. */
  remove(id: string): void {
    this.#write(() => {
      const now = laterThan(String(this.#rowOf(id).changedAt), this.#now());
      this.#db
        .prepare('UPDATE bench_items SET removedAt = ?, changedAt = ? WHERE id = ?')
        .run(now, now, id);
    });
  }

  /** Brings a removed item back as it was. */
  restore(id: string): void {
    this.#write(() => {
      const now = laterThan(String(this.#rowOf(id).changedAt), this.#now());
      this.#db
        .prepare('UPDATE bench_items SET removedAt = NULL, changedAt = ? WHERE id = ?')
        .run(now, id);
    });
  }

  #rowOf(id: string): Record<string, unknown> {
    const row = this.#db.prepare('SELECT * FROM bench_items WHERE id = ?').get(id);
    if (row) return row;
    throw new LapbenchError({
      code: 'bench-item-unknown',
      file: this.#path,
      message: `The library holds no bench item ${JSON.stringify(id.slice(0, 60))}.`,
      remedy: 'Look at the list of bench items.',
    });
  }

  #write<T>(work: () => T): T {
    return guarded(this.#path, () => inTransaction(this.#db, work));
  }

  #read<T>(work: () => T): T {
    return guarded(this.#path, () => inTransaction(this.#db, work, 'DEFERRED'));
  }
}

const jsonOrNull = (value: unknown): string | null =>
  value === null || value === undefined ? null : JSON.stringify(value);

/** Null for what cannot be read: one damaged entry must not take the whole list with it; `verify` tells. */
function readJson(text: unknown): unknown {
  try {
    return text === null ? null : (JSON.parse(String(text)) as unknown);
  } catch {
    return null;
  }
}

function itemOf(row: Record<string, unknown>): BenchItemRecord {
  return {
    id: String(row.id),
    kind: String(row.kind) as BenchItemRecord['kind'],
    title: String(row.title),
    date: String(row.date),
    setup: String(row.setup),
    input: String(row.input),
    options: readJson(row.options),
    result: readJson(row.result),
    method: String(row.method),
    headline: String(row.headline),
    createdAt: String(row.createdAt),
    changedAt: String(row.changedAt),
    removedAt: row.removedAt === null ? null : String(row.removedAt),
  };
}
