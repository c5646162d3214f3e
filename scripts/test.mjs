// npm test: set-up if needed, then every check there is, then one line "N passed, N failed".
// Typecheck, lint and format count as one each. Plain JavaScript: runs on any Node 20+.
import { spawn, spawnSync } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { root, setUp } from './runtime.mjs';

const wanted = { only: null, paths: [] };
for (let at = 2; at < process.argv.length; at++) {
  const word = process.argv[at];
  if (word === '--only') wanted.only = process.argv[++at];
  else wanted.paths.push(path.relative(root, path.resolve(word)));
}
if (![null, 'unit', 'browser'].includes(wanted.only)) {
  process.stderr.write('Usage: npm test -- [--only unit|browser] [folder or file under test/ …]\n');
  process.exit(2);
}

const node = setUp({ page: wanted.only !== 'unit' });
const tool = (...parts) => path.join(root, 'node_modules', ...parts);
const total = { passed: 0, failed: 0, skipped: 0 };

/** A check that passes or fails as one; its output is shown in full when it fails. */
function check(name, ...commands) {
  for (const args of commands) {
    const result = spawnSync(node, args, { cwd: root, encoding: 'utf8', maxBuffer: 1 << 28 });
    if (result.status !== 0) {
      process.stdout.write(`failed  ${name}\n${result.stdout ?? ''}${result.stderr ?? ''}\n`);
      total.failed++;
      return;
    }
  }
  process.stdout.write(`passed  ${name}\n`);
  total.passed++;
}

/** Test files under `test/`, those in a real browser apart from the rest. */
function testFiles(browser) {
  return fs
    .readdirSync(path.join(root, 'test'), { recursive: true })
    .map((name) => path.join('test', String(name)))
    .filter((name) => /\.test\.(ts|mjs|js)$/.test(name))
    .filter((name) => name.startsWith(path.join('test', 'browser') + path.sep) === browser)
    .filter(
      (name) =>
        wanted.paths.length === 0 ||
        wanted.paths.some((part) => name === part || name.startsWith(part + path.sep)),
    )
    .sort();
}

/** Runs test files and adds what the reporter counted; a run that ends without a count is a failure. */
async function runTests(name, files, concurrency) {
  if (files.length === 0) return;
  const counts = path.join(fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-test-')), 'counts.json');
  const args = [
    '--test',
    `--test-concurrency=${concurrency}`,
    '--test-reporter',
    './scripts/test-reporter.mjs',
    ...files,
  ];
  // A test must see the same warnings and colours on every machine.
  const env = {
    ...process.env,
    LAPBENCH_TEST_COUNTS: counts,
    NO_COLOR: '1',
    FORCE_COLOR: undefined,
  };
  delete env.FORCE_COLOR;
  const child = spawn(node, args, { cwd: root, stdio: 'inherit', env });
  const code = await new Promise((done) => child.on('close', done));
  const counted = fs.existsSync(counts) ? JSON.parse(fs.readFileSync(counts, 'utf8')) : null;
  fs.rmSync(path.dirname(counts), { recursive: true, force: true });
  total.passed += counted?.passed ?? 0;
  total.skipped += counted?.skipped ?? 0;
  total.failed += counted?.failed ?? 0;
  if (code !== 0 && !counted?.failed) {
    process.stdout.write(`failed  ${name}: the test run ended with code ${code}\n`);
    total.failed++;
  }
}

const cores = Math.max(1, os.availableParallelism?.() ?? os.cpus().length);
if (wanted.only === null) {
  check(
    'typecheck',
    ...['tsconfig.core.json', 'tsconfig.json', 'tsconfig.page.json'].map((config) => [
      tool('typescript', 'bin', 'tsc'),
      '-p',
      config,
    ]),
  );
  check('lint', [tool('eslint', 'bin', 'eslint.js'), '.', '--max-warnings', '0']);
  check('format', [tool('prettier', 'bin', 'prettier.cjs'), '--check', '--log-level', 'warn', '.']);
}
if (wanted.only !== 'browser') await runTests('unit tests', testFiles(false), cores);
// One browser at a time: several at once on a small machine fail by timeout, not by fault.
if (wanted.only !== 'unit') await runTests('browser tests', testFiles(true), 1);

const skipped = total.skipped > 0 ? `, ${total.skipped} skipped` : '';
process.stdout.write(`${total.passed} passed, ${total.failed} failed${skipped}\n`);
process.exitCode = total.failed > 0 || total.passed === 0 ? 1 : 0;
