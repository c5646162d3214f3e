import { createHash } from 'node:crypto';
import type { DatabaseSync } from 'node:sqlite';
import { LapbenchError } from '../core/units/index.ts';
import type { RecordingRef } from './records.ts';

/** Hex SHA-256. */
export function sha256Of(content: Uint8Array | string): string {
  return createHash('sha256').update(content).digest('hex');
}

/** Stores bytes once, whatever number of days they belong to. Answers their hash. */
export function storeBytes(db: DatabaseSync, bytes: Uint8Array): string {
  const sha256 = sha256Of(bytes);
  const known = db.prepare('SELECT 1 FROM recordings WHERE sha256 = ?').get(sha256);
  if (!known) {
    db.prepare('INSERT INTO recordings (sha256, size, bytes) VALUES (?, ?, ?)').run(
      sha256,
      bytes.length,
      bytes,
    );
  }
  return sha256;
}

/** Bytes as they came, checked against their hash. */
export function readBytes(db: DatabaseSync, sha256: string, place: string): Uint8Array {
  const row = db.prepare('SELECT bytes FROM recordings WHERE sha256 = ?').get(sha256);
  if (!row) {
    throw new LapbenchError({
      code: 'file-missing',
      file: place,
      message: `The library holds no recording ${sha256.slice(0, 12)}.`,
      remedy: 'Add the recording to its day again.',
    });
  }
  const bytes = row.bytes as Uint8Array;
  if (sha256Of(bytes) !== sha256) {
    throw new LapbenchError({
      code: 'recording-changed',
      file: place,
      message: `The stored recording ${sha256.slice(0, 12)} is not what was put in: its hash differs.`,
      remedy:
        'Go on with a backup of the library, or add the recording again from the original file.',
    });
  }
  return bytes;
}

/** Puts a recording into a day. The same name with the same bytes is there already; with others it is refused. */
export function linkRecording(db: DatabaseSync, day: string, file: string, sha256: string): void {
  const held = db
    .prepare('SELECT sha256 FROM day_recordings WHERE day = ? AND file = ?')
    .get(day, file);
  if (held?.sha256 === sha256) return;
  if (held) {
    throw new LapbenchError({
      code: 'recording-changed',
      file,
      message: 'The day has another recording of this name.',
      remedy: 'Remove that one first, or give the new one another name.',
    });
  }
  db.prepare(
    `INSERT INTO day_recordings (day, file, sha256, place)
     VALUES (?, ?, ?, (SELECT coalesce(max(place), 0) + 1 FROM day_recordings WHERE day = ?))`,
  ).run(day, file, sha256, day);
}

/** Takes a recording out of a day; false when the day has none of this name. */
export function unlinkRecording(db: DatabaseSync, day: string, file: string): boolean {
  return (
    db.prepare('DELETE FROM day_recordings WHERE day = ? AND file = ?').run(day, file).changes > 0
  );
}

/** Recordings of one day, in the order in which they came. */
export function recordingsOf(db: DatabaseSync, day: string): RecordingRef[] {
  return db
    .prepare(
      `SELECT file, sha256, size AS bytes FROM day_recordings JOIN recordings USING (sha256)
       WHERE day = ? ORDER BY place`,
    )
    .all(day)
    .map(({ file, sha256, bytes }) => ({
      file: String(file),
      sha256: String(sha256),
      bytes: Number(bytes),
    }));
}

/** Deletes bytes that neither a day (removed ones count) nor a finding rests on. */
export function dropUnreferenced(db: DatabaseSync): void {
  db.exec(`
    DELETE FROM recordings
    WHERE NOT EXISTS (SELECT 1 FROM day_recordings AS held WHERE held.sha256 = recordings.sha256)
      AND NOT EXISTS (SELECT 1 FROM finding_inputs AS used WHERE used.sha256 = recordings.sha256)
  `);
}
