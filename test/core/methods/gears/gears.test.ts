/** Ratios, steps and speeds, each against whole-number arithmetic of the test's own (BigInt). */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import type { GearsSetup } from '../../../../src/core/evidence/index.ts';
import { estimateGears } from '../../../../src/core/methods/index.ts';
import { overlapPercent } from '../../../../src/core/methods/gears/model.ts';
import { over, ratio, times } from '../../../../src/core/methods/gears/ratio.ts';
import { near } from '../../../near.ts';

/** Invented. */
const setup = (over: Partial<GearsSetup> = {}): GearsSetup => ({
  title: 'invented',
  invented: true,
  chainrings: [50, 34],
  cassette: [11, 12, 13, 14, 15, 17, 19, 21, 24, 28, 34],
  circumferenceUm: 2_105_000,
  circumferenceStandardUncertaintyM: 0.004,
  circumferenceFrom: 'measured',
  cadenceRpm: 90,
  rider: null,
  climbs: [],
  course: null,
  ...over,
});

const reduce = (over: Partial<GearsSetup> = {}) =>
  estimateGears({ setup: setup(over), inputs: [] });

/** A quotient of whole numbers as the nearest double: 60 binary places beyond what a double holds. */
function exactly(numerator: bigint, denominator: bigint): number {
  const places = 1n << 112n;
  const scaled = (numerator * places) / denominator;
  return Number(scaled) / 2 ** 112;
}

const big = BigInt;

test('34 by 34 is one to one', () => {
  // Common practice, no source.
  const [easiest] = reduce().gears;
  assert.deepEqual([easiest.chainring, easiest.sprocket], [34, 34]);
  assert.deepEqual(easiest.ratio, { numerator: 1, denominator: 1, value: 1 });
});

test('50 by 17 on 2.105 m at 90 a minute: 6.191 m, 33.43 km/h', () => {
  // REFERENCES G, handbook formula worked out with NumPy.
  const gear = reduce().gears.find(
    ({ chainring, sprocket }) => chainring === 50 && sprocket === 17,
  )!;
  near(gear.developmentM, 6.191, { abs: 0.0005, why: 'source rounded' });
  near(gear.speedKmh, 33.43, { abs: 0.005, why: 'source rounded' });
});

test('every ratio, development, speed and step of every table is the exact one', () => {
  const teeth = (min: number, max: number, most: number) =>
    fc.uniqueArray(fc.integer({ min, max }), { minLength: 1, maxLength: most });
  fc.assert(
    fc.property(
      teeth(16, 80, 3),
      teeth(8, 60, 13),
      fc.integer({ min: 800_000, max: 2_600_000 }),
      fc.integer({ min: 20, max: 200 }),
      (chainrings, cassette, circumferenceUm, cadenceRpm) => {
        const { gears, rangePercent, distinctRatios } = reduce({
          chainrings,
          cassette,
          circumferenceUm,
          cadenceRpm,
        });
        assert.equal(gears.length, chainrings.length * cassette.length);
        const close = { rel: 4e-16, why: 'two roundings of an exact quotient' };
        gears.forEach((gear, i) => {
          const [ring, sprocket] = [big(gear.chainring), big(gear.sprocket)];
          assert.equal(big(gear.ratio.numerator) * sprocket, big(gear.ratio.denominator) * ring);
          near(gear.ratio.value, exactly(ring, sprocket), close);
          const micrometres = ring * big(circumferenceUm);
          near(gear.developmentM, exactly(micrometres, sprocket * 1_000_000n), close);
          near(
            gear.speedKmh,
            exactly(micrometres * big(cadenceRpm) * 60n, sprocket * 1_000_000_000n),
            { rel: 8e-16, why: 'four roundings' },
          );
          if (i === 0) return assert.equal(gear.stepPercent, null);
          const [ringBefore, before] = [big(gears[i - 1].chainring), big(gears[i - 1].sprocket)];
          const gain = ring * before - ringBefore * sprocket;
          assert.ok(gain >= 0n, 'easiest first');
          near(gear.stepPercent!, exactly(100n * gain, ringBefore * sprocket), {
            rel: 4e-16,
            abs: 1e-300,
            why: 'two roundings',
          });
          return undefined;
        });
        const [first, last] = [gears[0], gears[gears.length - 1]];
        near(
          rangePercent,
          exactly(
            100n * big(last.chainring) * big(first.sprocket),
            big(last.sprocket) * big(first.chainring),
          ),
          { rel: 1e-15, why: 'a few roundings' },
        );
        const names = gears.map(
          ({ ratio: { numerator, denominator } }) => `${numerator}/${denominator}`,
        );
        assert.equal(distinctRatios, new Set(names).size);
        gears.forEach(({ repeated }, i) =>
          assert.equal(repeated, names.filter((name) => name === names[i]).length > 1),
        );
      },
    ),
    { seed: 3, numRuns: 60 },
  );
});

test('50 by 25 and 34 by 17 are one gear, and told so', () => {
  const { gears, distinctRatios } = reduce({ cassette: [17, 25] });
  assert.equal(distinctRatios, 3);
  assert.deepEqual(
    gears.filter(({ repeated }) => repeated).map(({ ratio: own }) => own.value),
    [2, 2],
  );
});

test('the step by sprocket stays on its chainring', () => {
  const { gears } = reduce();
  const of = (ring: number, sprocket: number) =>
    gears.find((gear) => gear.chainring === ring && gear.sprocket === sprocket)!;
  assert.equal(of(50, 34).sprocketStepPercent, null);
  near(of(50, 28).sprocketStepPercent!, (100 * 6) / 28, { rel: 1e-15, why: '34/28 − 1' });
  near(of(34, 11).sprocketStepPercent!, 100 / 11, { rel: 1e-15, why: '12/11 − 1' });
});

test('overlap: alike rings repeat all, far ones nothing, a half is half of the equal steps', () => {
  const span = { lowest: ratio(1, 1), highest: ratio(4, 1) };
  near(overlapPercent(span, { lowest: ratio(1, 1) }), 100, { rel: 1e-12, why: 'the same ring' });
  assert.equal(overlapPercent(span, { lowest: ratio(5, 1) }), 0);
  near(overlapPercent(span, { lowest: ratio(2, 1) }), 50, {
    rel: 1e-12,
    why: 'two is halfway from 1 to 4',
  });
  const [small, large] = reduce().rings;
  assert.equal(small.gearsRepeated, 6);
  assert.equal(large.overlapPercent, null);
  assert.equal(reduce({ chainrings: [40], cassette: [20] }).rings[0].lowestRatio, 2);
});

test('chain capacity counts the teeth between the extremes of both', () => {
  assert.equal(reduce().chainCapacityTeeth, 16 + 23);
  assert.equal(reduce({ chainrings: [42] }).chainCapacityTeeth, 23);
});

test('fractions are whole numbers above zero, and undo one another', () => {
  for (const [top, bottom] of [
    [0, 1],
    [1, 0],
    [1.5, 2],
    [-3, 2],
    [2 ** 53, 1],
  ] as const)
    assert.throws(() => ratio(top, bottom), RangeError);
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 1, max: 5000 }), { minLength: 4, maxLength: 4 }),
      ([a, b, c, d]) => {
        const [one, other] = [ratio(a, b), ratio(c, d)];
        assert.deepEqual(over(times(one, other), other), one);
        assert.equal(
          big(times(one, other).numerator) * big(b) * big(d),
          big(times(one, other).denominator) * big(a) * big(c),
        );
      },
    ),
    { seed: 4, numRuns: 100 },
  );
});
