import type { DatabaseSync } from 'node:sqlite';
import { sha256Of } from './recordings.ts';
import type { FindingRecord, NewFinding } from './records.ts';

/** Stores a finding beside the older ones. Answers its number. */
export function storeFinding(
  db: DatabaseSync,
  day: string,
  finding: NewFinding,
  now: string,
): number {
  const { method, sheet, inputs, result, key = '' } = finding;
  const { lastInsertRowid } = db
    .prepare(
      'INSERT INTO findings (day, method, madeAt, key, sheetSha256, sheet, result) VALUES (?, ?, ?, ?, ?, ?, ?)',
    )
    .run(day, method, now, key, sha256Of(sheet), sheet, JSON.stringify(result));
  const insert = db.prepare(
    'INSERT OR IGNORE INTO finding_inputs (finding, file, sha256) VALUES (?, ?, ?)',
  );
  for (const { file, sha256 } of inputs) insert.run(lastInsertRowid, file, sha256);
  return Number(lastInsertRowid);
}

/** The findings of a day, newest first; at most `limit`. */
export function findingsOf(db: DatabaseSync, day: string, limit: number): FindingRecord[] {
  return db
    .prepare('SELECT * FROM findings WHERE day = ? ORDER BY id DESC LIMIT ?')
    .all(day, limit)
    .map((row) => ({
      id: Number(row.id),
      day: String(row.day),
      method: String(row.method),
      madeAt: String(row.madeAt),
      key: String(row.key),
      sheetSha256: String(row.sheetSha256),
      sheet: String(row.sheet),
      inputs: db
        .prepare('SELECT file, sha256 FROM finding_inputs WHERE finding = ? ORDER BY rowid')
        .all(row.id)
        .map(({ file, sha256 }) => ({ file: String(file), sha256: String(sha256) })),
      result: JSON.parse(String(row.result)) as unknown,
    }));
}
