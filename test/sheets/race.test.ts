/** The race sheet: what it takes, and what it says to mistakes. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import { LapbenchError, type Problem } from '../../src/core/units/index.ts';
import { raceJsonSchemaText, readRaceSheet } from '../../src/sheets/index.ts';

const sheet = `name: Invented hill race
course: {lengthM: 40000, gradientPercent: 1, headingDeg: 90}
system: {massKg: 82}
air: {temperatureC: 15, pressureHPa: 1005}
wind: {speedMps: 3, fromDeg: 250}
power: {kind: constant, powerW: 250}
surface: {crr: 0.004}
setups:
  - {id: shallow, cdaM2: 0.32}
  - {id: deep, cdaM2: 0.31}
`;

const problems = (text: string): readonly Problem[] => {
  try {
    readRaceSheet(text, 'race.yaml');
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  return [];
};

test('a short sheet is filled with the stated defaults', () => {
  const { race } = readRaceSheet(sheet, 'race.yaml');
  assert.equal(race.system.drivetrainEfficiency, 0.975);
  assert.equal(race.course.stepM, 1);
  assert.equal(race.draws, 1000);
  assert.deepEqual(race.surface.sections, []);
});

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/race.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), raceJsonSchemaText());
});

const cases: [name: string, from: string, to: string, line: number, said: RegExp][] = [
  ['negative mass', 'massKg: 82', 'massKg: -82', 3, /massKg.* is -82.*between 30 and 250/],
  ['mass in pounds', 'massKg: 82', 'massKg: 300', 3, /looks like pounds/],
  ['length in kilometres', 'lengthM: 40000', 'lengthM: 40', 2, /looks like kilometres/],
  ['wind in km/h', 'speedMps: 3,', 'speedMps: 30,', 5, /kilometres an hour/],
  ['drag area in cm²', 'cdaM2: 0.31', 'cdaM2: 3100', 10, /looks like cm²/],
  ['resistance in thousandths', 'crr: 0.004', 'crr: 4', 7, /thousandths/],
  [
    'a course of two kinds',
    'lengthM: 40000,',
    'file: a.gpx, lengthM: 40000,',
    2,
    /file and lengthM/,
  ],
  ['no course', 'lengthM: 40000, gradientPercent: 1, headingDeg: 90', 'stepM: 1', 2, /neither/],
  ['half a wind', ', fromDeg: 250', '', 5, /speedMps and fromDeg/],
  ['power without watts', ', powerW: 250', '', 6, /needs powerW/],
  ['a slip of the pen', 'surface:', 'surfaces:', 7, /no key "surfaces"/],
  ['two setups of one id', 'id: deep', 'id: shallow', 10, /used twice/],
  ['a setup without drag', ', cdaM2: 0.31', '', 10, /no drag area/],
  [
    'a section that ends before it begins',
    '{crr: 0.004}',
    '{crr: 0.004, sections: [{fromM: 900, toM: 100, crr: 0.01}]}',
    7,
    /before or where it begins/,
  ],
  [
    'a file from outside the folder',
    'lengthM: 40000, gradientPercent: 1, headingDeg: 90',
    'file: ../x.gpx',
    2,
    /beside/,
  ],
];

for (const [name, from, to, line, said] of cases) {
  test(`${name} is found, with its line and a remedy`, () => {
    assert.ok(sheet.includes(from));
    const found = problems(sheet.replace(from, to));
    const own = found.find(({ message }) => said.test(message));
    assert.ok(own, JSON.stringify(found));
    assert.equal(own.place?.line, line);
    assert.ok((own.remedy ?? '').length > 5);
  });
}

test('a power by slope needs slopes that rise; a yaw table needs yaws that rise', () => {
  const power = sheet.replace(
    '{kind: constant, powerW: 250}',
    '{kind: gradient, table: [{gradientPercent: 2, powerW: 280}, {gradientPercent: -2, powerW: 150}]}',
  );
  assert.match(problems(power)[0].message, /do not rise/);
  const yaw = sheet.replace(
    'cdaM2: 0.31',
    'yaw: [{yawDeg: 10, cdaM2: 0.3}, {yawDeg: 0, cdaM2: 0.31}]',
  );
  assert.match(problems(yaw)[0].message, /yaws of the table/);
});

test('the sheet shown in docs/methods/race.md is sound', () => {
  const note = path.resolve(import.meta.dirname, '../../docs/methods/race.md');
  const shown = /```yaml\n([\s\S]*?)```/.exec(fs.readFileSync(note, 'utf8'));
  const { race } = readRaceSheet(shown?.[1] ?? '', 'race.yaml');
  assert.equal(race.setups.length, 2);
});
