import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import { canOpenBrowser } from '../../src/command-line/open-page.ts';
import { folderFor, lapbench } from './terminal.ts';

const program = path.resolve(import.meta.dirname, '../../bin/lapbench.mjs');

test('help goes to standard output and is no mistake', async (t) => {
  const said = await lapbench(folderFor(t), '--help');
  assert.equal(said.code, 0);
  for (const command of ['drag', 'keep', 'days', 'show', 'recompute', 'remove', 'restore'])
    assert.match(said.out, new RegExp(`\\b${command}\\b`));
  assert.equal(said.err, '');
});

for (const [what, argv] of [
  ['an unknown command', ['dragg', 'day.yaml']],
  ['an unknown option', ['drag', 'day.yaml', '--jsn']],
  ['a missing sheet', ['drag']],
  ['no command', []],
  ['an unknown kind of schema', ['schema', 'frame']],
  ['a port that is none', ['serve', '--port', 'many']],
  ['recompute without saying what', ['recompute']],
  ['recompute with both', ['recompute', 'x', '--all']],
] as const) {
  test(`${what} is a usage mistake: code 2, said on standard error`, async (t) => {
    const said = await lapbench(folderFor(t), ...argv);
    assert.equal(said.code, 2, said.err);
    assert.equal(said.out, '');
    assert.ok(said.err.length > 20, said.err);
  });
}

test('schema day prints the same JSON Schema as stands in schemas/', async (t) => {
  const said = await lapbench(folderFor(t), 'schema', 'day');
  const file = path.resolve(import.meta.dirname, '../../schemas/day.schema.json');
  assert.deepEqual(JSON.parse(said.out), JSON.parse(fs.readFileSync(file, 'utf8')));
});

test('a reader that hangs up early ends the program quietly', async () => {
  const child = spawn(process.execPath, [program, 'schema', 'day'], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  child.stdout.destroy();
  let err = '';
  child.stderr.on('data', (part) => (err += part));
  const code = await new Promise((resolve) => child.on('close', resolve));
  assert.equal(err, '');
  assert.equal(code, 0);
});

test('the real program answers with the exit code and the streams of its command', async (t) => {
  const cwd = folderFor(t);
  const child = spawn(process.execPath, [program, 'drag', 'none.yaml'], { cwd });
  let out = '';
  let err = '';
  child.stdout.on('data', (part) => (out += part));
  child.stderr.on('data', (part) => (err += part));
  const code = await new Promise((resolve) => child.on('close', resolve));
  assert.deepEqual([code, out], [2, '']);
  assert.match(err, /none\.yaml: There is no such file/);
});

test('a browser is opened only where a person sits before a screen', () => {
  assert.equal(canOpenBrowser({}, 'linux'), false);
  assert.equal(canOpenBrowser({ DISPLAY: ':0' }, 'linux'), true);
  assert.equal(canOpenBrowser({ DISPLAY: ':0', CI: 'true' }, 'linux'), false);
  assert.equal(canOpenBrowser({}, 'darwin'), true);
  assert.equal(canOpenBrowser({ SSH_CONNECTION: 'x' }, 'darwin'), false);
});
