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
});

test('a signal to the program in front reaches the one behind it, and its exit code comes back', async () => {
  const behind = `
    process.on('SIGTERM', () => process.exit(3));
    setInterval(() => {}, 1000);
    console.log('up');`;
  const inFront = spawn(
    process.execPath,
    moduleArgv(`
      const { runUntilStopped } = await import(${JSON.stringify(script('runtime.mjs'))});
      process.exitCode = await runUntilStopped(process.execPath, ['--eval', ${JSON.stringify(behind)}]);`),
    { stdio: ['ignore', 'pipe', 'inherit'] },
  );
  inFront.stdout.once('data', () => inFront.kill('SIGTERM'));
  const code = await new Promise((resolve) => inFront.on('close', resolve));
  assert.equal(code, 3);
});
