import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { readTyresSheet, tyresJsonSchema, tyresJsonSchemaText } from '../../src/sheets/index.ts';
import { near } from '../near.ts';

/** Invented. */
const example = `title: Rough lanes
invented: true
system: {massKg: 100, frontShare: 0.42}
surface: rough
front:
  tyre: {designation: 28-622, measuredWidthMm: 28.4, maximumPsi: 90}
  rim: {innerWidthMm: 19, outerWidthMm: 26.5, bead: hooked, maximumBar: 8}
  pressurePsi: 70
rear:
  tyre: {designation: 32-622, maximumBar: 6, minimumBar: 3}
  rim: {innerWidthMm: 21, bead: hookless}
`;

const read = (text: string) => readTyresSheet(text, 'tyres.yaml');

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

test('a tyres sheet is read into pascals and metres, what is left out filled in', () => {
  const { setup, placeOf } = read(example);
  const { front, rear } = setup;
  // NIST SP 811, appendix B.8, from memory: 1 psi = 6894.757 Pa.
  near(front.tyreMaximumPa, 90 * 6894.757, { rel: 1e-7, why: 'factor as printed' });
  near(front.pressurePa!, 70 * 6894.757, { rel: 1e-7, why: 'factor as printed' });
  assert.equal(front.rimMaximumPa, 8e5);
  assert.deepEqual([front.designatedWidthM, front.beadSeatDiameterM], [0.028, 0.622]);
  assert.equal(front.hookless, false);
  assert.deepEqual(
    [rear.hookless, rear.measuredWidthM, rear.rimMaximumPa, rear.pressurePa, rear.tyreMinimumPa],
    [true, null, null, null, 3e5],
  );
  assert.deepEqual([setup.aim, setup.frontShareStandardUncertainty], ['balance', 0.02]);
  assert.equal(placeOf('rear.rim.innerWidthMm').line, 11);
});

test('the same sheet as JSON gives the same setup', () => {
  const json = JSON.stringify({
    title: 'Rough lanes',
    invented: true,
    system: { massKg: 100, frontShare: 0.42 },
    surface: 'rough',
    front: {
      tyre: { designation: '28-622', measuredWidthMm: 28.4, maximumPsi: 90 },
      rim: { innerWidthMm: 19, outerWidthMm: 26.5, bead: 'hooked', maximumBar: 8 },
      pressurePsi: 70,
    },
    rear: {
      tyre: { designation: '32-622', maximumBar: 6, minimumBar: 3 },
      rim: { innerWidthMm: 21, bead: 'hookless' },
    },
  });
  assert.deepEqual(read(json).setup, read(example).setup);
});

const slips: [
  name: string,
  from: string,
  to: string,
  line: number,
  message: RegExp,
  remedy: RegExp,
][] = [
  [
    'psi given as bar',
    'maximumBar: 6',
    'maximumBar: 87',
    10,
    /87.*looks like psi/,
    /Write 6 \(bar\)/,
  ],
  [
    'bar given as psi',
    'pressurePsi: 70',
    'pressurePsi: 4.8',
    8,
    /4\.8.*looks like bar/,
    /69\.6 \(psi\)/,
  ],
  ['kilopascals as bar', 'maximumBar: 8', 'maximumBar: 800', 7, /kilopascals/, /Write 8 \(bar\)/],
  ['negative mass', 'massKg: 100', 'massKg: -100', 3, /-100.*between 30 and 250 kg/, /Check/],
  ['mass in pounds', 'massKg: 100', 'massKg: 300', 3, /looks like pounds/, /136 \(kg\)/],
  ['share in percent', 'frontShare: 0.42', 'frontShare: 42', 3, /looks like per cent/, /0\.42/],
  [
    'an absurd width',
    'measuredWidthMm: 28.4',
    'measuredWidthMm: 284',
    6,
    /between 15 and 130 mm/,
    /Check/,
  ],
  [
    'a width in metres',
    'innerWidthMm: 19',
    'innerWidthMm: 0.019',
    7,
    /looks like metres/,
    /19 \(mm\)/,
  ],
  [
    'a rim in centimetres',
    'innerWidthMm: 19',
    'innerWidthMm: 1.9',
    7,
    /looks like centimetres/,
    /19 \(mm\)/,
  ],
  [
    'a negative pressure',
    'maximumBar: 8',
    'maximumBar: -8',
    7,
    /-8.*between 0\.5 and 14 bar/,
    /Check/,
  ],
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

test('what no single field shows: no maximum, one said twice, widths and minima that contradict', () => {
  const said = (from: string | RegExp, to: string) =>
    problemsOf(from, to)
      .map(({ message }) => message)
      .join('\n');
  assert.match(said('maximumPsi: 90', ''), /front tyre’s maximum pressure is missing/);
  assert.match(
    said('maximumPsi: 90', 'maximumPsi: 90, maximumBar: 6.2'),
    /say the same thing twice/,
  );
  assert.match(said('minimumBar: 3', 'minimumBar: 7'), /minimum pressure is above its maximum/);
  assert.match(
    said('outerWidthMm: 26.5', 'outerWidthMm: 18'),
    /18 mm wide outside and 19 mm inside/,
  );
  assert.match(
    said('measuredWidthMm: 28.4', 'measuredWidthMm: 40'),
    /no tyre is so far from its name/,
  );
});

test('an inch or French name is no designation: the ETRTO one is asked for', () => {
  for (const name of ['700x28C', '622-28', '28-999', '280-622']) {
    const [problem] = problemsOf('designation: 28-622', `designation: ${name}`);
    assert.match(`${problem.message} ${problem.remedy ?? ''}`, /28-622/, name);
  }
});

test('a word that is near, a key that is none, a whole group that is missing', () => {
  assert.match(problemsOf('surface: rough', 'surface: rouhg')[0].remedy ?? '', /"rough"/);
  assert.match(problemsOf('bead: hookless', 'bead: hooklss')[0].remedy ?? '', /"hookless"/);
  assert.match(problemsOf('innerWidthMm: 21', 'innerWidthM: 21')[0].message, /innerWidth/);
  assert.match(problemsOf(/rear:[^]*$/, '')[0].message, /"rear" is missing/);
});

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/tyres.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), tyresJsonSchemaText());
});

interface Node {
  description?: string;
  default?: unknown;
  properties?: Record<string, Node>;
  additionalProperties?: boolean;
  type?: string;
}

function* nodes(node: Node, at = ''): Generator<[string, Node]> {
  yield [at, node];
  for (const [key, child] of Object.entries(node.properties ?? {}))
    yield* nodes(child, `${at}.${key}`);
}

test('every key is described, knows no others than its own, and a default number says where it comes from', () => {
  for (const [at, node] of nodes(tyresJsonSchema() as Node)) {
    assert.ok(node.description, `${at} has no description`);
    if (node.type === 'object') assert.equal(node.additionalProperties, false, at);
    if (typeof node.default === 'number')
      assert.match(node.description, /common practice, no source/, at);
  }
});
