import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { randomStream, wander } from '../../src/simulation/random.ts';

const moments = (x: number[]) => {
  const mean = x.reduce((sum, v) => sum + v, 0) / x.length;
  const central = (power: number) => x.reduce((sum, v) => sum + (v - mean) ** power, 0) / x.length;
  return {
    mean,
    sd: Math.sqrt(central(2)),
    skew: central(3) / central(2) ** 1.5,
    kurtosis: central(4) / central(2) ** 2,
  };
};

test('normal deviates have the moments of the normal distribution: 0, 1, 0, 3', () => {
  const random = randomStream(7, 'moments');
  const n = 200_000;
  const m = moments(Array.from({ length: n }, () => random.normal()));
  near(m.mean, 0, { abs: 4 / Math.sqrt(n), why: 'four standard errors of a mean' });
  near(m.sd, 1, { abs: 4 / Math.sqrt(2 * n), why: 'four standard errors of a standard deviation' });
  near(m.skew, 0, { abs: 4 * Math.sqrt(6 / n), why: 'four standard errors of skewness' });
  near(m.kurtosis, 3, { abs: 4 * Math.sqrt(24 / n), why: 'four standard errors of kurtosis' });
});

test('uniform numbers fill sixteen boxes evenly: chi-square under its 99.99 % point, 44.3 for 15 degrees of freedom', () => {
  const random = randomStream(11, 'boxes');
  const n = 160_000;
  const boxes = new Array<number>(16).fill(0);
  for (let i = 0; i < n; i++) boxes[Math.floor(16 * random.uniform())]++;
  const chi2 = boxes.reduce((sum, count) => sum + (count - n / 16) ** 2 / (n / 16), 0);
  assert.ok(chi2 < 44.3, `chi-square ${chi2}`);
});

test('streams of one seed for two purposes, and of two seeds for one purpose, are uncorrelated', () => {
  const n = 20_000;
  const draw = (seed: number, purpose: string) => {
    const random = randomStream(seed, purpose);
    return Array.from({ length: n }, () => random.normal());
  };
  const base = draw(1, 'power 0');
  for (const other of [draw(1, 'power 1'), draw(1, 'speed 0'), draw(2, 'power 0')]) {
    const r = base.reduce((sum, v, i) => sum + v * other[i], 0) / n;
    near(r, 0, { abs: 4 / Math.sqrt(n), why: 'four standard errors of a correlation' });
  }
});

test('a wander keeps its standard deviation and forgets as exp(-lag / time scale), whatever the step', () => {
  for (const step of [0.5, 4]) {
    const process = wander(randomStream(3, `wander ${step}`), 0.3, 20);
    const n = 400_000;
    const x = Array.from({ length: n }, () => process.step(step));
    const { mean, sd } = moments(x);
    near(sd, 0.3, { rel: 0.05, why: 'sampling error of a correlated series this long' });
    const lag = Math.round(20 / step);
    let product = 0;
    for (let i = lag; i < n; i++) product += (x[i] - mean) * (x[i - lag] - mean);
    near(product / (n - lag) / (sd * sd), Math.exp(-1), {
      abs: 0.04,
      why: 'sampling error of an autocorrelation',
    });
  }
});
