import assert from 'node:assert/strict';
import { test } from 'node:test';
import { dayDefaults, daySheetData, readDaySheet } from '../../src/sheets/index.ts';
import { exampleSheet, exampleWith, problemOf, problemsOf } from './example.ts';

test('the example of the issue reads to a day, SI inside', () => {
  const { day, warnings } = readDaySheet(exampleSheet, 'day.yaml');
  assert.deepEqual(warnings, []);
  const { placeOf, ...plain } = day;
  assert.deepEqual(plain, {
    title: 'Three wheelsets on the gravel-pit loop',
    date: '2026-05-17',
    invented: false,
    system: { massKg: 83.2, massStandardUncertaintyKg: 0.3 },
    constants: {
      crr: 0.0045,
      crrStandardUncertainty: 0.0004,
      drivetrainEfficiency: 0.975,
      drivetrainEfficiencyStandardUncertainty: 0.005,
      powerScaleStandardUncertainty: 0.01,
      bearingLosses: true,
    },
    weather: { temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60 },
    course: { kind: 'loop', lapLengthM: null, gate: null },
    setups: [
      {
        id: 'control',
        name: 'Shallow pair',
        wheelInertiaKgM2: 0.14,
        massOffsetKg: 0,
        wheelRadiusM: 0.336,
        crr: null,
      },
      {
        id: 'deep',
        name: 'Deep pair',
        wheelInertiaKgM2: 0.17,
        massOffsetKg: 0.1,
        wheelRadiusM: 0.336,
        crr: null,
      },
    ],
    control: 'control',
    runs: [
      { setup: 'control', file: 'run-1.fit', fromS: null, toS: null, remark: null },
      { setup: 'deep', file: 'run-2.csv', fromS: 30, toS: 1270, remark: null },
    ],
    overrules: [],
    csvColumns: null,
    reference: { speedKmh: 40, airDensityKgM3: 1.2 },
  });
  assert.deepEqual(placeOf('runs.1.from'), { line: 13, column: 42, field: 'runs.1.from' });
});

test('a value that is not in the sheet has the place of what should hold it', () => {
  const { day } = readDaySheet(exampleSheet, 'day.yaml');
  assert.equal(day.placeOf('runs.0.from').line, 12);
  assert.equal(day.placeOf('course.gate.latDeg').line, 6);
  assert.equal(day.placeOf('nowhere.at.all').line, 1);
});

test('the same sheet as JSON reads to the same day', () => {
  const json = JSON.stringify(daySheetData(exampleSheet), null, 2);
  const { placeOf: inYaml, ...fromYaml } = readDaySheet(exampleSheet, 'day.yaml').day;
  const { placeOf: inJson, ...fromJson } = readDaySheet(json, 'day.json').day;
  assert.deepEqual(fromJson, fromYaml);
  assert.equal(inYaml('runs.1.file').line, 13);
  assert.equal(json.split('\n')[inJson('runs.1.file').line! - 1].trim(), '"file": "run-2.csv",');
});

test('the shortest sheet is filled with the documented defaults', () => {
  const { day } = readDaySheet(
    'title: A\ndate: 2026-05-17\nsystem: {massKg: 80}\ncourse: {kind: out-and-back}\n' +
      'setups: [{id: a}, {id: b}]\nruns: [{setup: b, file: x.fit}, {setup: a, file: y.fit}]\n',
    'day.yaml',
  );
  assert.equal(day.control, 'a');
  assert.equal(day.setups[1].name, 'b');
  assert.equal(day.constants.crr, dayDefaults.crr);
  assert.equal(day.constants.drivetrainEfficiency, 0.977);
  assert.equal(day.setups[0].wheelInertiaKgM2, 0.14);
  assert.equal(day.weather, null);
  assert.deepEqual(day.reference, { speedKmh: 40, airDensityKgM3: 1.2 });
});

