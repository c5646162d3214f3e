import type { DatabaseSync } from 'node:sqlite';

/** `now`, or a millisecond after `before` where the clock has not moved on (or has been set back). */
export function laterThan(before: string, now: string): string {
  const last = Date.parse(before);
  return Date.parse(now) > last || Number.isNaN(last) ? now : new Date(last + 1).toISOString();
}

/** Short ids may come up twice; the second time the next one is taken. */
export function unusedId(
  db: DatabaseSync,
  table: 'days' | 'bench_items' | 'sounds' | 'sound_files',
  newId: () => string,
): string {
  const used = db.prepare(`SELECT 1 FROM ${table} WHERE id = ?`);
  for (let tries = 0; tries < 100; tries++) {
    const id = newId();
    if (!used.get(id)) return id;
  }
  throw new Error('newId gives only ids that are in use');
}
