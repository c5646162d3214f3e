/** `lapbench stiffness`: the table for people, the JSON, and what is refused. */
import assert from 'node:assert/strict';
import test, { type TestContext } from 'node:test';
import type { StiffnessFinding } from '../../src/application/index.ts';
import { madeReadings } from '../core/methods/stiffness/made-bench.ts';
import { near } from '../near.ts';
import { folderFor, lapbench } from './terminal.ts';

const header = 'remount,position_deg,direction,load_n,deflection_mm';

const table = (changes: Parameters<typeof madeReadings>[0] = {}): string =>
  [
    header,
    ...madeReadings(changes).map((one) =>
      [one.remount, one.positionDeg ?? '', one.direction, one.loadN, one.deflectionMm].join(','),
    ),
  ].join('\n');

const run = (t: TestContext, text: string | Uint8Array, ...options: string[]) =>
  lapbench(folderFor(t, { 'readings.csv': text }), 'stiffness', 'readings.csv', ...options);

test('the JSON has the fields of the published shape, and the wheel’s stiffness', async (t) => {
  const said = await run(t, table(), '--preload', '30', '--load', '196.1', '--json');
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as StiffnessFinding;
  assert.equal(finding.schema, 'lapbench/stiffness@1');
  assert.ok(finding.ci95[0] < 74 && 74 < finding.ci95[1]);
  assert.ok(finding.slopCi95![0] < 0.11 && 0.11 < finding.slopCi95![1]);
  near(finding.hysteresisPercent!, 0, { abs: 1, why: 'noise of the dial' });
  assert.equal(finding.readings, 80);
  assert.deepEqual(finding.warnings, []);
  assert.equal(finding.inputs[0].file, 'readings.csv');
});

test('the table shows value and interval to the same place, and the caution', async (t) => {
  const said = await run(t, table());
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /stiffness +7\d\.\d +7\d\.\d to 7\d\.\d +N\/mm/);
  assert.match(said.out, /slop +0\.\d{3} +0\.\d{3} to 0\.\d{3} +mm/);
  assert.match(said.out, /5 mountings, 80 readings, 4 degrees of freedom/);
  assert.match(said.out, /qualified wheel builder/);
});

test('semicolons and decimal commas, comments, blank lines, an extra column and another order', async (t) => {
  const rows = table()
    .split('\n')
    .slice(1)
    .map((row) => {
      const [remount, position, direction, load, deflection] = row.split(',');
      const comma = (text: string): string => text.replace('.', ',');
      return [comma(deflection), comma(load), direction, 'fine', remount, position].join(';');
    });
  const text = `# invented\ndeflection_mm;Load_N;direction;remark;remount;position_deg\n\n${rows.join('\r\n')}\r\n`;
  const said = await run(t, text, '--json');
  assert.equal(said.code, 0, said.err);
  const plain = await run(t, table(), '--json');
  const stiffness = (out: string) => (JSON.parse(out) as StiffnessFinding).lateralNPerMm;
  assert.equal(stiffness(said.out), stiffness(plain.out));
});

const edited = (edit: (cells: string[], row: number) => string[]): string =>
  table()
    .split('\n')
    .map((row, i) => (i === 0 ? row : edit(row.split(','), i).join(',')))
    .join('\n');

const refused: [what: string, text: string | Uint8Array, options: string[], reason: RegExp][] = [
  ['an empty file', '', [], /readings\.csv: The file is empty/],
  ['a header alone', `${header}\n`, [], /header and no bench readings/],
  ['a binary file', new Uint8Array([0x89, 0x50, 0x4e, 0x47]), [], /not UTF-8 text/],
  ['no load column', table().replace('load_n', 'weight'), [], /line 1: There is no column load_n/],
  [
    'a word for a number',
    edited((cells, row) => (row === 7 ? [...cells.slice(0, 4), 'two'] : cells)),
    [],
    /readings\.csv, line 8: "deflection_mm" is "two"/,
  ],
  [
    'an empty deflection',
    edited((cells, row) => (row === 3 ? [...cells.slice(0, 4), ''] : cells)),
    [],
    /line 4: "deflection_mm" is empty/,
  ],
  [
    'a direction that is none',
    edited((cells, row) =>
      row === 2 ? [cells[0], cells[1], 'sideways', cells[3], cells[4]] : cells,
    ),
    [],
    /line 3: "direction" is "sideways"/,
  ],
  [
    'swapped columns',
    edited(([remount, position, direction, load, deflection]) => [
      remount,
      position,
      direction,
      deflection,
      load,
    ]),
    [],
    /columns load_n and deflection_mm look swapped/,
  ],
  [
    'kilograms entered as newtons',
    edited(([remount, position, direction, load, deflection]) => [
      remount,
      position,
      direction,
      (Number(load) / 9.80665).toFixed(2),
      deflection,
    ]),
    [],
    /look like kilograms\. .*--load-unit kg/,
  ],
  [
    '20 kg asked for as 20 N',
    table(),
    ['--preload', '3', '--load', '20'],
    /196\.1 N.*--load 196\.1/,
  ],
  [
    'load without deflection',
    edited((cells) => [...cells.slice(0, 4), '0.4']),
    [],
    /load changes by 226\.1 N and the dial stays at 0\.4 mm/,
  ],
  [
    'the dial reset in the middle of the only mounting',
    edited((cells, row) => [
      ...cells.slice(0, 4),
      String(row > 5 ? Number(cells[4]) - 1.8 : cells[4]),
    ])
      .split('\n')
      .slice(0, 17)
      .join('\n'),
    [],
    /line 7: Remount 1 at 0°: the dial .* reset/,
  ],
  ['a load that is no number', table(), ['--load', 'much'], /--load is "much"/],
  ['a unit that is none', table(), ['--load-unit', 'lb'], /--load-unit is "lb"/],
];

for (const [what, text, options, reason] of refused) {
  test(`refused with its reason: ${what}`, async (t) => {
    const said = await run(t, text, ...options, '--json');
    assert.equal(said.code, 2, said.out);
    assert.equal(said.out, '');
    assert.match(said.err, reason);
  });
}

test('kilograms confirmed by --load-unit kg give the same stiffness', async (t) => {
  const kilograms = edited(([remount, position, direction, load, deflection]) => [
    remount,
    position,
    direction,
    (Number(load) / 9.80665).toFixed(4),
    deflection,
  ]);
  const said = await run(t, kilograms, '--load-unit', 'kg', '--json');
  assert.equal(said.code, 0, said.err);
  const { ci95 } = JSON.parse(said.out) as StiffnessFinding;
  assert.ok(ci95[0] < 74 && 74 < ci95[1]);
});

test('a file that is not there', async (t) => {
  const said = await lapbench(folderFor(t), 'stiffness', 'nowhere.csv');
  assert.equal(said.code, 2);
  assert.match(said.err, /nowhere\.csv: There is no such file/);
});

test('UTF-16 with its mark is read; without it, and bytes that are no text, are refused', async (t) => {
  const utf16 = Buffer.from(`\uFEFF${table()}`, 'utf16le');
  const said = await run(t, utf16, '--json');
  assert.equal(said.code, 0, said.err);
  assert.equal((JSON.parse(said.out) as StiffnessFinding).readings, 80);
  const turned = await run(t, Buffer.from(utf16).swap16());
  assert.equal(turned.code, 0, turned.err);
  for (const bytes of [utf16.subarray(2), Buffer.alloc(500)]) {
    const refused = await run(t, bytes);
    assert.deepEqual([refused.code, refused.out], [2, '']);
    assert.match(refused.err, /readings\.csv: The file is not UTF-8 text/);
  }
});
