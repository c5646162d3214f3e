import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { openLibrary } from '../../src/library/index.ts';
import { loadSqlite } from '../../src/library/sqlite.ts';
import { benchItem as readings, edges, folderOf, openIn, sheetOf } from './sample.ts';

const codeOf = (work: () => void): string => {
  try {
    work();
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    return error.problems[0].code;
  }
  return 'done';
};

test('readings come back as they were written, whatever letters they hold', (t) => {
  const library = openIn(t, folderOf(t));
  const input =
    'remount,position_deg\r\n"1",0°\n\ttab, "quote"; DROP TABLE bench_items; \u{1F527}\n';
  const id = library.benchItems.create({ ...readings, input });
  const item = library.benchItems.get(id);
  assert.ok(item);
  assert.equal(item.input, input);
  assert.deepEqual(item.options, readings.options);
  assert.equal(item.result, null);
  assert.equal(item.removedAt, null);
  assert.equal(library.verify().benchItems, 1);
});

test('a change keeps what it does not name, and is dated later than the one before', (t) => {
  const library = openIn(t, folderOf(t));
  const id = library.benchItems.create(readings);
  const before = library.benchItems.get(id)!;
  library.benchItems.update(id, { result: { slopMm: 0.1 }, method: 'stiffness 1' });
  const after = library.benchItems.get(id)!;
  assert.deepEqual(after.result, { slopMm: 0.1 });
  assert.equal(after.input, readings.input);
  assert.ok(after.changedAt > before.changedAt);
  library.benchItems.update(id, { result: null, method: '' });
  assert.equal(library.benchItems.get(id)!.result, null);
});

test('a result made anew leaves the date, and does not land on an item that was changed meanwhile', (t) => {
  const { benchItems } = openIn(t, folderOf(t));
  const id = benchItems.create(readings);
  const before = benchItems.get(id)!;
  const made = { result: { slopMm: 0.2 }, method: 'stiffness 2', headline: 'Anew' };
  benchItems.putResult(id, before.changedAt, made);
  assert.deepEqual(benchItems.get(id), { ...before, ...made });
  benchItems.update(id, { input: 'other' });
  benchItems.putResult(id, before.changedAt, { ...made, headline: 'Too late' });
  assert.equal(benchItems.get(id)!.headline, 'Anew');
  benchItems.remove(id);
  const { changedAt } = benchItems.get(id)!;
  benchItems.putResult(id, changedAt, { ...made, headline: 'Removed' });
  assert.equal(benchItems.get(id)!.headline, 'Anew');
});

test('a damaged entry leaves the others in the list, keeps its readings, and is told by verify', (t) => {
  const folder = folderOf(t);
  const library = openIn(t, folder);
  const damaged = library.benchItems.create(readings);
  library.benchItems.create(readings);
  const { DatabaseSync } = loadSqlite();
  const db = new DatabaseSync(path.join(folder, 'test.lapbench'));
  t.after(() => db.close());
  db.exec('PRAGMA ignore_check_constraints = ON');
  db.prepare('UPDATE bench_items SET options = ?, result = ? WHERE id = ?').run('{', '[1', damaged);
  assert.equal(library.benchItems.list().length, 2);
  const item = library.benchItems.get(damaged)!;
  assert.deepEqual([item.input, item.options, item.result], [readings.input, null, null]);
  const { problems } = library.verify();
  assert.equal(problems[0]?.code, 'library-damaged');
  assert.match(problems[0].message, /bench_items/);
});

test('a removed item leaves the list, refuses changes, and comes back as it was', (t) => {
  const library = openIn(t, folderOf(t));
  const { benchItems } = library;
  const id = benchItems.create(readings);
  benchItems.remove(id);
  assert.deepEqual(benchItems.list(), []);
  assert.equal(benchItems.list({ removed: true })[0].id, id);
  assert.equal(
    codeOf(() => benchItems.update(id, { title: 'x' })),
    'bench-item-removed',
  );
  benchItems.restore(id);
  assert.equal(benchItems.list()[0].input, readings.input);
});

test('an item that is not there is said by name, for every way to change it', (t) => {
  const { benchItems } = openIn(t, folderOf(t));
  assert.equal(benchItems.get('none'), null);
  const ways = [
    () => benchItems.update('none', { title: 'x' }),
    () => benchItems.remove('none'),
    () => benchItems.restore('none'),
  ];
  for (const way of ways) assert.equal(codeOf(way), 'bench-item-unknown');
});

test('the list has the newest change first', (t) => {
  const { benchItems } = openIn(t, folderOf(t));
  const first = benchItems.create({ ...readings, title: 'First' });
  benchItems.create({ ...readings, title: 'Second' });
  benchItems.update(first, { title: 'First again' });
  assert.deepEqual(
    benchItems.list().map(({ title }) => title),
    ['First again', 'Second'],
  );
});

/** Written by the program as it was at layout 1 (commit fbf3e34): two days, one of them removed. */
const layout1 = path.resolve(import.meta.dirname, '../fixtures/library/layout-1.sqlite');

test('a library of layout 1 is brought up to date with all that it held, and takes bench items', (t) => {
  const file = path.join(folderOf(t), 'old.lapbench');
  fs.copyFileSync(layout1, file);
  const clock = { ...edges(), newId: () => 'first-item' };
  const library = openLibrary(file, clock);
  t.after(() => library.close());
  const [day] = library.listDays();
  assert.equal(day.title, 'Day of layout 1');
  assert.equal(library.listDays({ removed: true })[0].title, 'Removed day');
  assert.equal(
    new TextDecoder().decode(library.getRecordingBytes(day.recordings[0].sha256)),
    'recording a',
  );
  assert.deepEqual(library.currentFinding(day.id)?.result, {
    setups: [{ id: 'deep', cdaM2: 0.23 }],
  });
  assert.deepEqual(library.benchItems.list(), []);
  const id = library.benchItems.create(readings);
  assert.equal(library.benchItems.get(id)?.title, readings.title);
  assert.deepEqual(library.verify().problems, []);
  library.close();
  const { DatabaseSync } = loadSqlite();
  const db = new DatabaseSync(file);
  t.after(() => db.close());
  assert.equal(db.prepare('PRAGMA user_version').get()?.user_version, 3);
});

test('the change of layout is done whole or not at all', (t) => {
  const file = path.join(folderOf(t), 'old.lapbench');
  fs.copyFileSync(layout1, file);
  const { DatabaseSync } = loadSqlite();
  const other = new DatabaseSync(file);
  // A table of the new name in the way makes the migration fail in its middle.
  other.exec('CREATE TABLE bench_items (id TEXT)');
  other.close();
  assert.throws(() => openLibrary(file, edges()));
  const db = new DatabaseSync(file);
  t.after(() => db.close());
  assert.equal(db.prepare('PRAGMA user_version').get()?.user_version, 1);
  assert.equal(db.prepare('SELECT count(*) AS n FROM days').get()?.n, 2);
});

test('a day and a bench item may have the same id', (t) => {
  const library = openLibrary(path.join(folderOf(t), 'a.lapbench'), {
    ...edges(),
    newId: () => 'same',
  });
  t.after(() => library.close());
  assert.equal(library.createDay({ sheet: sheetOf('A') }), 'same');
  assert.equal(library.benchItems.create(readings), 'same');
});
