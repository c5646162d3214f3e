/**
 * `npm run bench:wheel`: how long a wheel of 32 spokes with 8 pieces of rim a spoke takes: one load, in fresh
 * processes and again in one that runs; all numbers; the influence of every nipple; and the same equations by
 * a dense Cholesky in the same run, as ratio.
 *
 *   --repeat N   each measurement N times, the median is printed (21)
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { median } from './coverage-statistics.ts';
import { freedoms } from '../src/core/structure/beam.ts';
import { assemble, wheelModel } from '../src/core/structure/model.ts';
import type { RingMatrix } from '../src/core/structure/banded.ts';
import { influence, solveLoad, wheelMechanics } from '../src/core/structure/index.ts';
import { benchLoad, benchWheel } from './wheel-case.ts';

const { values } = parseArgs({ options: { repeat: { type: 'string', default: '21' } } });
const repeat = Number(values.repeat);
if (!(repeat >= 1)) {
  console.error('--repeat wants a count.');
  process.exit(2);
}

/** Lower triangle of the full matrix, by rows. */
function denseRows(matrix: RingMatrix): Float64Array[] {
  const n = matrix.nodes * freedoms;
  const unit = new Float64Array(n);
  const rows = Array.from({ length: n }, (_, j) => {
    unit.fill(0);
    unit[j] = 1;
    return matrix.times(unit).slice(0, j + 1);
  });
  return rows;
}

/** Cholesky in place: the plain way that knows no band. */
function choleskyInPlace(rows: Float64Array[]): void {
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i];
    for (let j = 0; j <= i; j++) {
      const other = rows[j];
      let sum = row[j];
      for (let k = 0; k < j; k++) sum -= row[k] * other[k];
      row[j] = i === j ? Math.sqrt(sum) : sum / other[j];
    }
  }
}

function denseSolve(rows: Float64Array[], right: Float64Array): Float64Array {
  const x = Float64Array.from(right);
  for (let i = 0; i < rows.length; i++) {
    for (let k = 0; k < i; k++) x[i] -= rows[i][k] * x[k];
    x[i] /= rows[i][i];
  }
  for (let i = rows.length - 1; i >= 0; i--) {
    x[i] /= rows[i][i];
    for (let k = 0; k < i; k++) x[k] -= rows[i][k] * x[i];
  }
  return x;
}

/** First call and median of the rest, ms. */
function timed(run: () => unknown, times = repeat): { firstMs: number; medianMs: number } {
  const ms = Array.from({ length: times + 1 }, () => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  return { firstMs: ms[0], medianMs: median(ms.slice(1)) };
}

/** Milliseconds of the first load that a fresh process solves, one process after the other, in order of size. */
function inFreshProcesses(compiledIn: string | null): number[] {
  const child = fileURLToPath(new URL('wheel-child.ts', import.meta.url));
  const env = { ...process.env };
  delete env.NODE_COMPILE_CACHE;
  const run = (): number =>
    Number(
      execFileSync(process.execPath, [child], {
        encoding: 'utf8',
        env: compiledIn === null ? env : { ...env, NODE_COMPILE_CACHE: compiledIn },
      }),
    );
  // The first one fills the folder.
  if (compiledIn !== null) run();
  return Array.from({ length: repeat }, run).sort((a, b) => a - b);
}

const folder = mkdtempSync(path.join(tmpdir(), 'lapbench-wheel-'));
const cold: [string, number[]][] = [];
try {
  cold.push(
    ['compiled code kept, as lapbench does', inFreshProcesses(folder)],
    ['nothing kept', inFreshProcesses(null)],
  );
} finally {
  rmSync(folder, { recursive: true });
}
const busy = loadavg()[0];
const rows: [string, { firstMs: number; medianMs: number }][] = [
  ['one load, with slack spokes looked for', timed(() => solveLoad(benchWheel, benchLoad))],
  ['influence of all nipples', timed(() => influence(benchWheel))],
  ['all numbers of the wheel', timed(() => wheelMechanics(benchWheel))],
];

const { model } = wheelModel(benchWheel);
const right = new Float64Array(model.nodes * freedoms);
right[2] = 196.1;
const banded = timed(() => assemble(model).factor().solve(right));
const lower = denseRows(assemble(model));
let answer: Float64Array = new Float64Array(0);
const dense = timed(
  () => {
    const copy = lower.map((row) => Float64Array.from(row));
    choleskyInPlace(copy);
    answer = denseSolve(copy, right);
  },
  Math.min(repeat, 3),
);
const ours = assemble(model).factor().solve(right);
const largest = Math.max(...answer.map(Math.abs));
const apart = Math.max(...answer.map((x, i) => Math.abs(x - ours[i]))) / largest;

console.log(`${cpus().length} × ${cpus()[0].model.trim()}, Node ${process.versions.node}.`);
console.log(`${model.spokes.length} spokes, ${model.nodes} nodes, ${right.length} unknowns.\n`);
const line = (name: string, first: string, usual: string): void =>
  console.log(`${name.padEnd(42)}${first.padStart(12)}${usual.padStart(12)}`);
console.log(`First load of a fresh process, program loaded, ${repeat} processes, ms:`);
for (const [name, ms] of cold) {
  const [least, most] = [ms[0], ms[ms.length - 1]].map((x) => x.toFixed(1));
  console.log(`  ${name}: median ${median(ms).toFixed(1)}, least ${least}, most ${most}`);
}
console.log(`Others at work on this machine: load ${busy.toFixed(1)}, ours counted.\n`);
line('', 'first, ms', 'median, ms');
for (const [name, { firstMs, medianMs }] of rows) {
  line(name, firstMs.toFixed(1), medianMs.toFixed(2));
}
line('assemble, factor, solve: folded band', banded.firstMs.toFixed(1), banded.medianMs.toFixed(2));
line('factor, solve: dense Cholesky', dense.firstMs.toFixed(1), dense.medianMs.toFixed(2));
console.log(
  `\nDense takes ${(dense.medianMs / banded.medianMs).toFixed(0)} times as long; ` +
    `the two answers are ${apart.toExponential(1)} apart, of the largest.`,
);
