/** What the page works out by itself for spokes and wheel sheets: suggestions and ways to write a number. */
import test from 'node:test';
import assert from 'node:assert/strict';
import fc from 'fast-check';
import { nextSpoke, sideOf } from '../../src/page/bench/next-spoke.ts';
import type { Side } from '../../src/page/bench/next-spoke.ts';
import { nameOfPlan, textOfTicks, ticksOf } from '../../src/page/bench/ticks.ts';
import { fieldGroups, shifted, shownValue } from '../../src/page/bench/wheel-fields.ts';

const row = (spoke: number, side: Side = 'left') => ({ spoke: String(spoke), side, reading: '1' });
/** Six spokes laced 2:1. */
const wheel = (['left', 'right', 'left', 'left', 'right', 'left'] as const).map((side, i) => ({
  spoke: i + 1,
  side,
}));

test('spokes are read one after the other from the valve, on the sides of the sheet', () => {
  assert.deepEqual(nextSpoke([], wheel), { spoke: '1', side: 'left', roundDone: false });
  assert.deepEqual(nextSpoke([row(1)], wheel), { spoke: '2', side: 'right', roundDone: false });
});

test('a spoke passed over comes back at the end of the round, then the next round begins', () => {
  const passed = [1, 2, 4, 5, 6].map((n) => row(n));
  assert.equal(nextSpoke(passed, wheel).spoke, '3');
  const whole = [...passed, row(3)];
  assert.equal(nextSpoke(whole, wheel).roundDone, true);
  assert.equal(nextSpoke(whole, wheel).spoke, '4', 'on from where the hand is');
});

test('a spoke read again does not lose its place in the round', () => {
  assert.equal(nextSpoke([row(1), row(2), row(1)], wheel).spoke, '3');
  assert.equal(nextSpoke([row(1), row(2), row(1)], null).spoke, '3');
});

test('without a sheet the side follows the pattern of the readings', () => {
  const two = [row(1), row(2, 'right'), row(3), row(4), row(5, 'right')];
  assert.equal(sideOf(6, two, null), 'left', 'two left, one right');
  const equal = [row(1), row(2, 'right'), row(3), row(4, 'right')];
  assert.equal(sideOf(5, equal, null), 'left');
  assert.equal(sideOf(2, equal, null), 'right', 'as read before');
  assert.equal(sideOf(6, two, wheel), 'left');
  assert.equal(sideOf(5, [], wheel), 'right', 'the sheet first');
});

test('a number moved to another unit and back is the same number', () => {
  assert.equal(shifted(0.296, 3), 296);
  assert.equal(shifted(4.1e-9, 12), 4100);
  assert.equal(shifted(70e9, -9), 70);
  fc.assert(
    fc.property(
      fc.integer({ min: -999_999, max: 999_999 }),
      fc.integer({ min: -12, max: 12 }),
      (digits, power) => {
        const value = digits / 1000;
        assert.equal(shifted(shifted(value, power), -power), value);
      },
    ),
    { seed: 7, numRuns: 200 },
  );
});

test('the form writes what the sheet holds, in the units of a workshop', () => {
  const data = { rim: { radiusM: 0.29, iLateralM4: 8e-9 }, spokes: { left: { count: 16 } } };
  const fields = fieldGroups(data).flatMap(({ rows }) => rows.flat());
  const shown = (path: string) =>
    shownValue(
      data,
      fields.find((one) => one.path === path)!,
    );
  assert.equal(shown('rim.radiusM'), '290');
  assert.equal(shown('rim.iLateralM4'), '8000');
  assert.equal(shown('spokes.left.count'), '16');
  assert.equal(shown('spokes.right.count'), '', 'not there yet');
  const outlined = fieldGroups({ rim: { section: { wallThicknessM: 0.001 } } });
  const paths = outlined.flatMap(({ rows }) => rows.flat()).map((one) => one.path);
  assert.ok(paths.includes('rim.section.wallThicknessM'));
  assert.ok(!paths.includes('rim.areaM2'), 'the outline gives it');
});

test('ticks belong to one plan: after other readings nothing counts as turned', () => {
  const turns = [
    { spoke: 7, side: 'left' as const, quarterTurns: -2 },
    { spoke: 17, side: 'right' as const, quarterTurns: 1 },
  ];
  const plan = nameOfPlan(turns);
  const text = textOfTicks(plan, [7]);
  assert.deepEqual(ticksOf(text, plan), [7]);
  const other = nameOfPlan([{ ...turns[0], quarterTurns: -1 }, turns[1]]);
  assert.deepEqual(ticksOf(text, other), []);
  assert.equal(textOfTicks(plan, []), null);
  assert.deepEqual(ticksOf('not ours', plan), []);
});
