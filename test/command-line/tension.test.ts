/** `lapbench tension`: the table for people and the JSON. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { reduceTension, type TensionFinding } from '../../src/application/index.ts';
import { near } from '../near.ts';
import { pitchAt, run, table, tensionAt } from './tension-tables.ts';

test('the JSON: sides, ratio and a plan that keeps below the maximum', async (t) => {
  const said = await run(
    t,
    { 'spokes.csv': table() },
    ...['--wheel', 'wheel.yaml', '--maximum', '1420', '--lateral', '1', '--json'],
  );
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as TensionFinding;
  assert.equal(finding.schema, 'lapbench/tension@1');
  assert.equal(finding.readings, 64);
  assert.deepEqual(finding.warnings, []);
  near(finding.sides[0].meanN, 600 - 150 / 16, { rel: 0.005, why: 'second readings 0.4 % higher' });
  assert.deepEqual(
    finding.sides.flatMap(({ outsideTolerance }) => outsideTolerance),
    [21, 10],
  );
  // T1 sin a1 = T2 sin a2 with offsets 35 and 19 mm: .5459 for radial spokes (reference table).
  near(finding.ratio!.demanded!, 0.546, { abs: 0.002, why: 'crossed twice here' });
  assert.ok(finding.balance?.reached);
  assert.ok(finding.balance.highestOnTheWayN <= 1420);
  assert.ok(
    finding.balance.turns.some(({ spoke, quarterTurns }) => spoke === 10 && quarterTurns < 0),
  );
  assert.deepEqual(
    finding.inputs.map(({ file }) => file),
    ['spokes.csv', 'wheel.yaml'],
  );
});

test('the table names worst spokes, turns in words, limits and the cautions', async (t) => {
  const said = await run(
    t,
    { 'spokes.csv': table() },
    ...['--wheel', 'wheel.yaml', '--lateral', '1'],
  );
  assert.equal(said.code, 0, said.err);
  assert.match(
    said.out,
    /2 of 32 spokes not within 20 % of their side’s mean: .* bring all inside/,
  );
  assert.match(said.out, /right +16 .* spoke 10, \+2\d %/);
  assert.match(said.out, /Left to right 0\.5\d+ .*geometry of hub and rim demands 0\.54/);
  assert.match(said.out, /1 +\d+ +(left|right) +(tighten|loosen) [¼½¾1]/);
  assert.match(said.out, /maker’s maximum tension/);
  assert.match(said.out, /qualified wheel builder/);
});

test('without a sheet: sides and ratio, and why nothing is planned', async (t) => {
  const said = await run(t, { 'spokes.csv': table() });
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /what the geometry demands is known with a wheel sheet/);
  assert.match(said.out, /Without a wheel sheet it is not known/);
});

test('--unit kgf and lbf give the same newtons', async (t) => {
  const kgf = await run(
    t,
    { 'spokes.csv': table((spoke) => tensionAt(spoke) / 9.80665) },
    ...['--unit', 'kgf', '--json'],
  );
  const lbf = await run(
    t,
    { 'spokes.csv': table((spoke) => tensionAt(spoke) / 4.4482216152605) },
    ...['--unit', 'lbf', '--json'],
  );
  for (const said of [kgf, lbf]) {
    assert.equal(said.code, 0, said.err);
    const { sides } = JSON.parse(said.out) as TensionFinding;
    near(sides[1].meanN, 1118.75 * 1.002, { rel: 1e-4, why: 'three decimals in the table' });
  }
});

test('a gauge through its table', async (t) => {
  const said = await run(
    t,
    { 'spokes.csv': table((spoke) => (spoke % 2 ? 19 : 23)) },
    ...['--as', 'gauge', '--calibration', 'gauge.csv', '--json'],
  );
  assert.equal(said.code, 0, said.err);
  const { sides, gauge: ranges } = JSON.parse(said.out) as TensionFinding;
  near(sides[1].meanN, 920, { rel: 0.01, why: 'readings 0 and 0.4 % above a point' });
  assert.deepEqual(ranges![1].tensionN, [310, 1530]);
});

test('pitch: which condition was used, and the plain string beside it', async (t) => {
  const files = { 'spokes.csv': table(pitchAt) };
  const plain = await run(t, files, '--as', 'pitch', '--wheel', 'wheel.yaml');
  assert.equal(plain.code, 0, plain.err);
  assert.match(plain.out, /Ends taken as clamped, not calibrated/);
  assert.match(plain.out, /plain string \d+ N/);
  const known = await run(
    t,
    files,
    ...['--as', 'pitch', '--wheel', 'wheel.yaml', '--known', '2:1150:10', '--json'],
  );
  assert.equal(known.code, 0, known.err);
  const finding = JSON.parse(known.out) as TensionFinding;
  assert.equal(finding.pitch!.condition, 'calibrated');
  near(finding.spokes[1].tensionN, 1150, { rel: 1e-4, why: 'its own pitch, its own tension' });
  assert.ok(finding.pitch!.endFixity! > 0 && finding.pitch!.endFixity! < 1);
});

test('a spoke that is missing is named, and there is no plan', async (t) => {
  const text = table()
    .split('\n')
    .filter((row) => !row.startsWith('17,'))
    .join('\n');
  const said = await run(t, { 'spokes.csv': text }, '--wheel', 'wheel.yaml');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /spokes\.csv: Spoke 17 was not read: 31 of the wheel’s 32 were/);
  assert.match(said.out, /A plan of turns needs the tension of every spoke/);
  const alone = await run(t, { 'spokes.csv': text });
  assert.match(alone.out, /Spoke 17 was not read/);
});

test('readings confirmed as newtons by --unit N are taken as they are', async (t) => {
  const said = await run(
    t,
    { 'spokes.csv': table((spoke) => tensionAt(spoke) / 4) },
    ...['--unit', 'N', '--json'],
  );
  assert.equal(said.code, 0, said.err);
});

test('a form that still holds a known spoke and a table from before reads tensions all the same', () => {
  const finding = reduceTension(
    { text: table(), file: 'spokes.csv' },
    {
      as: 'tension',
      known: { spoke: 99, tensionN: 5 },
      calibration: { text: 'not a table', file: 'gauge.csv' },
    },
  );
  assert.equal(finding.spokes.length, 32);
});

test('a spoke that reads nothing is named as slack or broken, not only as far off the mean', async (t) => {
  const text = table((spoke) => (spoke === 7 ? 0 : tensionAt(spoke)));
  const said = await run(t, { 'spokes.csv': text }, '--wheel', 'wheel.yaml', '--json');
  assert.equal(said.code, 0, said.err);
  const { warnings } = JSON.parse(said.out) as TensionFinding;
  const slack = warnings.find(({ code }) => code === 'spokes-slack');
  assert.match(slack?.message ?? '', /^Spoke 7 has no tension: slack or broken/);
  assert.match(slack?.remedy ?? '', /Do not ride/);
});
