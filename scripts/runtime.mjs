// Plain JavaScript on purpose: runs on any Node 20+ before anything is installed.
import { spawn, spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildPage, buildProgram, stamp } from './build.mjs';

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');

/** Lapbench runs its TypeScript as it stands, which Node can do from this version on. */
const needed = [22, 18];
const runtimeVersion = '24.21.0';

function newEnough(version) {
  const [major, minor] = version.split('.').map(Number);
  return major > needed[0] || (major === needed[0] && minor >= needed[1]);
}

function runtimeBinary() {
  const name = `node-${process.platform === 'win32' ? 'win' : process.platform}-${process.arch}`;
  const file = process.platform === 'win32' ? 'node.exe' : 'node';
  return { name, path: path.join(root, '.runtime', 'node_modules', name, 'bin', file) };
}

/** Path of a Node that can run Lapbench: this one, or the one set-up brought. Null if neither. */
export function findNode() {
  if (newEnough(process.versions.node)) return process.execPath;
  const binary = runtimeBinary();
  return fs.existsSync(binary.path) ? binary.path : null;
}

function npm(args) {
  const command = process.platform === 'win32' ? 'npm.cmd' : 'npm';
  const result = spawnSync(command, args, {
    cwd: root,
    stdio: ['ignore', 2, 2],
    shell: process.platform === 'win32',
  });
  if (result.status !== 0) {
    process.stderr.write(
      `Set-up stopped: "npm ${args.join(' ')}" failed. Check the network, then try again.\n`,
    );
    process.exit(1);
  }
}

/**
 * Everything a fresh clone lacks: a Node that is new enough, the packages of the lock file, the
 * `lapbench` command in node_modules/.bin, the built program and (when asked) the built page. Each
 * step is skipped when it is already done, so a second call costs milliseconds and needs no network.
 */
export function setUp({ page = true } = {}) {
  if (!findNode()) {
    const { name } = runtimeBinary();
    process.stderr.write(
      `This Node is ${process.versions.node}; fetching ${name}@${runtimeVersion} into .runtime …\n`,
    );
    fs.mkdirSync(path.join(root, '.runtime'), { recursive: true });
    fs.writeFileSync(path.join(root, '.runtime', 'package.json'), '{"private":true}\n');
    npm([
      'install',
      '--prefix',
      path.join(root, '.runtime'),
      '--no-audit',
      '--no-fund',
      '--no-package-lock',
      `${name}@${runtimeVersion}`,
    ]);
  }
  const node = findNode();
  if (!node) {
    process.stderr.write(
      'Set-up stopped: no Node of version 22.18 or later. Install one from your system, then try again.\n',
    );
    process.exit(1);
  }
  const lock = stamp([path.join(root, 'package-lock.json')]);
  const marker = path.join(root, 'node_modules', '.lapbench-set-up');
  if (!fs.existsSync(marker) || fs.readFileSync(marker, 'utf8') !== lock) {
    process.stderr.write('Installing packages (once) …\n');
    npm(['ci', '--no-audit', '--no-fund']);
    linkCommand();
    fs.writeFileSync(marker, lock);
  }
  buildProgram(node);
  if (page && !buildPage(node)) process.exit(1);
  return node;
}

/** Puts `lapbench` where npx looks first, so that npx asks no registry. */
function linkCommand() {
  const folder = path.join(root, 'node_modules', '.bin');
  fs.mkdirSync(folder, { recursive: true });
  const target = path.join(root, 'bin', 'lapbench.mjs');
  if (process.platform === 'win32') {
    fs.writeFileSync(path.join(folder, 'lapbench.cmd'), `@node "${target}" %*\r\n`);
    return;
  }
  const link = path.join(folder, 'lapbench');
  fs.rmSync(link, { force: true });
  fs.symlinkSync(path.relative(folder, target), link);
  fs.chmodSync(target, 0o755);
}

/** Runs a program with this terminal's streams and answers its exit code. */
export function run(node, args) {
  const result = spawnSync(node, args, { cwd: root, stdio: 'inherit' });
  return result.status ?? 1;
}

/**
 * As `run`, for a program that runs until it is stopped, in the folder the person is in. A signal to
 * this process alone is handed on, and where npm that called us is gone, the program is ended: so
 * that nothing is left running behind.
 */
export function runUntilStopped(node, args) {
  const child = spawn(node, args, { stdio: 'inherit' });
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
    process.on(signal, () => child.kill(signal));
  const caller = process.ppid;
  const watch = setInterval(() => {
    if (process.env.npm_lifecycle_event && process.ppid !== caller) child.kill('SIGTERM');
  }, 500);
  return new Promise((resolve) => {
    child.on('error', () => resolve(1));
    child.on('close', (code) => resolve(code ?? 1));
  }).finally(() => clearInterval(watch));
}
