import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { LapbenchError, type Problem } from '../../../../src/core/units/index.ts';
import { codes, evidenceFor } from './small-days.ts';

function refusals(evidence: DayEvidence): readonly Problem[] {
  try {
    estimateFieldDrag(evidence);
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  throw new Error('nothing was refused');
}

test('a day on one setup alone is refused: there is nothing to compare', () => {
  const evidence = evidenceFor();
  for (const run of evidence.day.runs) run.setup = evidence.day.control;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'one-setup-only');
  assert.match(problem.message, /shallow/);
  assert.ok(problem.remedy);
});

test('a control that was never ridden is refused', () => {
  const evidence = evidenceFor({ setups: 3 });
  const { day } = evidence;
  for (const run of day.runs) if (run.setup === day.control) run.setup = day.setups[1].id;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'setup-not-ridden');
  assert.match(problem.message, /control setup "shallow" was never ridden/);
});

test('a setup in the sheet that was never ridden is a warning, and has no result', () => {
  const evidence = evidenceFor();
  evidence.day.setups.push({ ...evidence.day.setups[0], id: 'spare', name: 'Spare pair' });
  const finding = estimateFieldDrag(evidence);
  assert.ok(codes(finding).includes('setup-not-ridden'));
  assert.ok(!finding.setups.some((setup) => setup.id === 'spare'));
});

test('without power nothing is estimated, and every run that lacks it is named', () => {
  const evidence = evidenceFor();
  for (const i of [1, 3]) delete evidence.recordings[i].channels.powerW;
  const problems = refusals(evidence);
  assert.deepEqual(
    problems.map(({ code, file, place }) => [code, file, place?.run]),
    [
      ['channel-missing', 'run-2.fit', 2],
      ['channel-missing', 'run-4.fit', 4],
    ],
  );
});

test('a window of a few seconds is refused with the run it belongs to', () => {
  const evidence = evidenceFor();
  Object.assign(evidence.day.runs[2], { fromS: 100, toS: 110 });
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'run-window');
  assert.equal(problem.place?.run, 3);
});

test('one lap of each setup shows no scatter and is refused', () => {
  const [problem] = refusals(evidenceFor({ runsPerSetup: 1, lapsPerRun: 1 }));
  assert.equal(problem.code, 'laps-too-few');
  assert.match(problem.message, /2 usable laps for 2 setups/);
});

test('a person may leave out so much that too little is left, which is said', () => {
  const evidence = evidenceFor();
  evidence.day.overrules = [1, 4].flatMap((run) =>
    [1, 2, 3].map((lap) => ({ run, lap, use: false, reason: 'wet road' })),
  );
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'laps-too-few');
  assert.match(problem.message, /No lap of the control setup/);
});

test('neither weather in the sheet nor in the recordings is refused with an example', () => {
  const evidence = evidenceFor({ sensors: { temperature: false, pressure: false } });
  evidence.day.weather = null;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'channel-missing');
  assert.match(problem.remedy!, /weather: \{temperatureC/);
});
