/**
 * `npm run bench`: how long a day takes to read and reduce, how much memory, how both grow with the
 * day's length, and the time of the day's least squares here and in SciPy side by side.
 *
 *   --hours 4,8,16   lengths of the day, multiples of four hours (4,8,16)
 *   --repeat N       each measurement N times, the median is printed (3)
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { median } from './coverage-statistics.ts';
import { plainProblem, solveHere, writeProblem } from './least-squares.ts';
import { longDay, writeDay } from './speed-day.ts';
import type { SimulatedDay } from '../src/simulation/index.ts';
import type { WrittenDay } from './speed-day.ts';

interface ChildReport {
  wallMs: number;
  peakRssMb: number;
  laps: number;
  usedLaps: number;
}

interface Row {
  hours: number;
  format: 'fit' | 'csv';
  written: WrittenDay;
  wallS: number;
  /** The whole command, from its call to its end. */
  commandS: number;
  peakRssMb: number;
  usedLaps: number;
}

const { values } = parseArgs({
  options: {
    hours: { type: 'string', default: '4,8,16' },
    repeat: { type: 'string', default: '3' },
  },
});
const hoursList = values.hours.split(',').map(Number);
const repeat = Number(values.repeat);
if (hoursList.some((h) => !(h > 0 && h % 4 === 0)) || !(repeat >= 1)) {
  console.error('--hours wants multiples of 4, such as 4,8,16; --repeat a count.');
  process.exit(2);
}

const folder = mkdtempSync(path.join(tmpdir(), 'lapbench-bench-'));
try {
  console.log(`${cpus().length} × ${cpus()[0].model.trim()}, Node ${process.versions.node}.\n`);
  const rows: Row[] = [];
  let eightHours: SimulatedDay | null = null;
  for (const hours of hoursList) {
    const day = longDay(hours);
    if (hours === 8 || eightHours === null) eightHours = day;
    for (const format of ['fit', 'csv'] as const) rows.push(measureDay(day, hours, format));
  }
  printDays(rows);
  if (eightHours) printLeastSquares(eightHours);
} finally {
  rmSync(folder, { recursive: true, force: true });
}

function measureDay(day: SimulatedDay, hours: number, format: 'fit' | 'csv'): Row {
  const written = writeDay(day, path.join(folder, `${hours}-${format}`), format);
  const child = new URL('./speed-child.ts', import.meta.url).pathname;
  const reports = Array.from({ length: repeat }, () => {
    // A process for each: nothing warm, and the peak of memory is this day's alone.
    const text = execFileSync(process.execPath, [child, written.folder], {
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    return JSON.parse(text) as ChildReport;
  });
  const program = new URL('../bin/lapbench.mjs', import.meta.url).pathname;
  const commandMs = Array.from({ length: repeat }, () => {
    const from = performance.now();
    const sheet = path.join(written.folder, 'day.yaml');
    execFileSync(process.execPath, [program, 'drag', sheet, '--json'], { maxBuffer: 1e9 });
    return performance.now() - from;
  });
  return {
    hours,
    format,
    written,
    wallS: median(reports.map(({ wallMs }) => wallMs)) / 1000,
    commandS: median(commandMs) / 1000,
    peakRssMb: Math.max(...reports.map(({ peakRssMb }) => peakRssMb)),
    usedLaps: reports[0].usedLaps,
  };
}

function printDays(rows: Row[]): void {
  console.log(
    'Read and reduced in a fresh process; in brackets all of "lapbench drag --json" (medians).\n',
  );
  console.log(
    '| day | files | samples | laps (used) | read and reduced | per 1,000 samples | peak memory |',
  );
  console.log('|---|---|---|---|---|---|---|');
  for (const { hours, format, written, wallS, commandS, peakRssMb, usedLaps } of rows) {
    const perThousand = (1e6 * wallS) / written.samples;
    console.log(
      `| ${hours} h | ${format}, ${written.megabytes.toFixed(1)} MB | ${written.samples} | ${written.laps} (${usedLaps}) | ${wallS.toFixed(2)} s (${commandS.toFixed(2)} s) | ${perThousand.toFixed(1)} ms | ${peakRssMb.toFixed(0)} MB |`,
    );
  }
  for (const format of ['fit', 'csv'] as const) {
    const ours = rows.filter((row) => row.format === format);
    if (ours.length < 2) continue;
    const [first, last] = [ours[0], ours[ours.length - 1]];
    const growth =
      Math.log(last.wallS / first.wallS) / Math.log(last.written.samples / first.written.samples);
    console.log(
      `\nGrowth, ${format}: time goes as samples to the power ${growth.toFixed(2)} from ${first.hours} h to ${last.hours} h.`,
    );
  }
  console.log('');
}

function printLeastSquares(day: SimulatedDay): void {
  const problem = plainProblem(day);
  const times: number[] = [];
  let solution = new Float64Array(0);
  for (let i = 0; i < Math.max(3, repeat); i++) {
    const from = performance.now();
    solution = solveHere(problem) as Float64Array<ArrayBuffer>;
    times.push((performance.now() - from) / 1000);
  }
  const here = Math.min(...times);
  console.log(
    `The day's least squares, ${problem.rows} rows and ${problem.unknowns} unknowns, best of ${times.length}:`,
  );
  console.log(`- here (banded part with a dense border): ${here.toFixed(3)} s`);
  const python = '/usr/bin/python3';
  const hasSciPy = existsSync(python) && succeeds(python, ['-c', 'import scipy.sparse.linalg']);
  if (!hasSciPy) {
    console.log('- SciPy: left out, not installed for /usr/bin/python3 (Debian: python3-scipy).');
    return;
  }
  writeProblem(problem, folder);
  const script = new URL('./least_squares.py', import.meta.url).pathname;
  const reply = JSON.parse(execFileSync(python, [script, folder], { encoding: 'utf8' })) as {
    seconds: number;
    scipy: string;
  };
  const bytes = readFileSync(path.join(folder, 'solution'));
  const theirs = new Float64Array(
    bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength),
  );
  const size = Math.max(...theirs.map(Math.abs));
  const apart = Math.max(...theirs.map((x, i) => Math.abs(x - solution[i]))) / size;
  console.log(
    `- SciPy ${reply.scipy} (sparse normal equations, SuperLU): ${reply.seconds.toFixed(3)} s`,
  );
  console.log(
    `- ratio here to SciPy ${(here / reply.seconds).toFixed(2)}; the two solutions differ by ${apart.toExponential(1)} of the largest value`,
  );
  if (!(apart < 1e-6)) {
    console.error('FAILED the two solutions differ');
    process.exitCode = 1;
  }
}

function succeeds(command: string, args: string[]): boolean {
  try {
    execFileSync(command, args, { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
}
