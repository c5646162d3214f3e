import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { sectionFromOutline } from '../../src/core/structure/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { readWheelSheet, wheelJsonSchema, wheelJsonSchemaText } from '../../src/sheets/index.ts';
import { near } from '../near.ts';

/** The sheet of the published shape: an invented wheel. */
export const example = `name: Deep front, 2:1
invented: true
rim: {radiusM: 0.290, materialEPa: 60e9, materialGPa: 6e9, areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9, nippleOffsetM: 0, massKg: 0.48}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
spokes:
  left:  {count: 16, cross: 2, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600, meanTensionN: 1100}
  right: {count: 8, cross: 0, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600} # tension from equilibrium
`;

const read = (text: string) => readWheelSheet(text, 'wheel.yaml', sectionFromOutline);

function problemsOf(text: string) {
  try {
    read(text);
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    return error.problems;
  }
  assert.fail('the sheet was taken');
}

test('a wheel sheet is read into SI, what is left out filled in', () => {
  const { wheel, invented } = read(example);
  assert.equal(wheel.name, 'Deep front, 2:1');
  assert.equal(invented, true);
  assert.equal(wheel.rim.materialEPa, 60e9);
  assert.equal(wheel.rim.shearCentreOffsetM, 0);
  assert.equal(wheel.spokes.left.meanTensionN, 1100);
  assert.equal(wheel.spokes.right.meanTensionN, null);
  assert.equal(wheel.discSide, null);
  assert.equal(wheel.hub.bearingStiffness, null);
});

test('the same sheet as JSON gives the same wheel', () => {
  const { wheel, invented } = read(example);
  const side = (one: typeof wheel.spokes.left) => ({
    ...one,
    ...(one.meanTensionN === null ? { meanTensionN: undefined } : {}),
  });
  const json = JSON.stringify({
    name: wheel.name,
    invented,
    rim: wheel.rim,
    hub: { flangeRadiusM: wheel.hub.flangeRadiusM, flangeOffsetM: wheel.hub.flangeOffsetM },
    spokes: { left: side(wheel.spokes.left), right: side(wheel.spokes.right) },
  });
  assert.deepEqual(read(json).wheel, wheel);
});

test('a rim given as outline and wall: thin round tube, A = 2πrt, I = πr³t, J = 2πr³t', () => {
  // Handbook thin-walled circle (Roark table A.1 case 16, from memory): exact in the limit of many points.
  const [r, t, n] = [0.01, 0.0005, 360];
  const points = Array.from({ length: n }, (_, i) => {
    const a = (2 * Math.PI * i) / n;
    return `[${(r * Math.cos(a)).toFixed(9)}, ${(r * Math.sin(a)).toFixed(9)}]`;
  });
  const outlined = example.replace(
    'areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9',
    `section: {outlineM: [${points.join(', ')}], wallThicknessM: ${t}}`,
  );
  const { rim } = read(outlined).wheel;
  near(rim.areaM2, 2 * Math.PI * r * t, { rel: 1e-3, why: '360 chords for a circle' });
  near(rim.iRadialM4, Math.PI * r ** 3 * t, { rel: 1e-3, why: '360 chords; thin wall' });
  near(rim.iLateralM4, Math.PI * r ** 3 * t, { rel: 1e-3, why: '360 chords; thin wall' });
  near(rim.torsionM4, 2 * Math.PI * r ** 3 * t, { rel: 1e-3, why: '360 chords; Bredt' });
});

test('round and bladed spokes may be given by their measures', () => {
  const round = read(
    example.replace(
      'areaM2: 4.5e-6, densityKgM3: 1600, meanT',
      'diameterM: 0.002, densityKgM3: 1600, meanT',
    ),
  );
  near(round.wheel.spokes.left.areaM2, Math.PI * 1e-6, { rel: 1e-12, why: 'π/4·d²' });
  const flat = read(
    example.replace(
      'areaM2: 4.5e-6, densityKgM3: 1600, meanT',
      'widthM: 0.0022, thicknessM: 0.0009, densityKgM3: 1600, meanT',
    ),
  );
  near(flat.wheel.spokes.left.areaM2, 1.98e-6, { rel: 1e-12, why: 'width × thickness' });
  assert.equal(flat.wheel.spokes.left.widthM, 0.0022);
});

const slips: [what: string, from: string, to: string, line: number, remedy: RegExp][] = [
  ['millimetres for the radius', 'radiusM: 0.290', 'radiusM: 290', 3, /Write 0\.29 \(m\)/],
  ['a diameter in millimetres', 'radiusM: 0.290', 'radiusM: 580', 3, /Write 0\.29 \(m\)/],
  ['gigapascals', 'materialEPa: 60e9', 'materialEPa: 60', 3, /Write 60000000000 \(Pa\)/],
  ['mm²', 'areaM2: 180e-6', 'areaM2: 180', 3, /Write 0\.00018 \(m²\)/],
  ['mm⁴', 'iLateralM4: 8e-9', 'iLateralM4: 8000', 3, /Write 8e-9 \(m⁴\)/],
  ['cm⁴', 'iRadialM4: 30e-9', 'iRadialM4: 3', 3, /Write 3e-8 \(m⁴\)/],
  ['grams', 'massKg: 0.48', 'massKg: 480', 3, /Write 0\.48 \(kg\)/],
  ['millimetres at the hub', 'right: 0.034', 'right: 34', 4, /Write 0\.034 \(m\)/],
  [
    'mm² of a spoke',
    'areaM2: 4.5e-6, densityKgM3: 1600, mean',
    'areaM2: 4.5, densityKgM3: 1600, mean',
    6,
    /Write 0\.0000045/,
  ],
  ['g/cm³', 'densityKgM3: 1600}', 'densityKgM3: 1.6}', 7, /Write 1600/],
  ['kilonewtons', 'meanTensionN: 1100', 'meanTensionN: 1.1', 6, /Write 1100 \(N\)/],
];

