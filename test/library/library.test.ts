import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { openLibrary } from '../../src/library/index.ts';
import { bytesOf, edges, findingOf, folderOf, openIn, sheetOf } from './sample.ts';

const refusedAs = (code: string) => (error: unknown) =>
  error instanceof LapbenchError &&
  error.problems.every((problem) => problem.code === code && problem.remedy);

test('SHA-256 addresses are those of FIPS 180-2: "abc"', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({ sheet: sheetOf('A') });
  // FIPS 180-2 (2002), appendix B.1, from memory.
  assert.equal(
    library.addRecording(id, 'abc.csv', bytesOf('abc')),
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
  );
});

test('a day comes back as it was stored, after closing and opening', (t) => {
  const folder = folderOf(t);
  const first = openIn(t, folder);
  const bytes = Uint8Array.from({ length: 100_000 }, (_, i) => (i * 7919) % 256);
  const id = first.createDay({
    sheet: sheetOf('Wind'),
    recordings: [
      { file: 'run-2.fit', bytes },
      { file: 'run-1.csv', bytes: bytesOf('time_s\n') },
    ],
  });
  first.close();
  const day = openIn(t, folder).getDay(id);
  assert.deepEqual(day, {
    id,
    title: 'Wind',
    date: '2026-05-17',
    invented: true,
    setups: 2,
    runs: 1,
    state: 'draft',
    sheet: 'title: Wind\n',
    headline: '',
    createdAt: '2026-05-17T12:00:00.000Z',
    changedAt: '2026-05-17T12:00:00.000Z',
    removedAt: null,
    recordings: [
      {
        file: 'run-2.fit',
        sha256: createHash('sha256').update(bytes).digest('hex'),
        bytes: 100_000,
      },
      {
        file: 'run-1.csv',
        sha256: createHash('sha256').update('time_s\n').digest('hex'),
        bytes: 7,
      },
    ],
  });
  assert.deepEqual(openIn(t, folder).getRecordingBytes(day!.recordings[0].sha256), bytes);
});

test('findings pile up, the newest is current, and a change of the sheet makes the day a draft again', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: bytesOf('a') }],
  });
  const inputs = library.getDay(id)!.recordings.map(({ file, sha256 }) => ({ file, sha256 }));
  library.putFinding(id, findingOf('title: A\n', inputs, 0.231));
  library.putFinding(id, findingOf('title: A\n', inputs, 0.229));
  assert.deepEqual(
    [library.getDay(id)!.state, library.getDay(id)!.headline],
    ['kept', 'CdA 0.229 m²'],
  );
  library.updateSheet(id, sheetOf('B'));
  assert.deepEqual([library.getDay(id)!.state, library.getDay(id)!.title], ['draft', 'B']);
  const current = library.currentFinding(id)!;
  assert.deepEqual(current.result, { setups: [{ id: 'deep', cdaM2: 0.229 }] });
  assert.deepEqual(
    [current.sheet, current.key, current.inputs],
    ['title: A\n', 'key 0.229', inputs],
  );
  assert.equal(current.sheetSha256, createHash('sha256').update('title: A\n').digest('hex'));
  assert.deepEqual(
    library.findings(id).map(({ key }) => key),
    ['key 0.229', 'key 0.231'],
  );
});

test('a day that comes with its finding is kept at once', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({ sheet: sheetOf('A'), finding: findingOf('title: A\n', []) });
  assert.equal(library.getDay(id)!.state, 'kept');
  assert.equal(library.findings(id).length, 1);
  assert.equal(library.currentFinding('no such day'), null);
});

test('one recording in two days is stored once and goes with the last of them', (t) => {
  const library = openIn(t, folderOf(t));
  const recordings = [{ file: 'a.fit', bytes: bytesOf('shared') }];
  const [one, two] = ['A', 'B'].map((title) =>
    library.createDay({ sheet: sheetOf(title), recordings }),
  );
  const { sha256 } = library.getDay(one)!.recordings[0];
  assert.equal(library.verify().recordings, 1);
  library.removeRecording(one, 'a.fit', sheetOf('A without'));
  assert.equal(library.getDay(one)!.title, 'A without');
  assert.deepEqual(library.getRecordingBytes(sha256), bytesOf('shared'));
  library.removeRecording(two, 'a.fit');
  assert.throws(() => library.getRecordingBytes(sha256), refusedAs('file-missing'));
});

test('a recording that a finding rests on stays when it is taken out of the day', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: bytesOf('a') }],
  });
  const { file, sha256 } = library.getDay(id)!.recordings[0];
  library.putFinding(id, findingOf('title: A\n', [{ file, sha256 }]));
  library.removeRecording(id, file);
  assert.deepEqual(library.getRecordingBytes(sha256), bytesOf('a'));
});

test('a removed day keeps everything until it is purged', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: bytesOf('a') }],
  });
  const before = library.getDay(id)!;
  library.removeDay(id);
  assert.deepEqual(library.listDays(), []);
  assert.deepEqual(
    library.listDays({ removed: true }).map((day) => day.id),
    [id],
  );
  assert.throws(() => library.updateSheet(id, sheetOf('B')), refusedAs('day-unknown'));
  library.restoreDay(id);
  const { changedAt, ...restored } = library.getDay(id)!;
  const { changedAt: changedBefore, ...asBefore } = before;
  assert.deepEqual(restored, asBefore);
  assert.ok(changedAt > changedBefore);
  assert.throws(() => library.purgeDay(id), refusedAs('usage'));
  library.removeDay(id);
  library.purgeDay(id);
  assert.equal(library.getDay(id), null);
  assert.deepEqual(library.verify(), {
    recordings: 0,
    bytes: 0,
    days: 0,
    findings: 0,
    benchItems: 0,
    sounds: 0,
    problems: [],
  });
});

