// What set-up builds from the sources: the page, and the program in a form that loads faster.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const inRoot = (...parts) => path.join(root, ...parts);

/** One hash over the contents of files. */
export function stamp(files) {
  const hash = createHash('sha256');
  for (const file of files) hash.update(fs.readFileSync(file));
  return hash.digest('hex');
}

function filesUnder(folder) {
  return fs
    .readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => path.join(entry.parentPath ?? entry.path, entry.name))
    .sort();
}

function vite(node, args) {
  const argv = [
    inRoot('node_modules', 'vite', 'bin', 'vite.js'),
    'build',
    '--logLevel',
    'warn',
    ...args,
  ];
  return spawnSync(node, argv, { cwd: root, stdio: ['ignore', 2, 2] }).status === 0;
}

/** Builds the page into dist/page unless it stands there already. Answers whether it stands there. */
export function buildPage(node) {
  const marker = inRoot('dist', 'page', '.sources');
  const sources = stamp([
    ...filesUnder(inRoot('src', 'page')),
    ...filesUnder(inRoot('src', 'figures')),
    inRoot('vite.config.js'),
    inRoot('package-lock.json'),
  ]);
  if (fs.existsSync(marker) && fs.readFileSync(marker, 'utf8') === sources) return true;
  process.stderr.write('Building the page (once) …\n');
  if (!vite(node, [])) return false;
  fs.writeFileSync(marker, sources);
  return true;
}

/** Named after what it is built from: one that stands there is up to date, and whole. */
function programFolder() {
  const sources = stamp([
    ...filesUnder(inRoot('src')).filter(
      (file) => !file.startsWith(inRoot('src', 'page') + path.sep),
    ),
    inRoot('vite.program.config.js'),
    inRoot('package-lock.json'),
  ]);
  return inRoot('dist', `program-${sources.slice(0, 16)}`);
}

/** The file to start the program from: built, or else its source. */
export function programEntry() {
  const built = path.join(programFolder(), 'main.mjs');
  return fs.existsSync(built) ? built : inRoot('src', 'command-line', 'main.ts');
}

/** Builds the program unless that is done. Should it not work, the sources are run as they are. */
export function buildProgram(node) {
  const folder = programFolder();
  if (fs.existsSync(folder)) return;
  process.stderr.write('Building the program (once) …\n');
  const unfinished = `${folder}.${process.pid}`;
  try {
    if (!vite(node, ['--config', 'vite.program.config.js', '--outDir', unfinished]))
      throw new Error('see above');
    removeOldPrograms();
    fs.renameSync(unfinished, folder);
  } catch (error) {
    process.stderr.write(
      `The program starts from its sources, a little slower (${error.message}).\n`,
    );
  } finally {
    fs.rmSync(unfinished, { recursive: true, force: true });
  }
}

/** A server that runs from an older one may still load parts of it, so it is left for a day. */
function removeOldPrograms() {
  for (const name of fs.readdirSync(inRoot('dist'))) {
    const folder = inRoot('dist', name);
    const old = Date.now() - fs.statSync(folder).mtimeMs > 86_400_000;
    if (name.startsWith('program-') && old) fs.rmSync(folder, { recursive: true, force: true });
  }
}
