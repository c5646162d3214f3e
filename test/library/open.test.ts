import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { openLibrary } from '../../src/library/index.ts';
import { loadSqlite } from '../../src/library/sqlite.ts';
import { bytesOf, edges, folderOf, sheetOf } from './sample.ts';

/** The code with which opening is refused. The file must be as before, byte for byte. */
function refusalOf(file: string): string {
  const before = fs.statSync(file).isFile() ? fs.readFileSync(file) : null;
  let code = 'opened';
  try {
    openLibrary(file, edges()).close();
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    assert.equal(error.problems[0].file, file);
    assert.ok(error.problems[0].remedy);
    code = error.problems[0].code;
  }
  if (before) assert.ok(before.equals(fs.readFileSync(file)), 'the file was changed');
  return code;
}

function makeLibrary(file: string, recordings = 1): void {
  const library = openLibrary(file, edges());
  for (let i = 0; i < recordings; i++) {
    const bytes = bytesOf(`recording ${i} `.repeat(2000));
    library.createDay({ sheet: sheetOf(`Day ${i}`), recordings: [{ file: `${i}.fit`, bytes }] });
  }
  library.close();
}

test('a library is made where there is none, with its folder, and leaves one file when closed', (t) => {
  const file = path.join(folderOf(t), 'new', 'folder', 'a.lapbench');
  openLibrary(file, edges()).close();
  assert.deepEqual(fs.readdirSync(path.dirname(file)), ['a.lapbench']);
});

test('an empty file becomes a library', (t) => {
  const file = path.join(folderOf(t), 'a.lapbench');
  fs.writeFileSync(file, '');
  openLibrary(file, edges()).close();
  assert.ok(fs.statSync(file).size > 0);
});

test('a file that is no database is refused and left alone', (t) => {
  const file = path.join(folderOf(t), 'notes.txt');
  fs.writeFileSync(file, 'shopping list, and longer than a header of one hundred bytes '.repeat(4));
  assert.equal(refusalOf(file), 'library-damaged');
  fs.writeFileSync(file, 'x');
  assert.equal(refusalOf(file), 'library-damaged');
});

test('a database of another program is refused and left alone', (t) => {
  const file = path.join(folderOf(t), 'other.db');
  const { DatabaseSync } = loadSqlite();
  const other = new DatabaseSync(file);
  other.exec('CREATE TABLE contacts (name TEXT)');
  other.close();
  assert.equal(refusalOf(file), 'library-damaged');
});

test('a library of a newer layout is refused and left alone', (t) => {
  const file = path.join(folderOf(t), 'a.lapbench');
  makeLibrary(file);
  const { DatabaseSync } = loadSqlite();
  const db = new DatabaseSync(file);
  db.exec('PRAGMA user_version = 1000');
  db.close();
  assert.equal(refusalOf(file), 'library-newer');
});

test('a folder in place of the file is refused', (t) => {
  assert.equal(refusalOf(folderOf(t)), 'library-unwritable');
});

test('a file where the folder should be is refused', (t) => {
  const folder = folderOf(t);
  fs.writeFileSync(path.join(folder, 'plain'), '');
  assert.throws(
    () => openLibrary(path.join(folder, 'plain', 'a.lapbench'), edges()),
    (error) => error instanceof LapbenchError && error.problems[0].code === 'library-unwritable',
  );
});

test('a library whose pages were overwritten is refused or found out, never believed', (t) => {
  const folder = folderOf(t);
  const whole = path.join(folder, 'whole.lapbench');
  makeLibrary(whole, 4);
  const bytes = fs.readFileSync(whole);
  let refused = 0;
  for (let page = 1; page * 4096 < bytes.length; page += 1) {
    const file = path.join(folder, `damaged-${page}.lapbench`);
    const damaged = Buffer.from(bytes);
    damaged.fill(0xa5, page * 4096, (page + 1) * 4096);
    fs.writeFileSync(file, damaged);
    let found: string[];
    try {
      const library = openLibrary(file, edges());
      try {
        found = library.verify().problems.map(({ code }) => code);
      } finally {
        library.close();
      }
    } catch (error) {
      assert.ok(error instanceof LapbenchError, `page ${page}: ${String(error)}`);
      found = error.problems.map(({ code }) => code);
    }
    if (found.length > 0) refused += 1;
    for (const code of found) assert.match(code, /library-damaged|recording-changed/);
    fs.rmSync(file);
  }
  const pages = Math.floor((bytes.length - 1) / 4096);
  assert.equal(refused, pages, `${pages - refused} damaged pages passed`);
});

test('one changed byte in a recording is found by its hash', (t) => {
  const file = path.join(folderOf(t), 'a.lapbench');
  makeLibrary(file);
  const bytes = fs.readFileSync(file);
  const at = bytes.lastIndexOf('recording 0');
  bytes[at] ^= 1;
  fs.writeFileSync(file, bytes);
  const library = openLibrary(file, edges());
  t.after(() => library.close());
  const [problem] = library.verify().problems;
  assert.equal(problem.code, 'recording-changed');
  assert.match(problem.message, /0\.fit/);
  const { sha256 } = library.listDays()[0].recordings[0];
  assert.throws(() => library.getRecordingBytes(sha256), /hash differs/);
});

test('a library that another program is writing to is waited for, then refused as busy', (t) => {
  const file = path.join(folderOf(t), 'a.lapbench');
  makeLibrary(file);
  const library = openLibrary(file, { ...edges(), busyTimeoutMs: 50 });
  t.after(() => library.close());
  const { DatabaseSync } = loadSqlite();
  const other = new DatabaseSync(file);
  t.after(() => other.close());
  other.exec('BEGIN IMMEDIATE');
  const { id } = library.listDays()[0];
  assert.throws(
    () => library.updateSheet(id, sheetOf('B')),
    (error) => error instanceof LapbenchError && error.problems[0].code === 'library-busy',
  );
  other.exec('ROLLBACK');
  library.updateSheet(id, sheetOf('B'));
  assert.equal(library.getDay(id)!.title, 'B');
});

test('opening a library prints nothing, on any stream', (t) => {
  const file = path.join(folderOf(t), 'a.lapbench');
  const index = new URL('../../src/library/index.ts', import.meta.url).href;
  const script = `const { openLibrary } = await import(${JSON.stringify(index)});
    openLibrary(${JSON.stringify(file)}, { now: () => '', newId: () => 'a' }).close();`;
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    ['--input-type=module', '-e', script],
    { encoding: 'utf8' },
  );
  assert.deepEqual(
    { status, stdout, stderr: stderr.replace(/.*Type Stripping.*\n.*--trace-warnings.*\n/, '') },
    { status: 0, stdout: '', stderr: '' },
  );
});
