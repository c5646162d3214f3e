import assert from 'node:assert/strict';
import { test } from 'node:test';
import { exampleWith, problemOf } from './example.ts';
import { readDaySheet } from '../../src/sheets/index.ts';

// Factors: NIST Special Publication 811 (2008), appendix B.8, from memory: 1 lb = 0.45359237 kg,
// 1 inHg = 3386.389 Pa, 1 psi = 6894.757 Pa; 1 bar = 1000 hPa by definition.
const slips: [why: string, piece: string, by: string, looksLike: RegExp, meant: RegExp][] = [
  ['mass in grams', 'massKg: 83.2', 'massKg: 83200', /looks like grams/, /83\.2 \(kg\)/],
  ['mass in pounds', 'massKg: 83.2', 'massKg: 300', /looks like pounds/, /136\.078 \(kg\)/],
  [
    'mass offset in grams',
    'massOffsetKg: 0.1',
    'massOffsetKg: -120',
    /looks like grams/,
    /-0\.12 \(kg\)/,
  ],
  [
    'mass uncertainty in grams',
    'massStandardUncertaintyKg: 0.3',
    'massStandardUncertaintyKg: 300',
    /grams/,
    /0\.3 \(kg\)/,
  ],
  ['pressure in bar', 'pressureHPa: 1010', 'pressureHPa: 1.01', /looks like bar/, /1010 \(hPa\)/],
  [
    'pressure in pascals',
    'pressureHPa: 1010',
    'pressureHPa: 101000',
    /looks like pascals/,
    /1010 \(hPa\)/,
  ],
  [
    'pressure in kilopascals',
    'pressureHPa: 1010',
    'pressureHPa: 101',
    /looks like kilopascals/,
    /1010 \(hPa\)/,
  ],
  [
    'pressure in inches of mercury',
    'pressureHPa: 1010',
    'pressureHPa: 29.92',
    /inches of mercury/,
    /1013\.21 \(hPa\)/,
  ],
  [
    'pressure in psi',
    'pressureHPa: 1010',
    'pressureHPa: 14.7',
    /pounds per square inch/,
    /1013\.53 \(hPa\)/,
  ],
  [
    'temperature in kelvin',
    'temperatureC: 15',
    'temperatureC: 288.15',
    /looks like kelvin/,
    /15 \(°C\)/,
  ],
  [
    'temperature in degrees Fahrenheit',
    'temperatureC: 15',
    'temperatureC: 59',
    /Fahrenheit/,
    /15 \(°C\)/,
  ],
  ['humidity as a fraction', 'Percent: 60', 'Percent: 0.6', /looks like a fraction/, /60 \(%\)/],
  [
    'rolling resistance in thousandths',
    'crr: 0.0045',
    'crr: 4.5',
    /looks like thousandths/,
    /0\.0045/,
  ],
  ['rolling resistance in per cent', 'crr: 0.0045', 'crr: 0.45', /looks like per cent/, /0\.0045/],
  [
    'its uncertainty in thousandths',
    'crrStandardUncertainty: 0.0004',
    'crrStandardUncertainty: 0.4',
    /thousandths/,
    /0\.0004/,
  ],
  [
    'efficiency in per cent',
    'Efficiency: 0.975',
    'Efficiency: 97.5',
    /looks like per cent/,
    /0\.975/,
  ],
  ['efficiency as a loss', 'Efficiency: 0.975', 'Efficiency: 0.025', /looks like a loss/, /0\.975/],
  [
    'power scale in per cent',
    'powerScaleStandardUncertainty: 0.01',
    'powerScaleStandardUncertainty: 1',
    /per cent/,
    /0\.01/,
  ],
  [
    'inertia in kg cm²',
    'wheelInertiaKgM2: 0.14',
    'wheelInertiaKgM2: 1400',
    /kg cm²/,
    /0\.14 \(kg m²\)/,
  ],
  ['inertia in g m²', 'wheelInertiaKgM2: 0.14', 'wheelInertiaKgM2: 140', /g m²/, /0\.14 \(kg m²\)/],
  [
    'reference speed in m/s',
    'speedKmh: 40',
    'speedKmh: 11.1',
    /metres per second/,
    /39\.96 \(km\/h\)/,
  ],
  [
    'air density in g/m³',
    'airDensityKgM3: 1.2',
    'airDensityKgM3: 1200',
    /grams per cubic metre/,
    /1\.2 \(kg\/m³\)/,
  ],
  [
    'lap length in kilometres',
    'kind: loop',
    'kind: loop, lapLengthM: 2.5',
    /kilometres/,
    /2500 \(m\)/,
  ],
  [
    'radius in millimetres',
    'massOffsetKg: 0.1',
    'wheelRadiusM: 336',
    /millimetres/,
    /0\.336 \(m\)/,
  ],
  [
    'a diameter for a radius',
    'massOffsetKg: 0.1',
    'wheelRadiusM: 0.672',
    /a diameter/,
    /0\.336 \(m\)/,
  ],
  [
    'a circumference for a radius',
    'massOffsetKg: 0.1',
    'wheelRadiusM: 2111',
    /circumference/,
    /0\.336 \(m\)/,
  ],
  [
    'gate in semicircles',
    'kind: loop',
    'kind: loop, gate: {latDeg: 536870912, lonDeg: 8}',
    /semicircles/,
    /45 \(°\)/,
  ],
];
for (const [why, piece, by, looksLike, meant] of slips) {
  test(`a slip of unit is named, with the value meant: ${why}`, () => {
    const problem = problemOf(exampleWith(piece, by));
    assert.equal(problem.code, 'sheet-unit');
    assert.match(problem.message, looksLike);
    assert.match(problem.remedy ?? '', meant);
    assert.ok((problem.place?.line ?? 0) > 1 && (problem.place?.column ?? 0) > 1);
  });
}

test('a value out of bounds that fits no other unit is refused with the bounds', () => {
  const problem = problemOf(exampleWith('massKg: 83.2', 'massKg: 8.32'));
  assert.equal(problem.code, 'sheet-field');
  assert.match(problem.message, /between 30 and 250 kg/);
});

test('unusual but right values are taken: a mountain, a track, a hub meter, a light rider', () => {
  const cases: [string, string][] = [
    ['pressureHPa: 1010', 'pressureHPa: 760'],
    ['kind: loop', 'kind: loop, lapLengthM: 250'],
    ['Efficiency: 0.975', 'Efficiency: 1'],
    ['massKg: 83.2', 'massKg: 45'],
    ['temperatureC: 15', 'temperatureC: -5'],
    ['massOffsetKg: 0.1', 'massOffsetKg: -0.85'],
    ['crr: 0.0045', 'crr: 0.0015'],
    ['speedKmh: 40', 'speedKmh: 55.1'],
  ];
  for (const [piece, by] of cases)
    assert.deepEqual(readDaySheet(exampleWith(piece, by), 'day.yaml').warnings, []);
});