test('every optional key is read', () => {
  const { day, warnings } = readDaySheet(
    `${exampleWith('course: {kind: loop}', 'course: {kind: loop, lapLengthM: 2500, gate: {latDeg: 50.5, lonDeg: -8.25}}')}
invented: true
laps: [{run: 2, lap: 3, use: false, reason: a lorry}, {run: 1, lap: 1, use: true}]
csv: {columns: {speed_mps: {column: "Speed (kph)", unit: km/h}, power_w: {column: Watts}}}
`.replace('file: run-1.fit}', 'file: card/run-1.fit, from: 12.5, remark: "gusty: two cars"}'),
    'day.yaml',
  );
  assert.deepEqual(warnings, []);
  assert.equal(day.invented, true);
  assert.deepEqual(day.course, {
    kind: 'loop',
    lapLengthM: 2500,
    gate: { latDeg: 50.5, lonDeg: -8.25 },
  });
  assert.deepEqual(day.overrules, [
    { run: 2, lap: 3, use: false, reason: 'a lorry' },
    { run: 1, lap: 1, use: true, reason: null },
  ]);
  assert.deepEqual(day.csvColumns, {
    speed_mps: { column: 'Speed (kph)', unit: 'km/h' },
    power_w: { column: 'Watts' },
  });
  assert.deepEqual(day.runs[0], {
    setup: 'control',
    file: 'card/run-1.fit',
    fromS: 12.5,
    toS: null,
    remark: 'gusty: two cars',
  });
});

test('all that is wrong is said at once, in the order of the lines', () => {
  const text = `titel: Three
date: 17.5.2026
system: {massKg: 83200}
setups:
  - {id: control, wheelInertia: 0.14}
  - {id: deep, massOffsetKg: a lot}
control: contol
runs:
  - {setup: contrl, file: run-1.fit}
  - {setup: deep, file: run-2.fit, from: 12:30}
`;
  const said = problemsOf(text).map(({ code, place }) => [code, place?.line, place?.column]);
  assert.deepEqual(said, [
    ['sheet-field', 1, 1], // title is missing
    ['sheet-field', 1, 1], // titel is not a key
    ['sheet-field', 2, 7],
    ['sheet-unit', 3, 18],
    ['sheet-field', 5, 19],
    ['sheet-field', 6, 30],
    ['setup-unknown', 7, 10],
    ['setup-unknown', 9, 13],
    ['sheet-field', 10, 42],
  ]);
  assert.ok(problemsOf(text).every((problem) => problem.file === 'day.yaml' && problem.remedy));
});

