import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import { leastSquares, RankDeficientError } from '../../../src/core/statistics/index.ts';
import { preciseSum, PreciseSum } from '../../../src/core/statistics/double-double.ts';
import { near } from '../../near.ts';

const { linear } = JSON.parse(
  readFileSync(new URL('../../fixtures/statistics/nist.json', import.meta.url), 'utf8'),
);

interface Certified {
  y: number[];
  x: number[][];
  polynomial: boolean;
  beta: number[];
  sd: number[];
  residualSd: number;
  r2: number;
}

/** Digits asked of each set; the last is limited by rounding of the tenth powers themselves. */
const digits: Record<string, number> = {
  Norris: 1e-10,
  Pontius: 1e-10,
  Longley: 1e-10,
  Wampler1: 1e-10,
  Wampler2: 1e-10,
  Wampler3: 1e-10,
  Wampler4: 1e-10,
  Wampler5: 1e-10,
  Filip: 5e-7,
};

for (const [name, rel] of Object.entries(digits)) {
  const set: Certified = linear[name];
  test(`NIST StRD ${name}: coefficients, standard errors, residual SD and R² within ${rel}`, () => {
    const p = set.beta.length;
    const x = Float64Array.from(
      set.x.flatMap((row) =>
        set.beta.map((_, j) => (j === 0 ? 1 : set.polynomial ? row[0] ** j : row[j - 1])),
      ),
    );
    const fit = leastSquares(Float64Array.from(set.y), x, p);
    const why = 'NIST StRD certified value';
    near(fit.coefficients, set.beta, { rel, abs: 1e-20, why });
    near(fit.standardErrors, set.sd, { rel, abs: 1e-11, why });
    near(fit.residualSd, set.residualSd, { rel, abs: 1e-11, why });
    near(fit.rSquared, set.r2, { rel: Math.min(rel, 1e-9), why });
    assert.equal(fit.degreesOfFreedom, set.y.length - p);
  });
}

test('GUM H.3 thermometer calibration: y1 −0.1712(29), y2 0.00218(67), r −0.930', () => {
  // JCGM 100:2008 table H.6; data as in public copies, results from memory and met by them.
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const x = Float64Array.from(t.flatMap((value) => [1, value - 20]));
  const fit = leastSquares(Float64Array.from(b), x, 2);
  const [s1, s2] = fit.standardErrors;
  near(fit.coefficients, [-0.1712, 0.00218], { abs: 5e-5, rel: 2e-3, why: 'digits as printed' });
  near([s1, s2], [0.0029, 0.00067], { rel: 0.02, why: 'two digits printed' });
  near(fit.covariance[1] / (s1 * s2), -0.93, { abs: 5e-4, why: 'three digits printed' });
  near(fit.residualSd, 0.0035, { abs: 5e-5, why: 'two digits printed' });
  // b(30 °C) = −0.1494 with u 0.0041 by propagation with the correlation.
  const u = Math.sqrt(s1 ** 2 + 100 * s2 ** 2 + 20 * fit.covariance[1]);
  near(fit.coefficients[0] + 10 * fit.coefficients[1], -0.1494, { abs: 5e-5, why: 'GUM H.3.4' });
  near(u, 0.0041, { abs: 5e-5, why: 'GUM H.3.4' });
});

test('residuals are at right angles to every column, and a plane with no noise is found', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.double({ min: -5, max: 5, noNaN: true }), fc.double({ min: -5, max: 5, noNaN: true })), { minLength: 8, maxLength: 20 }), // prettier-ignore
      (rows) => {
        const n = rows.length;
        // A fixed pattern keeps the columns apart whatever the draw.
        const x = Float64Array.from(
          rows.flatMap(([a, b], i) => [1, a + i, b + Math.sin(9 * i) * 7]),
        );
        const y = Float64Array.from(rows, (_, i) => 3 - 2 * x[i * 3 + 1] + 0.5 * x[i * 3 + 2]);
        const exact = leastSquares(y, x, 3);
        near(exact.coefficients, [3, -2, 0.5], { abs: 1e-9, why: 'no noise' });
        const noisy = y.map((value, i) => value + Math.cos(5 * i));
        const fit = leastSquares(noisy, x, 3);
        for (let j = 0; j < 3; j++) {
          let sum = 0;
          for (let i = 0; i < n; i++) sum += fit.residuals[i] * x[i * 3 + j];
          near(sum, 0, { abs: 1e-9, why: 'normal equations' });
        }
      },
    ),
    { seed: 1805, numRuns: 60 },
  );
});

test('through the origin R² is counted about zero', () => {
  const fit = leastSquares(Float64Array.of(2, 4, 6.3), Float64Array.of(1, 2, 3), 1, { intercept: false }); // prettier-ignore
  near(fit.rSquared, 1 - fit.residualSumOfSquares / (4 + 16 + 6.3 ** 2), { rel: 1e-12, why: 'definition' }); // prettier-ignore
});

test('two columns that say the same are refused by number, so are non-numbers and too few rows', () => {
  const x = Float64Array.of(1, 2, 4, 1, 3, 6, 1, 5, 10, 1, 7, 14);
  const y = Float64Array.of(1, 2, 3, 4);
  assert.throws(() => leastSquares(y, x, 3), (error) => error instanceof RankDeficientError && /column [23] of 3/.test(error.message)); // prettier-ignore
  assert.throws(() => leastSquares(Float64Array.of(1, NaN, 3, 4), x, 3), /non-number/);
  assert.throws(() => leastSquares(y.slice(0, 2), x.slice(0, 6), 3), RangeError);
});

test('a sum in twice the precision keeps what plain addition loses', () => {
  assert.equal(preciseSum([1e16, 1, -1e16, 1]), 2);
  assert.notEqual([1e16, 1, -1e16, 1].reduce((a, b) => a + b), 2); // prettier-ignore
  const sum = new PreciseSum();
  sum.addProduct(1 + 2 ** -30, 1 - 2 ** -30);
  sum.add(-1);
  assert.equal(sum.value(), -(2 ** -60));
});
