import assert from 'node:assert/strict';
import test from 'node:test';
import { readDaySheet } from '../../src/sheets/index.ts';
import { asInSheet, onlyRuns, problemAsInSheet } from '../../src/application/partial-day.ts';
import { exampleFinding, lap } from './example-finding.ts';

const sheet = `title: Four runs
date: 2026-05-17
system: {massKg: 83}
course: {kind: loop}
setups:
  - {id: control}
  - {id: deep}
runs:
  - {setup: control, file: run-1.csv}
  - {setup: deep, file: run-2.csv}
  - {setup: control, file: run-3.csv}
  - {setup: deep, file: run-4.csv}
laps:
  - {run: 2, lap: 1, use: false}
  - {run: 4, lap: 3, use: true, reason: calm}
`;

test('runs that cannot be read go, with what was said of their laps; the rest keep their places', () => {
  const { day } = readDaySheet(sheet, 'day.yaml');
  const part = onlyRuns(day, [0, 2, 3]);
  assert.deepEqual(
    part.runs.map((run) => run.file),
    ['run-1.csv', 'run-3.csv', 'run-4.csv'],
  );
  assert.deepEqual(part.overrules, [{ run: 3, lap: 3, use: true, reason: 'calm' }]);
  // Line 12 of the sheet holds what is the third run of the part.
  assert.equal(part.placeOf('runs.2.setup').line, 12);
  assert.equal(part.placeOf('system.massKg').line, 3);
});

test('the finding of a part counts runs as the sheet does', () => {
  const warning = {
    code: 'laps-not-found' as const,
    place: { run: 2 },
    message: 'Run 2 holds 9 samples of "run 3.fit".',
    remedy: 'Check "from" and "to" of run 2.',
  };
  const finding = exampleFinding({
    laps: [lap(1, 1, 'control'), lap(2, 1, 'control'), lap(3, 1, 'deep')],
    warnings: [warning],
  });
  const whole = asInSheet(finding, [0, 2, 3]);
  assert.deepEqual(
    whole.laps.map((one) => one.run),
    [1, 3, 4],
  );
  assert.deepEqual(whole.warnings[0], {
    code: 'laps-not-found',
    place: { run: 3 },
    message: 'Run 3 holds 9 samples of "run 3.fit".',
    remedy: 'Check "from" and "to" of run 3.',
  });
  assert.equal(whole.residuals.rows[0].run, 1);
  assert.deepEqual(problemAsInSheet({ code: 'internal', message: 'x' }, [1]), {
    code: 'internal',
    message: 'x',
  });
});
