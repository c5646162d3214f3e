import assert from 'node:assert/strict';
import test from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { sha256 } from '../../src/application/edges.ts';
import { directWorkbench } from '../../src/application/direct-workbench.ts';
import { threadWorkbench } from '../../src/application/thread-workbench.ts';
import type { Workbench } from '../../src/application/workbench.ts';
import { exampleSheet } from './example-sheet.ts';

/** A ride of steady speed and power, one row a second. */
function csvOf(rows: number, speedColumn = 'speed_mps'): Uint8Array {
  const lines = Array.from({ length: rows }, (_, second) => `${second},${10 + (second % 3)},240`);
  return new TextEncoder().encode(`time_s,${speedColumn},power_w\n${lines.join('\n')}\n`);
}

const refOf = (file: string, bytes: Uint8Array) => ({ file, sha256: sha256(bytes) });
const codeOf = (code: string) => (error: unknown) =>
  error instanceof LapbenchError && error.problems.some((problem) => problem.code === code);

for (const [name, make] of [
  ['in this thread', directWorkbench],
  ['in a thread of its own', threadWorkbench],
] as const) {
  const withBench = async (work: (bench: Workbench) => Promise<void>): Promise<void> => {
    const bench = make();
    try {
      await work(bench);
    } finally {
      await bench.close();
    }
  };

  test(`${name}: says what a recording holds, and asks for its bytes once`, () =>
    withBench(async (bench) => {
      const bytes = csvOf(600);
      let asked = 0;
      const bytesOf = (): Uint8Array => (asked++, bytes);
      const look = await bench.look(refOf('run.csv', bytes), null, bytesOf);
      assert.equal(look.format, 'csv');
      assert.equal(look.summary?.samples, 600);
      assert.equal(look.summary?.durationS, 599);
      assert.equal(look.summary?.meanPowerW, 240);
      assert.equal(look.summary?.meanSpeedMps, 11);
      await bench.look(refOf('run.csv', bytes), null, bytesOf);
      assert.equal(asked, 1);
    }));

  test(`${name}: a file that cannot be read is an answer with its reason`, () =>
    withBench(async (bench) => {
      const bytes = new Uint8Array(0);
      const look = await bench.look(refOf('run.fit', bytes), null, () => bytes);
      assert.equal(look.summary, null);
      assert.equal(look.problems[0].code, 'file-empty');
      const trace = bench.trace(refOf('run.fit', bytes), null, () => bytes);
      await assert.rejects(trace, codeOf('file-empty'));
    }));

  test(`${name}: the column map decides what a CSV file says`, () =>
    withBench(async (bench) => {
      const bytes = csvOf(60, 'kph');
      const map = { speed_mps: { column: 'kph', unit: 'km/h' as const } };
      const look = await bench.look(refOf('run.csv', bytes), map, () => bytes);
      assert.ok(Math.abs(look.summary!.meanSpeedMps! - 11 / 3.6) < 1e-9);
    }));

  test(`${name}: a trace has at most 2,000 points and keeps the mean`, () =>
    withBench(async (bench) => {
      const bytes = csvOf(28_800);
      const trace = await bench.trace(refOf('run.csv', bytes), null, () => bytes);
      assert.ok(trace.timeS.length <= 2000);
      assert.ok(trace.timeS.length > 1000);
      assert.equal(trace.timeS.length, trace.speedMps.length);
      assert.ok(trace.speedMps.every((speed) => Math.abs(speed! - 11) < 0.1));
      assert.equal(trace.latDeg[0], null);
    }));

  test(`${name}: a day whose recordings are not there is refused, each file by name`, () =>
    withBench(async (bench) => {
      const answer = bench.reduce(exampleSheet, [], () => new Uint8Array(0));
      await assert.rejects(answer, (error) => {
        assert.ok(error instanceof LapbenchError);
        assert.deepEqual(
          error.problems.map((problem) => [problem.code, problem.file]),
          [
            ['file-missing', 'run-1.csv'],
            ['file-missing', 'run-2.csv'],
          ],
        );
        return true;
      });
    }));

  test(`${name}: a day sheet with a mistake is refused with its line`, () =>
    withBench(async (bench) => {
      const sheet = exampleSheet.replace('83.2', '83200');
      const answer = bench.reduce(sheet, [], () => new Uint8Array(0));
      await assert.rejects(answer, (error) => {
        assert.equal((error as LapbenchError).problems[0].place?.line, 4);
        return true;
      });
    }));
}

test('a job over its time is given up, and the next one is taken up by a fresh thread', async () => {
  const bench = threadWorkbench(2);
  try {
    const long = csvOf(200_000);
    for (const file of ['long-1.csv', 'long-2.csv']) {
      const slow = bench.look(refOf(file, long), null, () => long);
      await assert.rejects(slow, codeOf('file-too-large'));
    }
  } finally {
    await bench.close();
  }
});

test('closing answers what still waits', async () => {
  const bench = threadWorkbench();
  const bytes = csvOf(100_000);
  const answers = [1, 2].map(() => bench.look(refOf('run.csv', bytes), null, () => bytes));
  const settled = Promise.allSettled(answers);
  await bench.close();
  assert.deepEqual(
    (await settled).map((one) => one.status),
    ['rejected', 'rejected'],
  );
});
