import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import {
  detectableEffect,
  detectableInStandardErrors,
  noncentralTCdf,
  normalQuantile,
  powerOfComparison,
  powerOfT,
  tCdf,
  tQuantile,
} from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const load = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../fixtures/statistics/${name}`, import.meta.url), 'utf8'));

test('the noncentral t agrees with R pt', () => {
  for (const { t, df, delta, value } of load('distributions.json').noncentralT) {
    near(noncentralTCdf(t, df, delta), value, { abs: 1e-9, why: `R pt(${t}, ${df}, ${delta})` });
  }
  near(noncentralTCdf(1.3, 7.5, 0), tCdf(1.3, 7.5), { abs: 1e-12, why: 'no noncentrality' });
});

test('Cohen 1988 table 2.4.1: 394, 64 and 26 in each group for small, medium and large effects', () => {
  const power = (n: number, effect: number): number =>
    powerOfComparison({ kind: 'two groups', n, effect });
  near([power(394, 0.2), power(64, 0.5), power(26, 0.8)], [0.80059, 0.80146, 0.80749], {
    abs: 1e-5,
    why: 'REFERENCES F',
  });
  near(power(393, 0.2), 0.79959, { abs: 1e-5, why: 'REFERENCES F: just short, Cohen prints 393' });
  near([34, 15].map((n, i) => powerOfComparison({ kind: 'pairs', n, effect: [0.5, 0.8][i] })), [0.80778, 0.82131], { abs: 1e-5, why: 'REFERENCES F' }); // prettier-ignore
});

test('power agrees with R power.t.test, both tails counted', () => {
  const { power } = load('simple-tests.json');
  near(powerOfComparison({ kind: 'two groups', n: 17, effect: 0.9 }), power.twoGroups, { abs: 1e-9, why: 'R' }); // prettier-ignore
  near(powerOfComparison({ kind: 'pairs', n: 7, effect: 1.3 }), power.pairs, { abs: 1e-9, why: 'R' }); // prettier-ignore
});

test('smallest difference shown with 80 % power by 4 to 20 pairs, and by two groups', () => {
  const n = [4, 6, 8, 10, 20];
  near(n.map((k) => detectableEffect({ kind: 'pairs', n: k })), [2.128, 1.435, 1.156, 0.996, 0.66], { abs: 6e-4, why: 'REFERENCES F, noncentral t' }); // prettier-ignore
  near(n.map((k) => detectableEffect({ kind: 'two groups', n: k })), [2.381, 1.796, 1.507, 1.325, 0.909], { abs: 6e-4, why: 'REFERENCES F, noncentral t' }); // prettier-ignore
});

test('six pairs of laps that repeat to 0.9 % of 0.25 m² show 0.0046 m²', () => {
  // Run-to-run 0.9 % from Kordi et al. 2021 (abstract); the arithmetic is REFERENCES F.
  const sd = Math.SQRT2 * 0.009 * 0.25;
  near(sd * detectableEffect({ kind: 'pairs', n: 6 }), 0.00457, { abs: 1e-5, why: 'REFERENCES F' });
});

test('many degrees of freedom: 1.96 + 0.84 standard errors, as every textbook has it', () => {
  near(detectableInStandardErrors({ df: Infinity }), normalQuantile(0.975) + normalQuantile(0.8), {
    abs: 1e-5,
    why: 'the far tail adds a few millionths',
  });
});

test('a wider critical value needs a larger difference, and power comes back from it', () => {
  const df = 8.3;
  const plain = detectableInStandardErrors({ df });
  const criticalValue = tQuantile(0.99, df);
  const adjusted = detectableInStandardErrors({ df, criticalValue });
  assert.ok(adjusted > plain);
  near(powerOfT({ noncentrality: adjusted, df, criticalValue }), 0.8, {
    abs: 1e-9,
    why: 'inverse',
  });
  near(powerOfT({ noncentrality: 0, df, criticalValue }), 0.02, { abs: 1e-10, why: 'level' });
  assert.throws(() => detectableInStandardErrors({ df, power: 0.01 }), /between/);
  assert.throws(() => detectableEffect({ kind: 'pairs', n: 1 }), /too few/);
});
