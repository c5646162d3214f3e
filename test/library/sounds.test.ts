import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { openLibrary, type Library, type NewSoundItem } from '../../src/library/index.ts';
import { loadSqlite } from '../../src/library/sqlite.ts';
import { edges, folderOf, openIn } from './sample.ts';

const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    return error.problems[0].code;
  }
  return 'done';
};

const bytesTo = (length: number): Uint8Array => Uint8Array.from({ length }, (_, i) => i % 251);
const sha256Of = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

function stored(library: Library, bytes: Uint8Array, step = 700_000): string {
  const id = library.soundFiles.begin('a.wav', bytes.length);
  for (let at = 0; at < bytes.length; at += step)
    library.soundFiles.add(id, at, bytes.subarray(at, at + step));
  library.soundFiles.seal(id, sha256Of(bytes));
  return id;
}

const item = (fileId: string): NewSoundItem => ({
  kind: 'noise',
  title: 'Howl',
  date: '2026-05-17',
  setup: 'deep',
  options: { a: 1 },
  fileId,
  rideId: null,
});

test('a file that came in pieces is read from any place, across pieces and to its end', async (t) => {
  const library = openIn(t, folderOf(t));
  const bytes = bytesTo(2_000_003);
  const { sizeBytes, read } = library.soundFiles.reader(stored(library, bytes));
  assert.equal(sizeBytes, bytes.length);
  for (const [offset, length] of [
    [0, 12],
    [262_140, 10],
    [699_990, 300_000],
    [1_999_999, 100],
    [2_000_003, 10],
    [0, 3_000_000],
  ]) {
    const part = await read(offset, length);
    assert.ok(Buffer.from(part).equals(bytes.subarray(offset, offset + length)), `${offset}`);
  }
});

test('pieces in another order than one after the other are refused, the same again is not', async (t) => {
  const { soundFiles } = openIn(t, folderOf(t));
  const id = soundFiles.begin('a.wav', 10);
  assert.equal(
    codeOf(() => soundFiles.add(id, 4, bytesTo(2))),
    'upload-offset',
  );
  soundFiles.add(id, 0, bytesTo(6));
  // The overlap is passed over, what is new is kept.
  assert.equal(soundFiles.add(id, 2, bytesTo(10).subarray(2, 6)).received, 6);
  assert.equal(soundFiles.add(id, 4, bytesTo(10).subarray(4, 8)).received, 8);
  assert.deepEqual([...(await soundFiles.reader(id).read(0, 10))], [...bytesTo(8)]);
  assert.equal(
    codeOf(() => soundFiles.add(id, 8, bytesTo(5))),
    'upload-offset',
  );
  assert.equal(
    codeOf(() => soundFiles.seal(id, sha256Of(bytesTo(6)))),
    'upload-offset',
  );
  assert.equal(
    codeOf(() => soundFiles.add('nowhere', 0, bytesTo(1))),
    'upload-unknown',
  );
});

test('a sound keeps what was made of it, and can be removed and brought back', (t) => {
  const library = openIn(t, folderOf(t));
  const { sounds } = library;
  const id = sounds.create(item(stored(library, bytesTo(1000))));
  const before = sounds.get(id)!;
  assert.equal(before.state, 'waiting');
  assert.equal(before.bytes, 1000);
  sounds.putMade(
    id,
    'finding',
    { key: 'k', data: { odds: 0.8 } },
    { state: 'ready', headline: 'Most likely spokes.', durationS: 61.5 },
  );
  assert.deepEqual(sounds.made(id, 'finding'), { key: 'k', data: { odds: 0.8 } });
  assert.equal(sounds.made(id, 'analysis'), null);
  const after = sounds.get(id)!;
  assert.equal(after.headline, 'Most likely spokes.');
  assert.equal(after.durationS, 61.5);
  assert.equal(after.changedAt, before.changedAt);
  sounds.remove(id);
  assert.deepEqual(sounds.list(), []);
  assert.equal(
    codeOf(() => sounds.update(id, { title: 'x' })),
    'sound-removed',
  );
  sounds.restore(id);
  assert.deepEqual(sounds.made(id, 'finding'), { key: 'k', data: { odds: 0.8 } });
  assert.deepEqual(sounds.get(id)!.options, { a: 1 });
});