const refusals: [why: string, piece: string, by: string, message: RegExp, remedy: RegExp][] = [
  [
    'an unknown key',
    'massOffsetKg',
    'massOfsetKg',
    /no key "massOfsetKg" in setup 2/,
    /mean "massOffsetKg"/,
  ],
  [
    'a key that begins like a known one',
    'title',
    'titl: x\ntitle',
    /no key "titl"/,
    /mean "title"/,
  ],
  [
    'a key like no other',
    'title',
    'zebra: 1\ntitle',
    /no key "zebra" in a day sheet/,
    /Known here: title, date/,
  ],
  [
    'a word for a number',
    '83.2',
    'heavy',
    /"massKg" should be a number.*It is "heavy"/,
    /from 30 to 250/,
  ],
  ['a number with a unit', '83.2', '83.2 kg', /is the text "83.2 kg"/, /without a unit: 83\.2\./],
  [
    'a decimal comma',
    'massKg: 83.2',
    'massKg: "83,2"',
    /is the text "83,2"/,
    /decimal point.*: 83\.2\./,
  ],
  ['a number in quotes', '83.2', '"83.2"', /is the text "83\.2"/, /Take the quotes away/],
  ['not a number', '83.2', '.nan', /"massKg" should be a number/, /from 30 to 250/],
  ['an endless number', '83.2', '.inf', /"massKg"/, /Check the value|from 30 to 250/],
  ['no value', 'massKg: 83.2', 'massKg: ', /"massKg" has no value/, /massKg: 83\.2/],
  [
    'a date the other way round',
    '2026-05-17',
    '17-05-2026',
    /not a day of the calendar/,
    /2026-05-17/,
  ],
  [
    'a day that no month has',
    '2026-05-17',
    '2026-02-29',
    /not a day of the calendar/,
    /year, month and day/,
  ],
  [
    'a yes',
    'course:',
    'invented: yes\ncourse:',
    /"invented" should be true or false; it is "yes"/,
    /without quotes/,
  ],
  [
    'a number for a title',
    'Three wheelsets on the gravel-pit loop',
    '2026',
    /"title" should be text; it is 2026/,
    /quotes: "2026"/,
  ],
  [
    'a course of no kind',
    'kind: loop',
    'kind: out-and-bak',
    /none of: loop, out-and-back/,
    /mean "out-and-back"/,
  ],
  [
    'one setup where a list belongs',
    'setups:\n',
    'laps: {run: 1}\nsetups:\n',
    /"laps" should be a list/,
    /run: 2, lap: 3/,
  ],
  [
    'a list where keys belong',
    '{massKg: 83.2, massStandardUncertaintyKg: 0.3}',
    '[83.2]',
    /"system" should hold keys/,
    /massKg/,
  ],
  ['minutes and seconds', '"00:21:10"', '"21:10"', /not a time from the start/, /"00:21:10"/],
  ['sixty-one seconds', '"00:21:10"', '"00:21:61"', /not a time from the start/, /1270/],
  ['a negative start', '"00:00:30"', '-30', /not a time from the start/, /seconds/],
  [
    'a recording outside the folder',
    'run-1.fit',
    '../run-1.fit',
    /beside the day sheet/,
    /Copy the recording/,
  ],
  [
    'a recording by its full path',
    'run-1.fit',
    '/home/a/run-1.fit',
    /beside the day sheet/,
    /Copy the recording/,
  ],
  [
    'a recording on a drive',
    'run-1.fit',
    '"C:run-1.fit"',
    /beside the day sheet/,
    /Copy the recording/,
  ],
  [
    'half a lap',
    'reference:',
    'laps: [{run: 1, lap: 1.5, use: false}]\nreference:',
    /whole number/,
    /whole number/,
  ],
  [
    'weather without a pressure',
    'pressureHPa: 1010, ',
    '',
    /"pressureHPa" is missing/,
    /on the spot/,
  ],
  [
    'a column in a foreign unit',
    'reference:',
    'csv: {columns: {speed_mps: {column: v, unit: kmh}}}\nreference:',
    /none of: m\/s, km\/h, mph/,
    /mean "km\/h"/,
  ],
  ['an id of signs', 'id: deep,', 'id: "de/ep",', /an id is a short name/, /deep-1/],
];
for (const [why, piece, by, message, remedy] of refusals) {
  test(`refused with its line: ${why}`, () => {
    const text = exampleWith(piece, by);
    const problem = problemsOf(text)[0];
    assert.match(problem.message, message);
    assert.match(problem.remedy ?? '', remedy);
    assert.equal(problem.code, 'sheet-field');
    const changed = text.split('\n').findIndex((line, i) => line !== exampleSheet.split('\n')[i]);
    assert.equal(problem.place?.line, changed + 1);
  });
}

test('a decimal comma inside braces makes a key of its own, and is understood', () => {
  const problems = problemsOf(
    exampleWith('massStandardUncertaintyKg: 0.3', 'massStandardUncertaintyKg: 0,3'),
  );
  assert.ok(problems.some(({ remedy }) => remedy?.includes('decimal point')));
});

test('text that is not YAML is refused in plain words at its line', () => {
  const cases: [text: string, line: number, message: RegExp][] = [
    ['title: A\n\tdate: 2026-05-17\n', 2, /tab/],
    ['title: A\ntitle: B\n', 2, /"title" is written twice/],
    ['title: "A\ndate: 2026-05-17\n', 3, /A sign is missing/],
    ['title: A: B\n', 1, /one line|one short word|A sign is missing/],
    ['title: A\n---\ntitle: B\n', 2, /second document/],
    ['title: !!js/function x\n', 1, /Tags/],
    ['title: *a\n', 1, /alias|cannot|may not/],
    ['runs: [{a: 1\n', 2, /bracket that was opened/],
  ];
  for (const [text, line, message] of cases) {
    const problem = problemsOf(text)[0];
    assert.equal(problem.code, 'sheet-syntax', text);
    assert.match(problem.message, message);
    assert.equal(problem.place?.line, line, text);
  }
});

test('an empty sheet and one of comments only are empty, not wrong in twenty places', () => {
  assert.equal(problemOf('').code, 'file-empty');
  assert.equal(problemOf('# to be written\n').code, 'file-empty');
  assert.match(problemOf('just words').message, /where keys with values belong/);
});

test('a sheet that cannot be read has no data for forms; one with wrong values has', () => {
  assert.equal(daySheetData('a: [1'), null);
  assert.deepEqual(daySheetData('title: 5\nsystem: {massKg: x}'), {
    title: 5,
    system: { massKg: 'x' },
  });
});
