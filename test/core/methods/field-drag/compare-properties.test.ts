import { test } from 'node:test';
import fc from 'fast-check';
import { compareSetups } from '../../../../src/core/methods/field-drag/compare.ts';
import { near } from '../../../near.ts';
import { differences, inputOf, smallDay } from './made-laps.ts';

const noises = fc.array(fc.double({ min: -2, max: 2, noNaN: true }), {
  minLength: 24,
  maxLength: 24,
});

test('the order in which laps are listed does not matter', () => {
  fc.assert(
    fc.property(noises, fc.integer(), (noise, seed) => {
      const laps = smallDay(noise);
      const shuffled = laps
        .map((lap, i) => ({ lap, key: Math.sin((i + 1) * (1 + (seed % 1000))) }))
        .sort((a, b) => a.key - b.key)
        .map(({ lap }) => lap);
      const [a, b] = [laps, shuffled].map((list) => differences(compareSetups(inputOf(list))));
      a.forEach((estimate, i) => {
        near(b[i].value, estimate.value, { rel: 1e-9, abs: 1e-12, why: 'rounding' });
        near(b[i].halfWidth95, estimate.halfWidth95, { rel: 1e-7, why: 'rounding' });
      });
    }),
    { numRuns: 12, seed: 1 },
  );
});

test('which number a setup or a run goes by does not matter', () => {
  fc.assert(
    fc.property(noises, (noise) => {
      const laps = smallDay(noise);
      const renamed = laps.map((lap) => ({
        ...lap,
        setup: [2, 0, 1][lap.setup],
        run: 50 - lap.run,
      }));
      const before = compareSetups(inputOf(laps));
      const after = compareSetups(inputOf(renamed, { control: 2 }));
      for (const [own, other] of [
        [1, 0],
        [2, 1],
      ]) {
        const a = before.difference[own]!;
        const b = after.difference[other]!;
        near(b.value, a.value, { rel: 1e-9, abs: 1e-12, why: 'rounding' });
        near(b.halfWidth95, a.halfWidth95, { rel: 1e-7, why: 'rounding' });
        near(after.pAdjusted[other]!, before.pAdjusted[own]!, { abs: 1e-6, why: 'rounding' });
      }
    }),
    { numRuns: 12, seed: 2 },
  );
});

test('when the day began by the clock does not matter', () => {
  fc.assert(
    fc.property(noises, fc.double({ min: -30, max: 30, noNaN: true }), (noise, shiftH) => {
      const laps = smallDay(noise);
      const later = laps.map((lap) => ({ ...lap, timeH: lap.timeH + shiftH }));
      const [a, b] = [laps, later].map((list) => compareSetups(inputOf(list)));
      near(
        differences(b).map((e) => e.value),
        differences(a).map((e) => e.value),
        { rel: 1e-8, abs: 1e-11, why: 'rounding' },
      );
      near(b.drift!.perHour, a.drift!.perHour, { rel: 1e-7, abs: 1e-10, why: 'rounding' });
      near(b.absolute[0]!.value, a.absolute[0]!.value, { rel: 1e-9, why: 'rounding' });
    }),
    { numRuns: 12, seed: 3 },
  );
});

test('a rider twice the size gives all values and intervals twice over, and the same p', () => {
  fc.assert(
    fc.property(noises, fc.double({ min: 0.3, max: 3, noNaN: true }), (noise, factor) => {
      const laps = smallDay(noise);
      const larger = laps.map((lap) => ({ ...lap, cdaM2: factor * lap.cdaM2 }));
      const [a, b] = [laps, larger].map((list) => compareSetups(inputOf(list)));
      a.difference.forEach((estimate, i) => {
        if (!estimate) return;
        near(b.difference[i]!.value, factor * estimate.value, {
          rel: 1e-8,
          abs: 1e-12,
          why: 'rounding',
        });
        near(b.difference[i]!.halfWidth95, factor * estimate.halfWidth95, {
          rel: 1e-7,
          why: 'rounding',
        });
        near(b.pAdjusted[i]!, a.pAdjusted[i]!, { abs: 1e-6, why: 'rounding' });
      });
    }),
    { numRuns: 12, seed: 4 },
  );
});

test('a constant on every lap moves the absolute values by that constant and the differences not', () => {
  fc.assert(
    fc.property(noises, fc.double({ min: -0.01, max: 0.01, noNaN: true }), (noise, constant) => {
      const laps = smallDay(noise);
      const moved = laps.map((lap) => ({ ...lap, cdaM2: lap.cdaM2 + constant }));
      const [a, b] = [laps, moved].map((list) => compareSetups(inputOf(list)));
      a.absolute.forEach((estimate, i) => {
        near(b.absolute[i]!.value, estimate!.value + constant, {
          abs: 0.02 * estimate!.standardUncertainty,
          why: 'the variances tried are relative to the drag area, which moves by up to 4 %',
        });
      });
      a.difference.forEach((estimate, i) => {
        if (!estimate) return;
        near(b.difference[i]!.value, estimate.value, {
          abs: 0.02 * estimate.standardUncertainty,
          why: 'likewise',
        });
        near(b.difference[i]!.halfWidth95, estimate.halfWidth95, { rel: 0.06, why: 'likewise' });
      });
    }),
    { numRuns: 12, seed: 5 },
  );
});
