import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  cholesky,
  choleskyInverse,
  choleskyLogDet,
  choleskySolve,
  dot,
  multiply,
  multiplyTransposed,
  NotPositiveDefiniteError,
} from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

/** A random positive definite matrix: M·Mᵀ + I. */
const definite = fc.integer({ min: 1, max: 12 }).chain((n) =>
  fc
    .array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: n * n, maxLength: n * n })
    .map((values) => {
      const m = Float64Array.from(values);
      const a = multiplyTransposed(m, m, n, n, n);
      for (let i = 0; i < n; i++) a[i * n + i] += 1;
      return { n, a };
    }),
);

test('the Cholesky factor multiplies back, the inverse times the matrix is one, solves solve', () => {
  fc.assert(
    fc.property(definite, ({ n, a }) => {
      const l = cholesky(a, n);
      const lT = Float64Array.from(a, (_, i) => l[(i % n) * n + Math.floor(i / n)]);
      const size = Math.max(...a);
      near(multiply(l, lT, n, n, n), a, { abs: 1e-12 * size, why: 'L·Lᵀ = A' });
      const one = multiply(a, choleskyInverse(l, n), n, n, n);
      const identity = Float64Array.from(a, (_, i) => (i % (n + 1) === 0 ? 1 : 0));
      near(one, identity, { abs: 1e-10 * size, why: 'A·A⁻¹ = I' });
      const b = Float64Array.from({ length: n * 2 }, (_, i) => Math.sin(i));
      near(multiply(a, choleskySolve(l, n, b, 2), n, n, 2), b, {
        abs: 1e-9 * size,
        why: 'A·x = b',
      });
    }),
    { seed: 1910, numRuns: 60 },
  );
});

test('the Hilbert matrix of order 5: ln det and inverse in whole numbers', () => {
  // 1/det = 266716800000 and the corner elements 25 and 44100 of the inverse: closed forms for Hilbert matrices.
  const n = 5;
  const h = Float64Array.from({ length: 25 }, (_, i) => 1 / ((i % n) + Math.floor(i / n) + 1));
  const l = cholesky(h, n);
  near(choleskyLogDet(l, n), -Math.log(266716800000), { rel: 1e-12, why: 'condition 5e5' });
  const inverse = choleskyInverse(l, n);
  near([inverse[0], inverse[24], inverse[1]], [25, 44100, -300], {
    rel: 1e-9,
    why: 'condition 5e5',
  });
});

test('a matrix that is not positive definite says at which row it fails', () => {
  const a = Float64Array.of(4, 2, 2, 2, 1, 1, 2, 1, 3);
  assert.throws(() => cholesky(a, 3), (error) => error instanceof NotPositiveDefiniteError && error.pivot === 1 && /row 2/.test(error.message)); // prettier-ignore
  assert.throws(() => cholesky(Float64Array.of(NaN), 1), NotPositiveDefiniteError);
  assert.throws(() => cholesky(Float64Array.of(1, 2), 2), /expected 4 numbers/);
});

test('six hundred unknowns take well under a second', () => {
  const n = 600;
  const a = Float64Array.from({ length: n * n }, (_, i) =>
    Math.exp(-Math.abs((i % n) - Math.floor(i / n)) / 20),
  );
  const start = performance.now();
  const l = cholesky(a, n);
  const b = new Float64Array(n).fill(1);
  const x = choleskySolve(l, n, b);
  const elapsed = performance.now() - start;
  near(multiply(a, x, n, n, 1), b, { abs: 1e-9, why: 'A·x = b' });
  // Exponential covariance: ln det = (n − 1)·ln(1 − e^(−2/20)), closed form.
  near(choleskyLogDet(l, n), (n - 1) * Math.log(1 - Math.exp(-0.1)), { rel: 1e-10, why: 'Markov' });
  assert.ok(elapsed < 2000, `${elapsed} ms; about 60 ms on an idle machine`);
});

test('products with the transpose', () => {
  const a = Float64Array.of(1, 2, 3, 4, 5, 6);
  const b = Float64Array.of(1, 0, -1);
  near(multiplyTransposed(a, b, 3, 2, 1), [-4, -4], { abs: 1e-15, why: 'by hand' });
  near(dot(b, Float64Array.of(2, 3, 4)), -2, { abs: 1e-15, why: 'by hand' });
});
