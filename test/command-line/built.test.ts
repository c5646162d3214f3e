import assert from 'node:assert/strict';
import { execFileSync, spawn } from 'node:child_process';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import test from 'node:test';
import { folderFor, lapbench } from './terminal.ts';

const root = path.resolve(import.meta.dirname, '../..');
const script = (name: string): string => pathToFileURL(path.join(root, 'scripts', name)).href;

/** Runs a few lines as a module of their own: the scripts are plain JavaScript. */
const moduleArgv = (code: string): string[] => ['--input-type=module', '--eval', code];

test('the built program finds byte for byte what its sources find', async (t) => {
  const cwd = folderFor(t);
  const entry = execFileSync(
    process.execPath,
    moduleArgv(`
      const { buildProgram, programEntry } = await import(${JSON.stringify(script('build.mjs'))});
      buildProgram(process.execPath);
      process.stdout.write(programEntry());`),
    { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] },
  );
  assert.match(entry, /program-[0-9a-f]{16}.main\.mjs$/);
  assert.equal((await lapbench(cwd, 'demo', 'day')).code, 0);
  const sheet = path.join('day', 'day.yaml');
  const program = path.join(root, 'bin', 'lapbench.mjs');
  const built = execFileSync(process.execPath, [program, 'drag', sheet, '--json'], {
    cwd,
    encoding: 'utf8',
  });
  assert.equal(built, (await lapbench(cwd, 'drag', sheet, '--json')).out);
  // Sounds have a thread of their own, which is built as well.
  const noise = ['noise', path.join('day', 'howl.wav'), '--json'];
  const heard = execFileSync(process.execPath, [program, ...noise], { cwd, encoding: 'utf8' });
  assert.equal(heard, (await lapbench(cwd, ...noise)).out);
});

/** A program that goes on until it is told to end, and what calls it through `runUntilStopped`. */
const goesOn = `
  process.on('SIGTERM', () => { console.log('told'); process.exit(3); });
  setInterval(() => {}, 1000);
  console.log('up');`;
const inFront = moduleArgv(`
  const { runUntilStopped } = await import(${JSON.stringify(script('runtime.mjs'))});
  process.exitCode = await runUntilStopped(process.execPath, ['--eval', ${JSON.stringify(goesOn)}]);`);

test('a signal to the program in front reaches the one behind it, and its exit code comes back', async () => {
  const child = spawn(process.execPath, inFront, { stdio: ['ignore', 'pipe', 'inherit'] });
  child.stdout.once('data', () => child.kill('SIGTERM'));
  const code = await new Promise((resolve) => child.on('close', resolve));
  assert.equal(code, 3);
});

test('where npm is killed, the program that it called is told to end', async (t) => {
  if (process.platform === 'win32') return t.skip('there is no shell between them');
  const argv = ['-c', '"$0" "$@"; true', process.execPath, ...inFront];
  const shell = spawn('/bin/sh', argv, {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, npm_lifecycle_event: 'start' },
  });
  let out = '';
  shell.stdout.on('data', (part: Buffer) => (out += part.toString()));
  shell.stdout.once('data', () => shell.kill('SIGKILL'));
  // The stream closes when the last process that holds it is gone.
  await new Promise((resolve) => shell.on('close', resolve));
  assert.equal(out, 'up\ntold\n');
});
