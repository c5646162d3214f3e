import test from 'node:test';
import assert from 'node:assert/strict';
import fc from 'fast-check';
import {
  clock,
  decimalsBeside,
  decimalsFor,
  fixed,
  halfWidth,
  hours,
  range,
  signed,
} from '../../src/figures/index.ts';

test('an uncertainty beginning with 1 or 2 keeps two digits, a larger one keeps one', () => {
  // The usual rule of reporting: GUM (JCGM 100:2008) 7.2.6, at most two significant digits.
  assert.equal(decimalsFor(0.0023), 4);
  assert.equal(decimalsFor(0.0011), 4);
  assert.equal(decimalsFor(0.0031), 3);
  assert.equal(decimalsFor(0.0096), 3);
  assert.equal(decimalsFor(1.7), 1);
  assert.equal(decimalsFor(24), 0);
});

test('a difference larger than its uncertainty never reads as if it might be nothing', () => {
  assert.equal(decimalsBeside(-0.0041, 0.0035), 4);
  assert.equal(decimalsBeside(0.0035, 0.0041), 3);
  assert.equal(decimalsBeside(0.0091, 0.0035), 3);
  fc.assert(
    fc.property(
      fc.double({ min: 1e-4, max: 50, noNaN: true }),
      fc.double({ min: 1.05, max: 20, noNaN: true }),
      (uncertainty, times) => {
        const value = uncertainty * times;
        const decimals = decimalsBeside(value, uncertainty);
        assert.ok(
          Number(value.toFixed(decimals)) > Number(uncertainty.toFixed(decimals)) || decimals === 6,
        );
      },
    ),
    { seed: 8, numRuns: 300 },
  );
});

test('rounding to the decimals of an uncertainty moves a value by at most a sixth of it', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1e-5, max: 50, noNaN: true }),
      fc.double({ min: -1, max: 1, noNaN: true }),
      (uncertainty, value) => {
        const shown = Number(value.toFixed(decimalsFor(uncertainty)));
        assert.ok(Math.abs(shown - value) <= uncertainty / 5.8, `${value} ± ${uncertainty}`);
      },
    ),
    { seed: 7, numRuns: 300 },
  );
});

test('numbers carry a true minus, and a value that rounds to nothing carries no sign', () => {
  assert.equal(fixed(-0.0052, 4), '\u22120.0052');
  assert.equal(signed(0.0052, 4), '+0.0052');
  assert.equal(signed(-0.00001, 3), '0.000');
  assert.equal(signed(0.00001, 3), '0.000');
});

test('an interval is told with the digits that its width bears', () => {
  assert.equal(range([-0.00731, -0.00326], true), '\u22120.0073 to \u22120.0033');
  assert.equal(halfWidth([2, 5]), 1.5);
});

test('times read as on a stopwatch, spans as hours and minutes', () => {
  assert.equal(clock(245.4), '4:05');
  assert.equal(clock(3753), '1:02:33');
  assert.equal(hours(5400), '1:30\u202fh');
  assert.equal(hours(1500), '25\u202fmin');
});
