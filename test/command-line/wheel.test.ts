/** `lapbench wheel` and `lapbench schema wheel`. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { WheelFinding } from '../../src/application/index.ts';
import { folderFor, lapbench } from './terminal.ts';

/** Invented, in the published shape. */
const sheet = `name: Deep front, 2:1
rim: {radiusM: 0.290, materialEPa: 60e9, materialGPa: 6e9, areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9, nippleOffsetM: 0, massKg: 0.48}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
spokes:
  left:  {count: 16, cross: 2, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600, meanTensionN: 1100}
  right: {count: 8, cross: 0, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600}
`;

const shallow = sheet
  .replace('Deep front, 2:1', 'Shallow front')
  .replace('radiusM: 0.290', 'radiusM: 0.305')
  .replace('iRadialM4: 30e-9', 'iRadialM4: 12e-9');

test('the JSON has the published fields; the right side’s tension follows from balance', async (t) => {
  const said = await lapbench(
    folderFor(t, { 'wheel.yaml': sheet }),
    'wheel',
    'wheel.yaml',
    '--json',
  );
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as WheelFinding;
  assert.equal(finding.schema, 'lapbench/wheel@1');
  assert.equal(finding.spokes.length, 24);
  assert.deepEqual(finding.warnings, []);
  assert.deepEqual(
    finding.spokes.slice(0, 4).map(({ side }) => side),
    ['left', 'right', 'left', 'left'],
  );
  // n1·T1·sin a1 = n2·T2·sin a2, by hand from the geometry of the sheet.
  const [left, right] = finding.sides;
  const pull = (one: typeof left, offset: number) =>
    (one.count * one.meanTensionN * offset) / one.lengthM;
  assert.ok(Math.abs(pull(left, 0.026) / pull(right, 0.034) - 1) < 1e-9);
  for (const key of [
    'lateralAtSpokeNPerMm',
    'lateralMidwayNPerMm',
    'radialUntensionedNPerMm',
  ] as const)
    assert.ok(finding[key] > 0, key);
});

test('the table names roles and what braking does, with the cautions; no row twice', async (t) => {
  const said = await lapbench(folderFor(t, { 'wheel.yaml': sheet }), 'wheel', 'wheel.yaml');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /left +leading .* gains tension/);
  assert.match(said.out, /left +trailing .* loses tension/);
  assert.equal(said.out.split('\n').filter((line) => / radial .*unchanged/.test(line)).length, 1);
  assert.match(said.out, /maker’s maximum tension/);
  assert.match(said.out, /qualified wheel builder/);
});

test('--compare says what share each thing makes, --fit fits the rim and predicts the other', async (t) => {
  const folder = folderFor(t, { 'wheel.yaml': sheet, 'other.yaml': shallow });
  const said = await lapbench(
    folder,
    ...['wheel', 'wheel.yaml', '--compare', 'other.yaml', '--fit', '95'],
  );
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /Compared with Shallow front/);
  assert.match(said.out, /spoke length +left 276\.1, right 273\.1 mm → /);
  assert.match(said.out, /lacing.* 2-cross \(\d\.\d°\)/);
  assert.match(said.out, /Shallow front is predicted at \d+\.\d+ N\/mm/);
});

test('a load on the wheel shows every spoke, says which go slack, and --influence what a turn does', async (t) => {
  const folder = folderFor(t, { 'wheel.yaml': `${sheet}discSide: left\n` });
  const said = await lapbench(
    folder,
    ...[
      'wheel',
      'wheel.yaml',
      '--side',
      '-2500',
      '--inward',
      '700',
      '--brake',
      '60',
      '--at',
      '4.5',
    ],
    '--influence',
  );
  assert.equal(said.code, 0, said.err);
  assert.match(
    said.out,
    /Under 2500 N to the right, 700 N inwards, 60 N m of brake torque midway after spoke 4/,
  );
  assert.match(said.out, /Slack: spokes? \d/);
  assert.match(said.out, /Warnings\n.*spokes? \d.* goe?s? slack/);
  assert.match(said.out, /One turn of a nipple\n/);
  const json = await lapbench(
    folder,
    ...['wheel', 'wheel.yaml', '--brake', '-30', '--influence', '--json'],
  );
  const { underLoad, influence } = JSON.parse(json.out) as WheelFinding;
  assert.deepEqual(underLoad!.load, {
    sideN: 0,
    inwardN: 0,
    brakeNm: -30,
    atSpoke: 1,
    positionDeg: 0,
  });
  assert.equal(influence!.tensionPerTurnN.length, 24);
});

