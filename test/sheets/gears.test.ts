import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { gearsJsonSchemaText, readGearsSheet } from '../../src/sheets/index.ts';
import { near } from '../near.ts';

/** Invented. */
const example = `title: A hilly day
chainrings: [50, 34]
cassette: [11, 12, 13, 14, 15, 17, 19, 21, 24, 28, 34]
tyre: {designation: 28-622}
system: {massKg: 92}
rider: {powerW: 230}
climbs:
  - {name: Lane up the dam, gradientPercent: 18, lengthM: 400}
  - {gradientPercent: 7, lengthM: 5000}
`;

const read = (text: string) => readGearsSheet(text, 'gears.yaml').setup;

function problemsOf(from: string | RegExp, to: string) {
  const text = example.replace(from, to);
  assert.notEqual(text, example, 'the example was changed');
  try {
    read(text);
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    return error.problems;
  }
  assert.fail('the sheet was taken');
}

test('a gears sheet is read, what is left out filled in', () => {
  const setup = read(example);
  assert.equal(setup.cadenceRpm, 90);
  assert.equal(setup.rider?.leastCadenceRpm, 60);
  assert.equal(setup.rider?.crr, 0.006);
  near(setup.climbs[0].gradient, 0.18, { rel: 1e-12, why: 'percent' });
  assert.equal(setup.climbs[1].name, null);
  assert.equal(setup.course, null);
  assert.equal(setup.circumferenceFrom, 'designation');
  // ISO 5775-1: outer diameter bead seat + twice the section; here 622 + 56 mm.
  near(setup.circumferenceUm / 1e6, Math.PI * 0.678, { abs: 1e-6, why: 'whole micrometres' });
});

test('a circumference rolled out goes before the designation, and is exact', () => {
  const setup = read(
    example.replace('{designation: 28-622}', '{designation: 28-622, circumferenceMm: 2105}'),
  );
  assert.equal(setup.circumferenceUm, 2_105_000);
  assert.equal(setup.circumferenceFrom, 'measured');
});

test('without climbs nobody need ride', () => {
  const setup = read(example.replace(/system[^]*$/, ''));
  assert.equal(setup.rider, null);
  assert.deepEqual(setup.climbs, []);
});

const slips: [
  name: string,
  from: string,
  to: string,
  line: number,
  message: RegExp,
  remedy: RegExp,
][] = [
  ['negative mass', 'massKg: 92', 'massKg: -92', 5, /-92.*between 30 and 250/, /Check/],
  [
    'a gradient as a fraction',
    'gradientPercent: 7',
    'gradientPercent: 0.07',
    9,
    /Climb 2: .*a fraction/,
    /Write 7 \(%\)/,
  ],
  ['a length in kilometres', 'lengthM: 5000', 'lengthM: 4.5', 9, /kilometres/, /4500 \(m\)/],
  [
    'a circumference in metres',
    'designation: 28-622',
    'circumferenceMm: 2.105',
    4,
    /metres/,
    /2105 \(mm\)/,
  ],
  ['a diameter', 'designation: 28-622', 'circumferenceMm: 678', 4, /a diameter/, /2130/],
  ['half a tooth', '[50, 34]', '[50.5, 34]', 2, /whole number/, /whole number/],
  ['too few teeth', '[50, 34]', '[50, 3]', 2, /between 16 and 80/, /Check/],
  ['kilowatts', 'powerW: 230', 'powerW: 0.23', 6, /kilowatts/, /230 \(W\)/],
];
for (const [name, from, to, line, message, remedy] of slips) {
  test(`${name}: detected and asked`, () => {
    const [problem, ...more] = problemsOf(from, to);
    assert.equal(more.length, 0);
    assert.equal(problem.place?.line, line);
    assert.match(problem.message, message);
    assert.match(problem.remedy ?? '', remedy);
  });
}

test('a sprocket named twice, a tyre without a size, climbs or a course that nobody rides', () => {
  const said = (from: string | RegExp, to: string) =>
    problemsOf(from, to)
      .map(({ message }) => message)
      .join('\n');
  assert.match(said('28, 34]', '28, 28]'), /28 teeth stand twice in "cassette"/);
  assert.match(said('{designation: 28-622}', '{}'), /neither a designation nor a circumference/);
  assert.match(said(/rider.*\n/, ''), /There are climbs, but no "rider"/);
  assert.match(
    said(/system[^]*$/, 'course: {file: ride.gpx}\n'),
    /There is a course, but no "system"/,
  );
  assert.match(said(/climbs:[^]*$/, 'course: {file: ../ride.gpx}\n'), /must lie beside/);
});

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/gears.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), gearsJsonSchemaText());
});
