// Plain JavaScript on purpose: runs on any Node 20+ before anything is installed.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

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
  const result = spawnSync(command, args, { cwd: root, stdio: ['ignore', 2, 2], shell: process.platform === 'win32' });
  if (result.status !== 0) {
    process.stderr.write(`Set-up stopped: "npm ${args.join(' ')}" failed. Check the network, then try again.\n`);
    process.exit(1);
  }
}

function stamp(files) {
  const hash = createHash('sha256');
  for (const file of files) hash.update(fs.readFileSync(file));
  return hash.digest('hex');
}

function pageSources(folder) {
  return fs
    .readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => path.join(entry.parentPath ?? entry.path, entry.name))
    .sort();
}

function upToDate(marker, value) {
  return fs.existsSync(marker) && fs.readFileSync(marker, 'utf8') === value;
}

/**
 * Everything a fresh clone lacks: a Node that is new enough, the packages of the lock file, the
 * `lapbench` command in node_modules/.bin, and (when asked) the built page. Each step is skipped
 * when it is already done, so a second call costs milliseconds and needs no network.
 */
export function setUp({ page = true } = {}) {
  if (!findNode()) {
    const { name } = runtimeBinary();
    process.stderr.write(`This Node is ${process.versions.node}; fetching ${name}@${runtimeVersion} into .runtime …\n`);
    fs.mkdirSync(path.join(root, '.runtime'), { recursive: true });
    fs.writeFileSync(path.join(root, '.runtime', 'package.json'), '{"private":true}\n');
    npm(['install', '--prefix', path.join(root, '.runtime'), '--no-audit', '--no-fund', '--no-package-lock', `${name}@${runtimeVersion}`]);
  }
  const node = findNode();
  if (!node) {
    process.stderr.write('Set-up stopped: no Node of version 22.18 or later. Install one from your system, then try again.\n');
    process.exit(1);
  }
  const lock = stamp([path.join(root, 'package-lock.json')]);
  const marker = path.join(root, 'node_modules', '.lapbench-set-up');
  if (!upToDate(marker, lock)) {
    process.stderr.write('Installing packages (once) …\n');
    npm(['ci', '--no-audit', '--no-fund']);
    linkCommand();
    fs.writeFileSync(marker, lock);
  }
  if (page) {
    const built = path.join(root, 'dist', 'page');
    const pageMarker = path.join(built, '.sources');
    const sources = stamp([
      ...pageSources(path.join(root, 'src', 'page')),
      ...pageSources(path.join(root, 'src', 'figures')),
      path.join(root, 'package-lock.json'),
    ]);
    if (!upToDate(pageMarker, sources)) {
      process.stderr.write('Building the page (once) …\n');
      const result = spawnSync(node, [path.join(root, 'node_modules', 'vite', 'bin', 'vite.js'), 'build', '--logLevel', 'warn'], { cwd: root, stdio: ['ignore', 2, 2] });
      if (result.status !== 0) process.exit(1);
      fs.writeFileSync(pageMarker, sources);
    }
  }
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
export function run(node, args, env = {}) {
  const result = spawnSync(node, args, { cwd: root, stdio: 'inherit', env: { ...process.env, ...env } });
  return result.status ?? 1;
}