test('--fit-ci95 gives the prediction its interval', async (t) => {
  const folder = folderFor(t, { 'wheel.yaml': sheet, 'other.yaml': shallow });
  const said = await lapbench(
    folder,
    ...['wheel', 'wheel.yaml', '--compare', 'other.yaml', '--fit', '95', '--fit-ci95', '92,98.5'],
  );
  assert.match(said.out, /predicted at \d+\.\d+ N\/mm\s+\(95 %\s+\d+\.\d+\s+to\s+\d+\.\d+\)/);
});

const refused: [what: string, text: string, options: string[], reason: RegExp][] = [
  ['millimetres', sheet.replace('0.290', '290'), [], /wheel\.yaml, line 2.*looks like millimetres/],
  ['a side missing', sheet.replace(/^ {2}right.*\n/m, ''), [], /"right" is missing/],
  [
    'no tension',
    sheet.replace(', meanTensionN: 1100', ''),
    [],
    /wheel\.yaml: No spoke is under tension/,
  ],
  [
    'all radial under torque',
    `${sheet.replace('cross: 2', 'cross: 0')}discSide: left\n`,
    [],
    /All spokes are radial/,
  ],
  [
    'counts of no known order',
    sheet.replace('count: 8', 'count: 10'),
    [],
    /line \d.*no known order/,
  ],
  [
    'crosses through the hub',
    sheet.replace('count: 16, cross: 2', 'count: 16, cross: 6'),
    [],
    /line 5.*through the hub/,
  ],
  ['a fit out of reach', sheet, ['--fit', '5000'], /No rim stiffness gives 5000/],
  ['a fit that is no number', sheet, ['--fit', 'stiff'], /--fit is "stiff"/],
  ['an interval alone', sheet, ['--fit-ci95', '3,4'], /--fit-ci95 is an interval without/],
  [
    'an interval beside its number',
    sheet,
    ['--fit', '95', '--fit-ci95', '96,99'],
    /--fit-ci95 is "96,99"/,
  ],
  ['a place without a load', sheet, ['--at', '2'], /--at is the place of a load/],
  [
    'a load beyond all bounds',
    sheet,
    ['--side', '1e9'],
    /side load of 1000000000 N .* at most 20000 N/,
  ],
  [
    'torque beyond all bounds',
    sheet,
    ['--brake=-5000'],
    /-5000 N m .* at most 2000 N m either way/,
  ],
  ['a place that is none', sheet, ['--side', '9', '--at', '25'], /spoke 25, .* spokes 1 to 24/],
  [
    'torque on a wheel all radial',
    sheet.replace('cross: 2', 'cross: 0'),
    ['--brake', '9'],
    /All spokes are radial/,
  ],
  [
    'another sheet that is not there',
    sheet,
    ['--compare', 'no.yaml'],
    /no\.yaml: There is no such/,
  ],
];

for (const [what, text, options, reason] of refused) {
  test(`refused with its reason: ${what}`, async (t) => {
    const folder = folderFor(t, { 'wheel.yaml': text });
    const said = await lapbench(folder, 'wheel', 'wheel.yaml', '--json', ...options);
    assert.equal(said.code, 2, said.out);
    assert.equal(said.out, '');
    assert.match(said.err, reason);
  });
}

test('lapbench schema wheel prints the schema; another kind is refused', async (t) => {
  const said = await lapbench(folderFor(t), 'schema', 'wheel');
  assert.equal((JSON.parse(said.out) as { title: string }).title, 'Lapbench wheel sheet');
  const other = await lapbench(folderFor(t), 'schema', 'frame');
  assert.equal(other.code, 2);
  assert.match(other.err, /The kinds are: day, wheel,/);
});
