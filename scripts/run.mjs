// One named developer task, with set-up first if needed. See the list at the end of README.md.
import path from 'node:path';
import { root, run, setUp } from './runtime.mjs';
const [task, ...rest] = process.argv.slice(2);
const node = setUp({ page: task === 'build-page' });
const tool = (...parts) => path.join(root, 'node_modules', ...parts);
const tasks = {
  typecheck: () =>
    ['tsconfig.core.json', 'tsconfig.json', 'tsconfig.page.json']
      .map((config) => run(node, [tool('typescript', 'bin', 'tsc'), '-p', config]))
      .find((code) => code !== 0) ?? 0,
  lint: () => run(node, [tool('eslint', 'bin', 'eslint.js'), '.', '--max-warnings', '0']),
  format: () =>
    run(node, [tool('prettier', 'bin', 'prettier.cjs'), '--write', '--log-level', 'warn', '.']),
  'format-check': () =>
    run(node, [tool('prettier', 'bin', 'prettier.cjs'), '--check', '--log-level', 'warn', '.']),
  'build-page': () => 0,
  bench: () => run(node, ['bench/speed.ts', ...rest]),
  'bench-coverage': () => run(node, ['bench/coverage.ts', ...rest]),
  'bench-wheel': () => run(node, ['bench/wheel.ts', ...rest]),
  'bench-noise': () => run(node, ['bench/noise.ts', ...rest]),
  'bench-race': () => run(node, ['bench/race.ts', ...rest]),
};
if (!tasks[task]) {
  process.stderr.write(`No task "${task}". Tasks: ${Object.keys(tasks).join(', ')}\n`);
  process.exit(2);
}
process.exit(tasks[task]());