for (const [what, from, to, line, remedy] of slips) {
  test(`a slip of unit is told with its line: ${what}`, () => {
    assert.ok(example.includes(from));
    const [problem, ...more] = problemsOf(example.replace(from, to));
    assert.deepEqual(more, []);
    assert.equal(problem.code, 'sheet-unit');
    assert.equal(problem.place?.line, line);
    assert.match(problem.remedy ?? '', remedy);
  });
}

const wrong: [what: string, from: RegExp | string, to: string, line: number, message: RegExp][] = [
  ['a key misspelt', 'nippleOffsetM', 'nippelOffsetM', 3, /no key "nippelOffsetM"/],
  ['a side missing', /^ {2}right: .*\n/m, '', 6, /"right" is missing/],
  ['half a spoke', 'count: 16', 'count: 16.5', 6, /whole number/],
  ['no rim section', 'torsionM4: 12e-9, ', '', 3, /lacks torsionM4/],
  [
    'section and numbers',
    'nippleOffsetM: 0,',
    'section: {outlineM: [[0, 0], [0.02, 0], [0, 0.02]], wallThicknessM: 0.001},',
    3,
    /both a section and/,
  ],
  ['text for a number', 'count: 8', 'count: eight', 7, /should be a number/],
  [
    'no spoke section',
    'areaM2: 4.5e-6, densityKgM3: 1600}',
    'densityKgM3: 1600}',
    7,
    /no cross-section/,
  ],
  [
    'half a blade',
    'areaM2: 4.5e-6, densityKgM3: 1600}',
    'widthM: 0.002, densityKgM3: 1600}',
    7,
    /width and its thickness/,
  ],
  ['a disc side that is none', /$/, 'discSide: drive\n', 8, /none of: left, right/],
  ['YAML that is none', 'rim: {', 'rim: {{', 4, /./],
];

for (const [what, from, to, line, message] of wrong) {
  test(`a mistake is told with its line: ${what}`, () => {
    const [problem] = problemsOf(example.replace(from, to));
    assert.equal(problem.place?.line, line);
    assert.match(problem.message, message);
    assert.ok(problem.remedy);
  });
}

test('an outline that crosses itself is told with the line of the section', () => {
  const bow = example.replace(
    'areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9',
    'section: {outlineM: [[0, 0], [0.02, 0.02], [0.02, 0], [0, 0.02]], wallThicknessM: 0.001}',
  );
  const [problem] = problemsOf(bow);
  assert.equal(problem.code, 'wheel-geometry');
  assert.equal(problem.place?.line, 3);
});

test('a straight-pull hub’s turn is read in degrees; more than half a turn is refused with its line', () => {
  const turned = example.replace('cross: 2', 'cross: 2, hubTurnDeg: 81');
  near(read(turned).wheel.spokes.left.hubTurnRad!, 1.4137167, {
    abs: 5e-8,
    why: '81 π / 180 by hand',
  });
  assert.equal(read(turned).wheel.spokes.right.hubTurnRad, undefined);
  const [problem] = problemsOf(turned.replace('81', '810'));
  assert.equal(problem.place?.line, 6);
});

test('all mistakes are told at once, in the order of the lines', () => {
  const problems = problemsOf(
    example
      .replace('radiusM: 0.290', 'radiusM: 290')
      .replace('count: 8', 'count: 1')
      .replace('right: 0.019', 'right: 19'),
  );
  assert.deepEqual(
    problems.map(({ place }) => place?.line),
    [3, 4, 7],
  );
});

test('hostile and empty texts are refused within bounds', () => {
  for (const text of [
    '',
    '# only a remark\n',
    '[1, 2]',
    `name: ${'x'.repeat(300_000)}`,
    '['.repeat(5000),
  ]) {
    assert.ok(problemsOf(text).length > 0);
  }
});

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/wheel.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), wheelJsonSchemaText());
});

interface Node {
  description?: string;
  default?: unknown;
  properties?: Record<string, Node>;
  required?: string[];
  items?: Node;
  additionalProperties?: boolean;
  type?: string;
}

test('the JSON Schema knows no other keys than its own, and every key is described', () => {
  const schema = wheelJsonSchema() as Node;
  assert.deepEqual(schema.required, ['name', 'rim', 'hub', 'spokes']);
  const visit = (node: Node, at: string): void => {
    assert.ok(node.description, `${at} has no description`);
    if (node.type === 'object') assert.equal(node.additionalProperties, false, at);
    if (typeof node.default === 'number')
      assert.match(node.description, new RegExp(`Default ${node.default}\\b`), at);
    for (const [key, child] of Object.entries(node.properties ?? {})) visit(child, `${at}.${key}`);
    if (node.items) visit(node.items, `${at}[]`);
  };
  visit(schema, 'wheel');
});
