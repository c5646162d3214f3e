import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { intervalDigits, plain, signed } from '../../src/application/digits.ts';

test('a half-width is shown with two digits and the value to the same place (GUM 7.2.6)', () => {
  // JCGM 100:2008, 7.2.6, its example from memory: 10.057 62 ohm with u = 27 mohm reads 10.058 ohm.
  assert.equal(plain(10.05762, intervalDigits([10.05762 - 0.027, 10.05762 + 0.027])), '10.058');
  assert.equal(intervalDigits([0.2262, 0.236]), 4);
  assert.equal(intervalDigits([-6.2, -2.4]), 1);
  assert.equal(intervalDigits([-62, -24]), 0);
  assert.equal(intervalDigits([0, 400]), 0);
});

test('a half-width that rounds up to the next power of ten loses a digit', () => {
  assert.equal(intervalDigits([0, 2 * 0.0996]), 2);
  assert.equal(intervalDigits([0, 2 * 0.0994]), 3);
});

test('an interval without width, or without end, gives no licence for nine digits', () => {
  assert.equal(intervalDigits([0.2, 0.2]), 4);
  assert.equal(intervalDigits([-Infinity, Infinity]), 4);
});

test('zero has no sign, and what is above it has a plus', () => {
  assert.equal(plain(-0.0004, 2), '0.00');
  assert.equal(signed(-0.0004, 2), '0.00');
  assert.equal(signed(0.0052, 4), '+0.0052');
  assert.equal(signed(-0.0052, 4), '-0.0052');
  assert.equal(plain(NaN, 3), '-');
});

test('rounding never moves a value by more than a twentieth of its half-width', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1000, max: 1000, noNaN: true }),
      fc.double({ min: 1e-6, max: 100, noNaN: true }),
      (value, half) => {
        const digits = intervalDigits([value - half, value + half]);
        const shown = Number(plain(value, digits));
        // Two digits of the half-width: at worst 0.5 in 10.
        return Math.abs(shown - value) <= 0.051 * half + 1e-9 || digits === 0;
      },
    ),
    { seed: 2026, numRuns: 300 },
  );
});
