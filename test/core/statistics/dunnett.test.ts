import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  dunnettAdjustedP,
  dunnettCriticalValue,
  tQuantile,
  tTwoSidedP,
} from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const load = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../fixtures/statistics/${name}`, import.meta.url), 'utf8'));
const r = load('distributions.json');
const scipy = load('dunnett.json');

const equal = (k: number, rho: number): number[][] =>
  Array.from({ length: k }, (_, i) => Array.from({ length: k }, (_, j) => (i === j ? 1 : rho)));
const product = (loadings: number[]): number[][] =>
  loadings.map((a, i) => loadings.map((b, j) => (i === j ? 1 : a * b)));

test('Dunnett 1955 blood counts: only drug B differs from control (p 0.620 and 0.0058)', () => {
  const { t, p, correlation, df } = r.dunnett1955;
  near(t, [0.857032, 3.693752], { abs: 1e-6, why: 'SciPy dunnett documentation' });
  const adjusted = dunnettAdjustedP({ t, correlation, df });
  near(adjusted, p, { abs: 2e-6, why: 'R multcomp single-step, abseps 1e-8' });
  near(adjusted, [0.62, 0.00585], { abs: 1e-3, why: 'SciPy dunnett, Monte Carlo' });
});

test('Dunnett 1955 simultaneous intervals: −1.257 to 2.557 and 0.839 to 4.417', () => {
  const { correlation, df, critical, estimate, t } = r.dunnett1955;
  const c = dunnettCriticalValue({ correlation, df, level: 0.95 });
  near(c, critical, { abs: 3e-4, why: 'R multcomp confint, Monte Carlo root' });
  const low = estimate.map((value: number, i: number) => value - (c * value) / t[i]);
  const high = estimate.map((value: number, i: number) => value + (c * value) / t[i]);
  near(low, [-1.257, 0.839], { abs: 0.01, why: 'SciPy dunnett confidence interval' });
  near(high, [2.557, 4.417], { abs: 0.01, why: 'SciPy dunnett confidence interval' });
});

test('Dunnett 1964 table, two-sided 5 % and 1 %, equal groups', () => {
  const table: [k: number, df: number, level: number, value: number][] = [
    // Biometrics 20:482; REFERENCES for df 10 and 20 at 5 %, the rest from memory.
    [2, 10, 0.95, 2.57],
    [2, 20, 0.95, 2.38],
    [3, 10, 0.95, 2.76],
    [3, 20, 0.95, 2.54],
    [2, 5, 0.95, 3.03],
    [3, 5, 0.95, 3.29],
    [2, 60, 0.95, 2.27],
    [2, Infinity, 0.95, 2.21],
    [3, Infinity, 0.95, 2.35],
    [2, 10, 0.99, 3.53],
  ];
  for (const [k, df, level, value] of table) {
    const c = dunnettCriticalValue({ correlation: equal(k, 0.5), df, level });
    near(c, value, { abs: 0.0055, why: `printed to two decimals, k ${k}, df ${df}` });
  }
});

test('critical values agree with SciPy quadrature to eight digits', () => {
  for (const { k, df, level, value } of scipy.critical) {
    near(dunnettCriticalValue({ correlation: equal(k, 0.5), df, level }), value, {
      rel: 2e-8,
      why: 'tools/reference/dunnett.py, 400-point rules',
    });
  }
});

test('unequal and negative loadings agree with SciPy quadrature', () => {
  for (const { loadings, df, c, p } of scipy.unequal) {
    const [adjusted] = dunnettAdjustedP({ t: [c, 0, 0, 0], correlation: product(loadings), df });
    near(adjusted, p, { abs: 1e-8, why: 'tools/reference/dunnett.py' });
  }
});

test('correlations without product structure agree with R mvtnorm', () => {
  for (const { correlation, df, c, p, error } of r.boxes) {
    const k = correlation.length;
    const t = [c, ...new Array(k - 1).fill(0)];
    // Up to five comparisons: R's own error is the larger. Above: the fixed lattice, far from product structure.
    const abs = k <= 5 ? 2 * error + 1e-6 : k === 10 ? 3e-4 : 3e-5;
    near(dunnettAdjustedP({ t, correlation, df })[0], p, { abs, why: 'R pmvt, GenzBretz' });
  }
});

test('one comparison is the plain t test', () => {
  near(dunnettAdjustedP({ t: [-2.1], correlation: [[1]], df: 7.3 }), [tTwoSidedP(2.1, 7.3)], {
    rel: 1e-9,
    why: 'identity',
  });
  near(dunnettCriticalValue({ correlation: [[1]], df: 7.3, level: 0.95 }), tQuantile(0.975, 7.3), {
    rel: 1e-12,
    why: 'identity',
  });
});

test('independent normal comparisons follow the Šidák product', () => {
  const single = tTwoSidedP(2.4, Infinity);
  const [p] = dunnettAdjustedP({ t: [2.4, 0, 0, 0], correlation: equal(4, 0), df: Infinity });
  near(p, 1 - (1 - single) ** 4, { rel: 1e-10, why: 'independence' });
});

test('the adjusted p of the critical value is one minus the level, whatever the correlation', () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: -0.95, max: 0.95, noNaN: true }), { minLength: 2, maxLength: 5 }),
      fc.double({ min: 1, max: 80, noNaN: true }),
      (loadings, df) => {
        const correlation = product(loadings);
        const c = dunnettCriticalValue({ correlation, df, level: 0.95 });
        const t = loadings.map((_, i) => (i === 0 ? c : 0));
        near(dunnettAdjustedP({ t, correlation, df })[0], 0.05, { abs: 1e-6, why: 'inverse' });
      },
    ),
    { numRuns: 25, seed: 1955 },
  );
});

test('adjusted p lies between the unadjusted p and Bonferroni, and grows as t shrinks', () => {
  const correlation = equal(4, 0.4);
  const t = [0.3, 1.2, 2.9, 9];
  const adjusted = dunnettAdjustedP({ t, correlation, df: 5.5 });
  adjusted.forEach((p, i) => {
    assert.ok(p >= tTwoSidedP(t[i], 5.5) && p <= Math.min(1, 4 * tTwoSidedP(t[i], 5.5)));
    if (i > 0) assert.ok(p < adjusted[i - 1]);
  });
});

test('a matrix that is no correlation is refused', () => {
  const bad = (correlation: number[][]) => () =>
    dunnettAdjustedP({ t: correlation.map(() => 1), correlation, df: 5 });
  assert.throws(bad([[1, 1], [1, 1]]), /positive definite/); // prettier-ignore
  assert.throws(bad([[2, 0], [0, 1]]), /itself/); // prettier-ignore
  assert.throws(bad([[1, 0.2], [0.4, 1]]), /differ/); // prettier-ignore
  assert.throws(bad([[1, 0.2]]), /square/); // prettier-ignore
  assert.throws(() => dunnettAdjustedP({ t: [1], correlation: [[1]], df: 0 }), RangeError);
});