test('the file shrinks when a large day is purged', (t) => {
  const folder = folderOf(t);
  const library = openIn(t, folder);
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: new Uint8Array(4_000_000) }],
  });
  library.removeDay(id);
  library.purgeDay(id);
  library.close();
  assert.ok(fs.statSync(path.join(folder, 'test.lapbench')).size < 200_000);
});

test('a step that is refused stores nothing of itself', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: bytesOf('a') }],
  });
  const before = library.getDay(id);
  assert.throws(
    () => library.addRecording(id, 'a.fit', bytesOf('other'), sheetOf('B')),
    refusedAs('recording-changed'),
  );
  assert.throws(
    () => library.removeRecording(id, 'b.fit', sheetOf('B')),
    refusedAs('file-missing'),
  );
  assert.throws(() => library.putFinding('nobody', findingOf('', [])), refusedAs('day-unknown'));
  assert.throws(
    () =>
      library.createDay({
        sheet: sheetOf('C'),
        recordings: [
          { file: 'c.fit', bytes: bytesOf('1') },
          { file: 'c.fit', bytes: bytesOf('2') },
        ],
      }),
    refusedAs('recording-changed'),
  );
  assert.deepEqual(library.getDay(id), before);
  assert.deepEqual(library.verify(), {
    recordings: 1,
    bytes: 1,
    days: 1,
    findings: 0,
    benchItems: 0,
    sounds: 0,
    problems: [],
  });
  assert.equal(library.addRecording(id, 'a.fit', bytesOf('a')), before!.recordings[0].sha256);
});

test('every change dates the day later, even when the clock stands still or goes back', (t) => {
  const times = [
    '2026-05-17T12:00:00.000Z',
    '2026-05-17T12:00:00.000Z',
    '2026-05-17T11:00:00.000Z',
  ];
  const library = openLibrary(path.join(folderOf(t), 'a.lapbench'), {
    now: () => times.shift()!,
    newId: () => 'a',
  });
  t.after(() => library.close());
  library.createDay({ sheet: sheetOf('A') });
  const dates = ['B', 'C'].map((title) => {
    library.updateSheet('a', sheetOf(title));
    return library.getDay('a')!.changedAt;
  });
  assert.deepEqual(dates, ['2026-05-17T12:00:00.001Z', '2026-05-17T12:00:00.002Z']);
});

test('an id that comes up twice is not given twice', (t) => {
  const ids = ['a', 'a', 'b', 'b', 'b'];
  const options = { ...edges(), newId: () => ids.shift() ?? 'b' };
  const library = openLibrary(path.join(folderOf(t), 'a.lapbench'), options);
  t.after(() => library.close());
  const create = (): string => library.createDay({ sheet: sheetOf('A') });
  assert.deepEqual([create(), create()], ['a', 'b']);
  assert.throws(create, /only ids that are in use/);
});

test('days are listed with the newest change first', (t) => {
  const library = openIn(t, folderOf(t));
  const ids = ['A', 'B', 'C'].map((title) => library.createDay({ sheet: sheetOf(title) }));
  library.updateSheet(ids[0], sheetOf('A changed'));
  assert.deepEqual(
    library.listDays().map(({ title }) => title),
    ['A changed', 'C', 'B'],
  );
});

test('text that looks like SQL, and names from any script, are only text', (t) => {
  const library = openIn(t, folderOf(t));
  const nasty = `x'); DROP TABLE days; -- "日本" \u0001 👩‍🔧`;
  const id = library.createDay({
    sheet: sheetOf(nasty),
    recordings: [{ file: nasty, bytes: bytesOf('a') }],
  });
  assert.equal(library.getDay(id)!.title, nasty);
  assert.equal(library.getDay(id)!.recordings[0].file, nasty);
  assert.throws(() => library.getDay(nasty) ?? library.removeDay(nasty), refusedAs('day-unknown'));
});

test('a backup is a whole library of its own and never overwrites', (t) => {
  const folder = folderOf(t);
  const library = openIn(t, folder);
  const id = library.createDay({
    sheet: sheetOf('A'),
    recordings: [{ file: 'a.fit', bytes: bytesOf('a') }],
  });
  const target = path.join(folder, 'copy.lapbench');
  library.backup(target);
  assert.throws(() => library.backup(target), refusedAs('library-unwritable'));
  assert.throws(
    () => library.backup(path.join(folder, 'no', 'copy')),
    refusedAs('library-unwritable'),
  );
  library.updateSheet(id, sheetOf('B'));
  const copy = openLibrary(target, edges());
  t.after(() => copy.close());
  assert.equal(copy.getDay(id)!.title, 'A');
  assert.deepEqual(copy.verify().problems, []);
  assert.deepEqual(
    fs.readdirSync(folder).filter((name) => name.includes('unfinished')),
    [],
  );
});
