import { test } from 'node:test';
import {
  equivalentDegrees,
  mixtureHalfWidth,
} from '../../../../src/core/methods/field-drag/mixture.ts';
import { chiSquareQuantile } from '../../../../src/core/statistics/index.ts';
import { near } from '../../../near.ts';

test('one normal has the half-width of the table: 1.959964 standard deviations', () => {
  near(mixtureHalfWidth([1], [3], [4], 3), 2 * 1.959964, { rel: 1e-6, why: 'standard table' });
});

test("normals whose variances are spread as scaled inverse chi-square are Student's t: 2.570582 at 5 degrees", () => {
  // Student (1908): t is a normal over the root of an independent chi-square over its degrees.
  const n = 4000;
  const variances = Array.from({ length: n }, (_, i) => 5 / chiSquareQuantile((i + 0.5) / n, 5));
  const weights = new Array<number>(n).fill(1 / n);
  const means = new Array<number>(n).fill(0);
  const half = mixtureHalfWidth(weights, means, variances, 0);
  near(half, 2.570582, { rel: 2e-3, why: 'four thousand normals stand for a continuum' });
  near(equivalentDegrees(half), 5, { rel: 0.02, why: 'and back' });
});

test('normals apart from one another widen the interval about their middle', () => {
  // Half of the weight at either side of 0: P(|x| ≤ h) = Φ(h − 10) to rounding, so h = 10 + 1.644854.
  near(mixtureHalfWidth([0.5, 0.5], [-10, 10], [1, 1], 0), 11.644854, {
    rel: 1e-6,
    why: 'standard table, 95 % one-sided',
  });
});

test("degrees of freedom are read off Student's table: 4.302653 at 2, 2.228139 at 10, many near the normal", () => {
  near(equivalentDegrees(4.302653), 2, { rel: 1e-5, why: 'standard table to seven digits' });
  near(equivalentDegrees(2.228139), 10, { rel: 1e-4, why: 'standard table to seven digits' });
  near(equivalentDegrees(1.9), 400, {
    rel: 1e-9,
    why: 'narrower than the normal: the most there are',
  });
});
