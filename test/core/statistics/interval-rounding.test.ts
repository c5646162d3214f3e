import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  formatEstimate,
  formatFixed,
  roundAt,
  roundToInterval,
  supportedDecimals,
} from '../../../src/core/statistics/index.ts';

test('a difference of −0.00523 m² known to ±0.0023 is printed as −0.0052 (−0.0075 to −0.0029)', () => {
  const { text } = formatEstimate(-0.00523, [-0.00753, -0.00293], { unit: 'm²' });
  assert.equal(text, '−0.0052 m² (−0.0075 to −0.0029)');
});

test('GUM 7.2.2: 100.02147 g with 0.35 mg is 100.02147, with 3.5 mg is 100.0215', () => {
  // The mass example of JCGM 100:2008, 7.2.2 (from memory): u = 0.35 mg beside 100.02147 g.
  assert.equal(formatEstimate(100.02147, [100.02112, 100.02182]).value, '100.02147');
  assert.equal(formatEstimate(100.02147, [100.01797, 100.02497]).value, '100.0215');
});

test('wide intervals round to tens and hundreds, narrow ones keep trailing zeros', () => {
  assert.deepEqual(formatEstimate(1234.56, [1084.5, 1384.6]), {
    value: '1230',
    low: '1080',
    high: '1380',
    text: '1230 (1080 to 1380)',
  });
  assert.equal(formatEstimate(0.24, [0.2378, 0.2422]).text, '0.2400 (0.2378 to 0.2422)');
});

test('a half-width that rounds up to the next ten loses the digit it no longer supports', () => {
  assert.equal(supportedDecimals(0.0994), 3);
  assert.equal(supportedDecimals(0.0996), 2);
  assert.equal(supportedDecimals(0.1), 2);
  assert.equal(supportedDecimals(23), 0);
  assert.equal(supportedDecimals(230), -1);
});

test('unequal sides are judged by the wider; no bound means no digit; no width means all digits', () => {
  assert.equal(roundToInterval(0.2347, [0.2346, 0.2647]).value, 0.235);
  assert.equal(formatEstimate(0.2, [-Infinity, 0.3]).text, 'not known');
  assert.equal(formatEstimate(0.123456, [0.123456, 0.123456]).value, '0.123456');
  assert.throws(() => roundToInterval(2, [0, 1]), /does not hold/);
});

test('no negative zero, and a plain minus when asked', () => {
  assert.equal(formatEstimate(-0.00001, [-0.004, 0.004]).value, '0.0000');
  assert.equal(formatFixed(-1.25, 1, '-'), '-1.3');
  assert.equal(formatFixed(NaN, 2), 'not known');
});

test('rounding goes by the number as it reads: 1.005 to 1.01, −2.5 to −3', () => {
  assert.equal(roundAt(1.005, 2), 1.01);
  assert.equal(roundAt(-2.5, 0), -3);
  assert.equal(roundAt(1e21, 2), 1e21);
  assert.equal(roundAt(5e-7, 6), 0.000001);
});

test('rounding never moves a value by more than half of the last place, a hundredth to a twentieth of the half-width', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1e4, max: 1e4, noNaN: true }),
      fc.double({ min: 1e-6, max: 1e3, noNaN: true }),
      (value, half) => {
        const rounded = roundToInterval(value, [value - half, value + half]);
        assert.ok(Math.abs(rounded.value - value) <= 0.0501 * half + 1e-9);
        const text = formatEstimate(value, [value - half, value + half]).value;
        const decimals = text.split('.')[1]?.length ?? 0;
        assert.ok(decimals <= Math.max(0, rounded.decimals));
      },
    ),
    { seed: 22, numRuns: 300 },
  );
});
