/** The descent sheet: what is read, and what is said of mistakes. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { descentJsonSchemaText, readDescentSheet } from '../../src/sheets/index.ts';
import { near } from '../near.ts';

/** The sheet of the issue. */
export const descentSheet = `course: {lengthM: 1500, gradientPercent: 25}
system: {massKg: 92}
speed: {kind: drag, kmh: 25}
brakes:
  frontShare: 0.7
  front: {rotorMm: 160, build: layered, pads: resin}
  rear:  {rotorMm: 160, build: layered, pads: resin}
air: {temperatureC: 15, pressureHPa: 1000}
drag: {cdaM2: 0.35, crr: 0.006}
`;

/** What is said of the sheet with one thing changed. */
function told(from: string | RegExp, to: string): string {
  const text = descentSheet.replace(from, to);
  assert.notEqual(text, descentSheet, 'the change changes something');
  try {
    readDescentSheet(text, 'descent.yaml');
  } catch (error) {
    assert.ok(error instanceof LapbenchError);
    return error.message;
  }
  return 'nothing';
}

test('the sheet of the issue is read in SI units, with its defaults', () => {
  const { descent } = readDescentSheet(descentSheet, 'descent.yaml');
  assert.deepEqual(descent.course, { kind: 'slope', lengthM: 1500, gradient: 0.25 });
  assert.equal(descent.plan.kind, 'drag');
  near(descent.plan.kind === 'drag' ? descent.plan.speedMps : NaN, 25 / 3.6, {
    rel: 1e-12,
    why: 'km/h',
  });
  assert.equal(descent.front.trackMassKg, null);
  assert.equal(descent.fluid, 'dot4');
  assert.equal(descent.wheelRadiusM, 0.34);
});

test('a mass below zero, in pounds or in grams is refused with its line', () => {
  assert.match(told('massKg: 92', 'massKg: -92'), /line 2.*-92.*between 30 and 250 kg/);
  assert.match(told('massKg: 92', 'massKg: 92000'), /looks like grams\. Write 92 /);
});

test('a gradient as a ratio, or counted below zero, is asked about', () => {
  assert.match(
    told('gradientPercent: 25', 'gradientPercent: 0.25'),
    /line 1.*looks like a ratio\. Write 25 /,
  );
  assert.match(
    told('gradientPercent: 25', 'gradientPercent: -25'),
    /counted below zero\. Write 25 /,
  );
  assert.match(told('gradientPercent: 25', 'gradientPercent: 80'), /between 0 and 50 %/);
});

test('a rotor that does not exist is named, with those that do', () => {
  assert.match(
    told('front: {rotorMm: 160', 'front: {rotorMm: 170'),
    /line 6.*no rotor of 170 mm.*140, 160, 180, 200 or 203/,
  );
  assert.match(
    told('front: {rotorMm: 160', 'front: {rotorMm: 0.16'),
    /looks like metres\. Write 160/,
  );
  assert.match(told('rear:  {rotorMm: 160', 'rear:  {rotorMm: 8'), /looks like inches\. Write 203/);
  assert.match(told('build: layered', 'build: layerd'), /Did you mean "layered"/);
});

test('pounds per square inch and degrees Fahrenheit are recognised', () => {
  assert.match(
    told('pressureHPa: 1000', 'pressureHPa: 14.5'),
    /line 8.*pounds per square inch\. Write 999\.74/,
  );
  assert.match(told('temperatureC: 15', 'temperatureC: 59'), /degrees Fahrenheit\. Write 15 /);
});

test('each kind of speed asks for what it needs and refuses what means nothing to it', () => {
  assert.match(told('{kind: drag, kmh: 25}', '{kind: drag}'), /drag needs kmh/);
  assert.match(
    told('{kind: drag, kmh: 25}', '{kind: pulse, kmh: 25, onSeconds: 3}'),
    /needs offSeconds/,
  );
  assert.match(told('{kind: drag, kmh: 25}', '{kind: drag, kmh: 25, onSeconds: 3}'), /no meaning/);
  assert.match(told('{kind: drag, kmh: 25}', '{kind: ride, file: ride.fit}'), /has its own course/);
});

test('a course is a slope or a file, and one of the two', () => {
  assert.match(told(/course.*\n/, ''), /"course" is missing/);
  assert.match(told('gradientPercent: 25', 'file: descent.gpx'), /both a file and lengthM/);
  assert.match(told(', gradientPercent: 25', ''), /needs lengthM and gradientPercent/);
  assert.match(told('lengthM: 1500, gradientPercent: 25', 'file: ../away.gpx'), /beside the/);
});

test('a share as per cent, and readings that do not cool, are said', () => {
  assert.match(told('frontShare: 0.7', 'frontShare: 70'), /per cent\. Write 0\.7/);
  const cooldown = (readings: string): string =>
    told('drag: {', `cooldown: {brake: front, kmh: 25, readings: [${readings}]}\ndrag: {`);
  const warm = '{timeS: 0, temperatureC: 100}, {timeS: 9, temperatureC: 120}';
  assert.match(
    cooldown(
      '{timeS: 0, temperatureC: 90}, {timeS: 9, temperatureC: 30}, {timeS: 20, temperatureC: 5}',
    ),
    /5 °C lies below the air’s 15 °C/,
  );
  assert.match(cooldown(`${warm}, {timeS: 20, temperatureC: 140}`), /no cool-down/);
  assert.match(cooldown(warm), /readings.* (at least three|three readings)/i);
  assert.match(
    cooldown(
      '{timeS: 0, temperatureC: 200}, {timeS: 30, temperatureC: 150}, {timeS: 20, temperatureC: 140}',
    ),
    /at 20 s comes after one at 30 s/,
  );
});

test('every mistake is told at once, in the order of the lines', () => {
  try {
    readDescentSheet(
      descentSheet.replace('massKg: 92', 'massKg: -1').replace('crr: 0.006', 'crr: 6'),
      'descent.yaml',
    );
    assert.fail('refused');
  } catch (error) {
    assert.ok(error instanceof LapbenchError);
    assert.deepEqual(
      error.problems.map((one) => one.place?.line),
      [2, 9],
    );
  }
});

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/descent.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), descentJsonSchemaText());
});