test('what was left unfinished is forgotten, a file that a sound rests on never', (t) => {
  const library = openIn(t, folderOf(t));
  const kept = stored(library, bytesTo(1000));
  const ride = stored(library, bytesTo(500));
  library.sounds.create({ ...item(kept), rideId: ride });
  const left = library.soundFiles.begin('b.wav', 10);
  library.soundFiles.dropOlder('2027-01-01T00:00:00.000Z');
  assert.equal(library.soundFiles.get(left), null);
  assert.equal(library.soundFiles.drop(kept), false);
  assert.equal(library.soundFiles.drop(ride), false);
  assert.equal(library.soundFiles.get(ride)?.received, 500);
});

test('a sound on a file that is not whole is refused', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.soundFiles.begin('a.wav', 10);
  assert.equal(
    codeOf(() => library.sounds.create(item(id))),
    'upload-offset',
  );
});

/** Written by the program as it was at layout 2 (before sounds): a day with its finding, and readings. */
const layout2 = path.resolve(import.meta.dirname, '../fixtures/library/layout-2.sqlite');

test('a library of layout 2 is brought up to date with all that it held, and takes sounds', (t) => {
  const file = path.join(folderOf(t), 'old.lapbench');
  fs.copyFileSync(layout2, file);
  const library = openLibrary(file, { ...edges(), newId: () => 'sound-1' });
  t.after(() => library.close());
  const [day] = library.listDays();
  assert.equal(day.title, 'Kept');
  assert.equal(library.currentFinding(day.id)?.key, 'k');
  assert.equal(library.benchItems.list()[0].title, 'Deep front');
  assert.deepEqual(library.sounds.list(), []);
  library.sounds.create(item(stored(library, bytesTo(1000))));
  const { problems, sounds } = library.verify();
  assert.deepEqual(problems, []);
  assert.equal(sounds, 1);
});

test('killed while a sound comes in: what was acknowledged is there, and goes on where it stopped', async (t) => {
  const file = path.join(folderOf(t), 'test.lapbench');
  const lines = await killedWriter(file, 350);
  const library = openLibrary(file, edges());
  t.after(() => library.close());
  const received = new Map<string, number>();
  for (const [kind, id, count] of lines.map((line) => line.split(' '))) {
    if (kind === 'received') received.set(id, Number(count));
    if (kind === 'sound') assert.ok(library.sounds.get(id), id);
    if (kind === 'analysed') assert.equal(library.sounds.made(id, 'analysis')?.key, 'k');
  }
  assert.ok(received.size > 0, 'something was acknowledged before the end');
  for (const [id, count] of received) {
    const record = library.soundFiles.get(id)!;
    assert.ok(record.received >= count);
    const bytes = await library.soundFiles.reader(id).read(0, record.received);
    assert.ok(Buffer.from(bytes).equals(bytesTo(record.received)));
    if (record.sha256 !== null) continue;
    const rest = bytesTo(3_000_000).subarray(record.received);
    assert.equal(library.soundFiles.add(id, record.received, rest).received, 3_000_000);
  }
  assert.deepEqual(library.verify().problems, []);
});

/** Runs the writer, kills it so long after its first step, and answers what it had acknowledged. */
function killedWriter(file: string, afterMs: number): Promise<string[]> {
  const writer = path.join(import.meta.dirname, 'sound-writer.ts');
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, file], { stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    let err = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      if (out === '') setTimeout(() => child.kill('SIGKILL'), afterMs);
      out += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => (err += text));
    child.on('close', (_, signal) =>
      signal === 'SIGKILL' ? resolve(out.split('\n').slice(0, -1)) : reject(new Error(err)),
    );
  });
}

test('verify tells a sound whose bytes are not those that came in', (t) => {
  const folder = folderOf(t);
  const library = openIn(t, folder);
  library.sounds.create(item(stored(library, bytesTo(300_000))));
  library.close();
  const { DatabaseSync } = loadSqlite();
  const db = new DatabaseSync(path.join(folder, 'test.lapbench'));
  db.exec('DELETE FROM sound_pieces WHERE start > 0');
  db.close();
  const again = openIn(t, folder);
  assert.deepEqual(
    again.verify().problems.map(({ code }) => code),
    ['sound-altered'],
  );
});
