/** Tables of spokes and of a gauge's calibration. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { readCalibration, readSpokes } from '../../src/recordings/index.ts';

const problemsOf = (read: () => unknown) => {
  try {
    read();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  return assert.fail('nothing was refused');
};

test('spokes in any order, twice, with short sides, semicolons and decimal commas', () => {
  const text =
    '# invented\nreading;Side;spoke;remark\n612,5;L;1;fine\n1043;right;2;\n608;left;1;\n';
  assert.deepEqual(readSpokes(text, 's.csv'), [
    { spoke: 1, side: 'left', reading: 612.5, line: 3 },
    { spoke: 2, side: 'right', reading: 1043, line: 4 },
    { spoke: 1, side: 'left', reading: 608, line: 5 },
  ]);
});

const header = 'spoke,side,reading\n';
const refused: [what: string, text: string, code: string, line: number | null, reason: RegExp][] = [
  ['an empty file', '', 'file-empty', null, /empty/],
  [
    'an unknown column in the place of the reading',
    'spoke,side,kilos\n1,left,60\n',
    'column-missing',
    1,
    /no column reading; the header has "spoke", "side", "kilos"/,
  ],
  ['a word for a reading', `${header}1,left,tight\n`, 'value-invalid', 2, /"reading" is "tight"/],
  ['a side that is none', `${header}1,drive,600\n`, 'value-invalid', 2, /"side" is "drive"/],
  ['half a spoke', `${header}1.5,left,600\n2,right,900\n`, 'value-invalid', 2, /"spoke" is 1.5/],
  ['spoke 0', `${header}0,left,600\n2,right,900\n`, 'value-invalid', 2, /"spoke" is 0/],
  ['a reading below zero', `${header}1,left,-600\n`, 'value-invalid', 2, /"reading" is -600/],
  [
    'a spoke on both sides',
    `${header}1,left,600\n2,right,900\n1,right,610\n`,
    'value-invalid',
    4,
    /Spoke 1 is on the right here and on the left in line 2/,
  ],
  [
    'spoke and reading under each other’s names',
    `${header}612,left,1\n1043,right,2\n608,left,3\n1050,right,4\n`,
    'columns-swapped',
    2,
    /spoke and reading look swapped.*counts the spokes/,
  ],
  [
    'the same with kilograms, which could be spoke numbers',
    `${header}61,left,1\n104,right,2\n60,left,3\n105,right,4\n62,left,5\n`,
    'columns-swapped',
    2,
    /spoke and reading look swapped/,
  ],
  [
    'side and spoke under each other’s names',
    `${header}left,1,600\nright,2,900\n`,
    'columns-swapped',
    2,
    /side and spoke look swapped/,
  ],
  [
    'side and reading under each other’s names',
    `${header}1,600,left\n2,900,right\n`,
    'columns-swapped',
    2,
    /side and reading look swapped/,
  ],
];

for (const [what, text, code, line, reason] of refused) {
  test(`refused with its line: ${what}`, () => {
    const [problem] = problemsOf(() => readSpokes(text, 's.csv'));
    assert.equal(problem.code, code);
    assert.equal(problem.file, 's.csv');
    assert.equal(problem.place?.line ?? null, line);
    assert.match(problem.message, reason);
    assert.ok(problem.remedy);
  });
}

test('readings that are small numbers are no swapped columns', () => {
  const text = `${header}1,left,3\n2,right,4\n3,left,3\n4,right,5\n`;
  assert.equal(readSpokes(text, 's.csv').length, 4);
});

test('a gauge’s table, with and without kinds of spoke', () => {
  assert.deepEqual(readCalibration('reading,tension_n\n18,600\n22,1000\n', 'g.csv'), [
    { spokeType: null, reading: 18, tensionN: 600, line: 2 },
    { spokeType: null, reading: 22, tensionN: 1000, line: 3 },
  ]);
  const [first] = readCalibration('spoke_type,reading,tension_n\nround,18,600\n', 'g.csv');
  assert.equal(first.spokeType, 'round');
  const [problem] = problemsOf(() => readCalibration('reading,tension_n\n18,60000\n', 'g.csv'));
  assert.match(problem.message, /"tension_n" is 60000/);
  assert.equal(problem.place?.line, 2);
});
