import assert from 'node:assert/strict';
import { LapbenchError } from '../../src/core/units/index.ts';
import type { Problem } from '../../src/core/units/index.ts';
import { readDaySheet } from '../../src/sheets/index.ts';

/** An invented day as a person would write it, comments and all. */
export const exampleSheet = `title: Three wheelsets on the gravel-pit loop
date: 2026-05-17
system: {massKg: 83.2, massStandardUncertaintyKg: 0.3}
constants: {crr: 0.0045, crrStandardUncertainty: 0.0004, drivetrainEfficiency: 0.975, powerScaleStandardUncertainty: 0.01}
weather: {temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60}   # or channels in the recordings
course: {kind: loop}            # loop | out-and-back
setups:
  - {id: control, name: Shallow pair, wheelInertiaKgM2: 0.14}
  - {id: deep, name: Deep pair, wheelInertiaKgM2: 0.17, massOffsetKg: 0.1}
control: control
runs:
  - {setup: control, file: run-1.fit}   # laps from the file's lap marks or found on the road
  - {setup: deep, file: run-2.csv, from: "00:00:30", to: "00:21:10"}
reference: {speedKmh: 40, airDensityKgM3: 1.2}
`;

/** The example with one piece of its text replaced. */
export function exampleWith(piece: string, by: string): string {
  assert.ok(exampleSheet.includes(piece), `the example has no "${piece}"`);
  return exampleSheet.replace(piece, () => by);
}

/** All problems of a sheet that must be refused. */
export function problemsOf(text: string): readonly Problem[] {
  try {
    readDaySheet(text, 'day.yaml');
  } catch (error) {
    assert.ok(error instanceof LapbenchError, `not a LapbenchError: ${String(error)}`);
    return error.problems;
  }
  return assert.fail('the sheet was taken');
}

/** The one problem of a sheet that must have exactly one. */
export function problemOf(text: string): Problem {
  const problems = problemsOf(text);
  assert.equal(problems.length, 1, problems.map((problem) => problem.message).join('\n'));
  return problems[0];
}
