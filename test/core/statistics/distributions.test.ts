import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import {
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  fUpperTail,
  normalCdf,
  normalQuantile,
  tCdf,
  tQuantile,
  tTwoSidedP,
} from '../../../src/core/statistics/index.ts';
import { standardNormalCdf } from '../../../src/core/statistics/normal.ts';
import normalCdfOf from '@stdlib/stats-base-dists-normal-cdf';
import { near } from '../../near.ts';

const r = JSON.parse(
  readFileSync(new URL('../../fixtures/statistics/distributions.json', import.meta.url), 'utf8'),
);

test('Student t quantiles agree with R qt, fractional degrees of freedom included', () => {
  for (const { p, df, value } of r.tQuantile) {
    near(tQuantile(p, df), value, { rel: 1e-9, abs: 1e-12, why: `R 4.2 qt(${p}, ${df})` });
  }
});

test('chi-square quantiles agree with R qchisq', () => {
  for (const { p, df, value } of r.chiSquareQuantile) {
    near(chiSquareQuantile(p, df), value, { rel: 1e-8, abs: 1e-15, why: `R qchisq(${p}, ${df})` });
  }
});

test('F quantiles agree with R qf', () => {
  for (const { p, df1, df2, value } of r.fQuantile) {
    near(fQuantile(p, df1, df2), value, {
      rel: 1e-8,
      abs: 1e-15,
      why: `R qf(${p}, ${df1}, ${df2})`,
    });
  }
});

test('tails far out keep their digits: R pt and pf, upper tail', () => {
  for (const { t, df, value } of r.tTwoSided) {
    near(tTwoSidedP(t, df), value, { rel: 1e-9, why: `R 2·pt(−${t}, ${df})` });
  }
  for (const { f, df1, df2, value } of r.fUpperTail) {
    near(fUpperTail(f, df1, df2), value, { rel: 1e-9, why: `R pf(${f}, ${df1}, ${df2}), upper` });
  }
});

test('the printed tables of t, chi-square, F and the normal are met to their last digit', () => {
  // Tables as in NIST/SEMATECH e-Handbook 1.3.6.7 (values from memory).
  const why = 'half a unit of the last printed digit';
  near(tQuantile(0.975, 1), 12.706, { abs: 6e-4, why });
  near(tQuantile(0.975, 4), 2.776, { abs: 6e-4, why });
  near(tQuantile(0.975, 10), 2.228, { abs: 6e-4, why });
  near(tQuantile(0.975, 20), 2.086, { abs: 6e-4, why });
  near(tQuantile(0.975, Infinity), 1.96, { abs: 6e-4, why });
  near(tQuantile(0.995, 10), 3.169, { abs: 6e-4, why });
  near(chiSquareQuantile(0.95, 10), 18.307, { abs: 6e-4, why });
  near(chiSquareQuantile(0.95, 1), 3.841, { abs: 6e-4, why });
  near(fQuantile(0.95, 3, 10), 3.708, { abs: 6e-4, why });
  near(fQuantile(0.95, 1, 1), 161.448, { abs: 6e-4, why });
  near(fQuantile(0.95, 5, 20), 2.711, { abs: 6e-4, why });
  near(normalQuantile(0.975), 1.959963985, { abs: 1e-9, why });
});

test('cumulative and quantile functions undo each other', () => {
  for (const df of [0.7, 3, 8.4, 200, Infinity]) {
    for (const p of [0.003, 0.2, 0.5, 0.81, 0.999]) {
      const why = 'round trip';
      near(tCdf(tQuantile(p, df), df), p, { abs: 1e-10, why });
      near(fCdf(fQuantile(p, 2.5, df), 2.5, df), p, { abs: 1e-9, why });
      if (df !== Infinity) near(chiSquareCdf(chiSquareQuantile(p, df), df), p, { abs: 1e-10, why });
      near(normalCdf(normalQuantile(p)), p, { abs: 1e-14, why });
    }
  }
});

test('t with infinite degrees of freedom is the normal, F of 1 and n is t squared', () => {
  near(tCdf(1.3, Infinity), normalCdf(1.3), { abs: 1e-15, why: 'limit' });
  near(tCdf(1.3, 1e9), normalCdf(1.3), { abs: 1e-9, why: 'close to the limit' });
  near(fUpperTail(2.2 ** 2, 1, 7.5), tTwoSidedP(2.2, 7.5), {
    rel: 1e-11,
    why: 'identity F(1, n) = t²',
  });
});

test('the fast normal distribution agrees with the library routine', () => {
  for (let x = -8; x <= 8; x += 0.0371) {
    near(standardNormalCdf(x), normalCdfOf(x, 0, 1), { abs: 2e-15, rel: 1e-8, why: '@stdlib' });
  }
});

test('a degree of freedom of zero, a probability above one and NaN are refused', () => {
  assert.throws(() => tQuantile(0.9, 0), RangeError);
  assert.throws(() => tQuantile(1.2, 5), RangeError);
  assert.throws(() => fCdf(1, 2, -1), RangeError);
  assert.throws(() => tCdf(NaN, 5), RangeError);
});
