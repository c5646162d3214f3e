import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { editWheelSheet, readWheelSheet, wheelSheetData } from '../../src/sheets/index.ts';
import type { WheelSheetEdit } from '../../src/sheets/index.ts';
import { sectionFromOutline } from '../../src/core/structure/index.ts';

/** Columns lined up by hand, comments at odd places: as a person writes. */
const sheet = `# Bought in spring
name: Front   # shallow
rim:
  radiusM:     0.296   # to the centroid line
  materialEPa: 70e9
  materialGPa: 26e9
  areaM2:      130e-6
  iRadialM4:   4.0e-9
  iLateralM4:  6.0e-9
  torsionM4:   7.0e-9
hub:
  flangeRadiusM: { left: 0.019, right: 0.019 }
  flangeOffsetM: { left: 0.034, right: 0.034 }
spokes:
  left:  { count: 10, cross: 0, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850, meanTensionN: 900 }  # from the gauge
  right: { count: 10, cross: 0, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850 }
`;
const edited = (...edits: WheelSheetEdit[]): string => editWheelSheet(sheet, edits);
const read = (text: string) => readWheelSheet(text, 'w', sectionFromOutline).wheel;

test('a number is changed in its place and every other sign of the text stays', () => {
  const text = edited(
    { op: 'set', path: 'rim.radiusM', value: 0.29 },
    { op: 'set', path: 'spokes.left.meanTensionN', value: 1050 },
    { op: 'set', path: 'rim.iLateralM4', value: 8e-9 },
  );
  const expected = sheet
    .replace('0.296', '0.29')
    .replace('meanTensionN: 900', 'meanTensionN: 1050')
    .replace('6.0e-9', '8e-9');
  assert.equal(text, expected);
  assert.equal(read(text).rim.iLateralM4, 8e-9, 'the exponent is read as a number');
});

test('a value that was not there is added, one is taken out, and no comment is lost', () => {
  const text = edited(
    { op: 'set', path: 'rim.massKg', value: 0.45 },
    { op: 'set', path: 'discSide', value: 'left' },
    { op: 'set', path: 'hub.bearingStiffness.axialNPerM', value: 1e8 },
    { op: 'unset', path: 'spokes.left.meanTensionN' },
    { op: 'unset', path: 'rim.nippleOffsetM' },
    { op: 'set', path: 'name', value: 'Front: "deep" # 2' },
  );
  for (const comment of [
    '# Bought in spring',
    '# shallow',
    '# to the centroid',
    '# from the gauge',
  ])
    assert.ok(text.includes(comment), comment);
  const data = wheelSheetData(text) as Record<string, never>;
  assert.equal(data.name, 'Front: "deep" # 2');
  assert.equal(data.discSide, 'left');
  assert.equal((data.rim as Record<string, number>).massKg, 0.45);
  assert.deepEqual((data.hub as Record<string, unknown>).bearingStiffness, { axialNPerM: 1e8 });
  assert.ok(!text.includes('meanTensionN'));
});

test('a sheet in JSON stays JSON', () => {
  const json = JSON.stringify(wheelSheetData(sheet));
  const text = editWheelSheet(json, [{ op: 'set', path: 'spokes.right.count', value: 20 }]);
  assert.equal(
    (JSON.parse(text) as { spokes: { right: { count: number } } }).spokes.right.count,
    20,
  );
});

test('a place that a wheel sheet has not, a group, an alias and a broken text are refused in words', () => {
  const refused = (text: string, edit: unknown, message: RegExp): void => {
    assert.throws(
      () => editWheelSheet(text, [edit as WheelSheetEdit]),
      (error) => error instanceof LapbenchError && message.test(error.message),
    );
  };
  refused(sheet, { op: 'set', path: 'rim.colour', value: 1 }, /no place "rim.colour"/);
  refused(sheet, { op: 'set', path: 'rim.__proto__.x', value: 1 }, /no place/);
  refused(sheet, { op: 'set', path: 'rim', value: 1 }, /group of values/);
  refused(sheet, { op: 'set', path: 'rim.radiusM', value: NaN }, /cannot stand in a sheet/);
  refused(sheet.replace('70e9', '&e 70e9'), { op: 'unset', path: 'rim.massKg' }, /alias/);
  refused('name: [', { op: 'set', path: 'rim.radiusM', value: 0.3 }, /./);
  refused('just words', { op: 'set', path: 'rim.radiusM', value: 0.3 }, /no keys to edit/);
  assert.equal(wheelSheetData('name: ['), null);
});
