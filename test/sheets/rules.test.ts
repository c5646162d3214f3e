import assert from 'node:assert/strict';
import { test } from 'node:test';
import { readDaySheet } from '../../src/sheets/index.ts';
import { exampleSheet, exampleWith, problemOf, problemsOf } from './example.ts';

const withRuns = (...runs: string[]): string =>
  exampleSheet.replace(
    /runs:\n(?: {2}- .*\n)+/,
    () => `runs:\n${runs.map((run) => `  - ${run}\n`).join('')}`,
  );

test('a run on a setup that is not listed is refused with the likeliest one', () => {
  const problem = problemOf(exampleWith('{setup: deep,', '{setup: depe,'));
  assert.equal(problem.code, 'setup-unknown');
  assert.match(problem.message, /Run 2 names the setup "depe"/);
  assert.match(problem.remedy ?? '', /mean "deep"/);
  assert.deepEqual([problem.place?.line, problem.place?.column], [13, 13]);
});

test('a control that is not listed is refused', () => {
  assert.equal(
    problemOf(exampleWith('control: control', 'control: shallow')).code,
    'setup-unknown',
  );
});

test('two setups of one id are refused', () => {
  const problem = problemOf(exampleWith('{id: deep,', '{id: control}\n  - {id: deep,'));
  assert.equal(problem.code, 'setup-duplicate');
  assert.match(problem.message, /Setups 1 and 2/);
});

test('a setup that is listed but never ridden is a warning, and the day is read', () => {
  const { day, warnings } = readDaySheet(
    exampleWith('control: control', '  - {id: spare}\ncontrol: control'),
    'day.yaml',
  );
  assert.equal(day.setups.length, 3);
  assert.deepEqual(
    warnings.map(({ code, place }) => [code, place?.line]),
    [['setup-not-ridden', 10]],
  );
});

test('a control that is never ridden is refused: nothing can be compared to it', () => {
  const problem = problemsOf(exampleWith('{setup: control, file', '{setup: deep, file'))[0];
  assert.equal(problem.code, 'setup-not-ridden');
  assert.match(problem.message, /control setup "control" is never ridden/);
});

test('all runs on one setup is said clearly', () => {
  const { warnings } = readDaySheet(exampleWith('{setup: deep,', '{setup: control,'), 'day.yaml');
  assert.deepEqual(warnings.map(({ code }) => code).sort(), ['one-setup-only', 'setup-not-ridden']);
});

test('a run that ends before it begins is refused', () => {
  const problem = problemOf(exampleWith('"00:21:10"', '"00:00:29"'));
  assert.equal(problem.code, 'run-window');
  assert.match(problem.message, /Run 2 ends \("00:00:29"\) before it begins \("00:00:30"\)/);
  assert.equal(problemOf(exampleWith('to: "00:21:10"', 'to: 30')).code, 'run-window');
});

test('runs that take the same part of one file are refused, in whatever order they stand', () => {
  const overlap = (...runs: string[]): unknown[] =>
    problemsOf(withRuns(...runs)).map(({ code, message }) => [
      code,
      /Runs (\d+) and (\d+)/.exec(message)?.slice(1),
    ]);
  const first = '{setup: control, file: a.fit, from: "00:10:00", to: "00:20:00"}';
  assert.deepEqual(overlap(first, '{setup: deep, file: a.fit, from: "00:19:59", to: 3000}'), [
    ['run-overlap', ['1', '2']],
  ]);
  assert.deepEqual(overlap(first, '{setup: deep, file: a.fit}'), [['run-overlap', ['1', '2']]]);
  assert.deepEqual(
    overlap(
      '{setup: deep, file: a.fit, to: 5000}',
      first,
      '{setup: deep, file: a.fit, from: 1300, to: 1400}',
    ),
    [
      ['run-overlap', ['1', '2']],
      ['run-overlap', ['1', '3']],
    ],
  );
});

test('runs that follow each other in one file, or stand in two files, are taken', () => {
  const first = '{setup: control, file: a.fit, from: "00:10:00", to: "00:20:00"}';
  for (const second of [
    '{setup: deep, file: a.fit, from: 1200}',
    '{setup: deep, file: a.fit, to: 600}',
    '{setup: deep, file: b.fit}',
  ]) {
    assert.deepEqual(readDaySheet(withRuns(first, second), 'day.yaml').warnings, []);
  }
});

test('a word on a lap of a run that is not there, or two words on one lap, are refused', () => {
  const laps = (list: string): string => `${exampleSheet}laps: ${list}\n`;
  assert.equal(problemOf(laps('[{run: 3, lap: 1, use: false}]')).code, 'overrule-unknown');
  const twice = problemOf(laps('[{run: 1, lap: 1, use: false}, {run: 1, lap: 1, use: true}]'));
  assert.match(twice.message, /Entries 1 and 2 of laps both speak of run 1, lap 1/);
});

test('a sheet that does not say its course is taken for a loop, with a warning', () => {
  const { day, warnings } = readDaySheet(exampleSheet.replace(/course:.*\n/, ''), 'day.yaml');
  assert.equal(day.course.kind, 'loop');
  assert.match(warnings[0].message, /a loop is assumed/);
});
