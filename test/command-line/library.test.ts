import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test, { type TestContext } from 'node:test';
import { demoDay, type DaySummary, type FieldDragFinding } from '../../src/application/index.ts';
import { folderFor, lapbench } from './terminal.ts';

/** Four runs of the demo day, control and one other setup: enough for a finding, made once. */
const demo = demoDay().then(({ sheet, files }) => {
  const fewer = /run-[1346]\.fit/;
  return {
    sheet: sheet
      .split('\n')
      .filter((line) => !/file:/.test(line) || fewer.test(line))
      .filter((line) => !/id: mid/.test(line))
      .join('\n'),
    files: files.filter(({ file }) => fewer.test(file)),
  };
});
async function demoFolder(t: TestContext): Promise<string> {
  const { sheet, files } = await demo;
  return folderFor(t, {
    'day.yaml': sheet,
    ...Object.fromEntries(files.map(({ file, bytes }) => [file, bytes])),
  });
}

async function daysOf(cwd: string, ...options: string[]): Promise<DaySummary[]> {
  const said = await lapbench(cwd, 'days', '--json', ...options);
  assert.equal(said.code, 0, said.err);
  return (JSON.parse(said.out) as { days: DaySummary[] }).days;
}

test('a day is kept, listed, shown, recomputed, removed and restored', async (t) => {
  const cwd = await demoFolder(t);
  assert.match((await lapbench(cwd, 'days')).out, /holds no day yet/);
  const kept = await lapbench(cwd, 'keep', 'day.yaml');
  assert.equal(kept.code, 0, kept.err);
  assert.match(kept.out, /with 4 recordings/);
  const [day] = await daysOf(cwd);
  assert.deepEqual([day.state, day.invented, day.recordings], ['kept', true, 4]);
  assert.match((await lapbench(cwd, 'days')).out, new RegExp(`${day.id}.*\\(invented\\)`));

  const shown = await lapbench(cwd, 'show', day.id.slice(0, 4), '--json');
  const dragged = await lapbench(cwd, 'drag', 'day.yaml', '--json');
  assert.deepEqual(JSON.parse(shown.out), JSON.parse(dragged.out), 'kept finding = fresh finding');

  const again = await lapbench(cwd, 'recompute', day.id);
  assert.match(again.out, /as before/);
  assert.match((await lapbench(cwd, 'recompute', '--all')).out, new RegExp(day.id));

  assert.equal((await lapbench(cwd, 'remove', day.id)).code, 0);
  assert.deepEqual(await daysOf(cwd), []);
  assert.match((await lapbench(cwd, 'days')).out, /no day but 1 removed; see "lapbench days --re/);
  assert.equal((await lapbench(cwd, 'show', day.id)).code, 2);
  assert.equal((await daysOf(cwd, '--removed'))[0].id, day.id);
  assert.equal((await lapbench(cwd, 'restore', day.id)).code, 0);
  assert.equal((await daysOf(cwd))[0].id, day.id);
});

test('keeping the same day twice does not store it twice', async (t) => {
  const cwd = await demoFolder(t);
  await lapbench(cwd, 'keep', 'day.yaml');
  assert.match((await lapbench(cwd, 'keep', 'day.yaml')).out, /was there already/);
  assert.equal((await daysOf(cwd)).length, 1);
});

test('the library serves when the folder of the day is gone', async (t) => {
  const cwd = await demoFolder(t);
  await lapbench(cwd, 'keep', 'day.yaml');
  const [day] = await daysOf(cwd);
  for (const name of fs.readdirSync(cwd).filter((one) => /\.(fit|yaml)$/.test(one))) {
    fs.rmSync(path.join(cwd, name));
  }
  const said = await lapbench(cwd, 'recompute', day.id);
  assert.equal(said.code, 0, said.err);
});

test('recordings in folders are kept under plain names, and the stored sheet says so', async (t) => {
  const { sheet, files } = await demo;
  const contents: Record<string, string | Uint8Array> = {
    'day.yaml': sheet.replaceAll(/run-([13])\.fit/g, 'am/run.$1/ride.fit'),
  };
  for (const { file, bytes } of files) {
    contents[file.replace(/run-([13])\.fit/, 'am/run.$1/ride.fit')] = bytes;
  }
  const cwd = folderFor(t, contents);
  const kept = await lapbench(cwd, 'keep', 'day.yaml');
  assert.equal(kept.code, 0, kept.err);
  const [day] = await daysOf(cwd);
  const shown = await lapbench(cwd, 'show', day.id, '--json');
  const inputs = (JSON.parse(shown.out) as FieldDragFinding).inputs.map((input) => input.file);
  assert.equal(inputs.length, 4);
  assert.ok(inputs.includes('ride.fit') && inputs.includes('ride-2.fit'), inputs.join());
  assert.match((await lapbench(cwd, 'recompute', day.id)).out, /as before/);
});

test('a backup is a library of its own; a file in its way is left alone', async (t) => {
  const cwd = await demoFolder(t);
  await lapbench(cwd, 'keep', 'day.yaml');
  assert.equal((await lapbench(cwd, 'backup', 'copy.lapbench')).code, 0);
  const listed = await lapbench(cwd, 'days', '--json', '--library', 'copy.lapbench');
  assert.deepEqual((JSON.parse(listed.out) as { days: DaySummary[] }).days, await daysOf(cwd));
  const again = await lapbench(cwd, 'backup', 'copy.lapbench');
  assert.deepEqual([again.code, again.out], [2, '']);
  assert.match(again.err, /exists already/);
  assert.match(
    (await lapbench(cwd, 'verify')).out,
    /is sound: 1 day, .*, 0 bench items, 0 sounds\./,
  );
});

test('a library that is none, or damaged, is refused in words', async (t) => {
  const cwd = await demoFolder(t);
  await lapbench(cwd, 'keep', 'day.yaml');
  const library = path.join(cwd, 'test.lapbench');
  const content = fs.readFileSync(library);
  content.fill(0x55, 4096, content.length - 100);
  fs.writeFileSync(library, content);
  for (const command of [['days'], ['verify']]) {
    const said = await lapbench(cwd, ...command);
    assert.deepEqual([said.code, said.out], [2, ''], said.err);
    assert.match(said.err, /damaged/);
  }
  const text = await lapbench(cwd, 'days', '--library', 'day.yaml');
  assert.equal(text.code, 2);
  assert.match(text.err, /day\.yaml: This file is not a library/);
});

test('a library that is not there is never called sound, and none is made by asking', async (t) => {
  const cwd = folderFor(t);
  const commands = [['days'], ['verify'], ['backup', 'copy.lapbench'], ['recompute', '--all']];
  for (const command of commands) {
    const said = await lapbench(cwd, ...command, '--library', 'nowhere.lapbench');
    assert.deepEqual([said.code, said.out], [2, ''], command[0]);
    assert.match(said.err, /nowhere\.lapbench: There is no library here\. Check the name/);
  }
  // The usual place is empty before the first day; nothing is wrong with that, and nothing is sound.
  assert.match((await lapbench(cwd, 'verify')).err, /There is no library here/);
  assert.deepEqual(fs.readdirSync(cwd), []);
  assert.match((await lapbench(cwd, 'days')).out, /holds no day yet/);
});

test('an id that fits several days, or none, is refused', async (t) => {
  const cwd = folderFor(t);
  for (const command of ['show', 'remove', 'restore', 'recompute']) {
    const said = await lapbench(cwd, command, 'zzz');
    assert.deepEqual([said.code, said.out], [2, '']);
    assert.match(said.err, /holds no day "zzz"/);
  }
});

test('the demo folder is not written over', async (t) => {
  const cwd = folderFor(t, { 'demo/run-3.fit': 'mine' });
  const said = await lapbench(cwd, 'demo', 'demo');
  assert.deepEqual([said.code, said.out], [2, '']);
  assert.match(said.err, /run-3\.fit: This file exists already/);
  assert.deepEqual(fs.readdirSync(path.join(cwd, 'demo')), ['run-3.fit']);
  const blocked = await lapbench(cwd, 'demo', 'demo/run-3.fit/below');
  assert.equal(blocked.code, 2);
});
