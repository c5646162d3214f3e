import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  autocorrelation,
  ljungBox,
  mean,
  median,
  medianAbsoluteDeviation,
  oneWayAnova,
  pairedT,
  robustOutliers,
  runsTest,
  standardDeviation,
  welchT,
} from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const load = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../fixtures/statistics/${name}`, import.meta.url), 'utf8'));
const nist = load('nist.json');
const r = load('simple-tests.json');

/** NIST StRD NumAcc4: 10000000.2, then 10000000.1 and 10000000.3 in turn, 1001 values. */
const numAcc4 = [10000000.2, ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? 10000000.1 : 10000000.3))]; // prettier-ignore

// Relative tolerance for F by set; the stiff sets lose digits before we see them, as doubles.
const anovaSets: [name: string, rel: number, lost: string][] = [
  ['SiRstv', 1e-10, 'none'],
  ['SmLs01', 1e-10, 'none'],
  ['AtmWtAg', 1e-6, 'seven constant leading digits of nine'],
  ['SmLs04', 1e-8, 'seven constant leading digits'],
  ['SmLs07', 1e-2, 'thirteen constant leading digits: the data in doubles carry three'],
];
for (const [name, rel, lost] of anovaSets) {
  test(`NIST StRD ${name} analysis of variance (digits lost in the data: ${lost})`, () => {
    const set = nist.anova[name];
    const table = oneWayAnova(set.groups);
    const why = 'NIST StRD certified value';
    assert.equal(table.betweenDf, set.betweenDf);
    assert.equal(table.withinDf, set.withinDf);
    near(table.betweenSumOfSquares, set.betweenSs, { rel, why });
    near(table.withinSumOfSquares, set.withinSs, { rel, why });
    near(table.f, set.f, { rel, why });
    near(table.rSquared, set.r2, { rel, why });
    near(table.residualSd, set.residualSd, { rel, why });
  });
}

test('an offset costs the analysis of variance nothing: SmLs01 moved by 2^40', () => {
  const groups: number[][] = nist.anova.SmLs01.groups;
  // Eighths are exact in binary, with and without the offset.
  const eighths = groups.map((group) => group.map((v) => Math.round(v * 8) / 8));
  const moved = eighths.map((group) => group.map((v) => v + 2 ** 40));
  near(oneWayAnova(moved).f, oneWayAnova(eighths).f, { rel: 1e-12, why: 'centring' });
});

test('Dyestuff (Davies & Goldsmith 1972): F 4.59827, p 0.0043975', () => {
  const data: { batch: string; yield: number }[] = load('mixed-model.json').dyestuff.data;
  const groups = ['A', 'B', 'C', 'D', 'E', 'F'].map((b) =>
    data.filter((row) => row.batch === b).map((row) => row.yield),
  );
  const table = oneWayAnova(groups);
  near(table.f, 4.59827, { abs: 1e-5, why: 'REFERENCES F' });
  near(table.pValue, 0.0043975, { abs: 1e-7, why: 'REFERENCES F' });
  near(table.betweenSumOfSquares / 5, 11271.5, { rel: 1e-12, why: 'REFERENCES F, MSB' });
});

test('two groups: F is the square of t, one value in a group is allowed, one group is not', () => {
  const a = [1, 2, 4];
  const b = [3, 5, 4];
  near(oneWayAnova([a, b]).f, welchT(a, b).t ** 2, { rel: 1e-12, why: 'equal sizes: F = t²' });
  assert.equal(oneWayAnova([a, [7]]).withinDf, 2);
  assert.throws(() => oneWayAnova([a]), RangeError);
  assert.throws(() => oneWayAnova([[1], [2]]), /repeated/);
});

test('NIST StRD Mavro: lag-one autocorrelation 0.938, mean and SD to ten digits', () => {
  const { y, mean: m, sd, r1 } = nist.univariate.Mavro;
  const why = 'NIST StRD certified value';
  near(mean(y), m, { rel: 1e-14, why });
  near(standardDeviation(y), sd, { rel: 1e-10, why });
  near(autocorrelation(y), r1, { rel: 1e-10, why });
});

test('NIST StRD Lew: lag-one autocorrelation −0.307, mean and SD; further lags as R acf', () => {
  const { y, mean: m, sd, r1 } = nist.univariate.Lew;
  const why = 'NIST StRD certified value';
  near(mean(y), m, { rel: 1e-14, why });
  near(standardDeviation(y), sd, { rel: 1e-13, why });
  near(autocorrelation(y), r1, { rel: 1e-12, why });
  near([1, 2, 3, 4, 5].map((lag) => autocorrelation(y, lag)), r.acf.lew, { abs: 1e-12, why: 'R acf' }); // prettier-ignore
});

test('NIST StRD NumAcc4: mean 10000000.2, SD 0.1, lag-one autocorrelation −0.999 near a large offset', () => {
  const why = 'NIST StRD certified value; the data as doubles carry eight digits of the spread';
  near(mean(numAcc4), 10000000.2, { rel: 1e-15, why });
  near(standardDeviation(numAcc4), 0.1, { rel: 1e-8, why });
  near(autocorrelation(numAcc4), -0.999, { rel: 1e-8, why });
});

test('Ljung–Box agrees with R Box.test and rejects Mavro and Lew as independent', () => {
  const cases: [number[], { lag: number; fitdf: number; statistic: number; p: number }][] = [
    [nist.univariate.Mavro.y, r.ljungBox.mavro],
    [nist.univariate.Lew.y, r.ljungBox.lew],
    [r.noise, r.ljungBox.noise],
  ];
  for (const [values, box] of cases) {
    const result = ljungBox(values, box.lag, box.fitdf);
    near(result.statistic, box.statistic, { rel: 1e-10, why: 'R Box.test' });
    near(result.pValue, box.p, { abs: 1e-10, why: 'R Box.test' });
  }
  assert.ok(ljungBox(r.noise, 8).pValue > 0.05, 'normal noise passes');
});

test('runs above and below the median of Lew: Z = 2.6938', () => {
  // NIST/SEMATECH e-Handbook 1.3.5.13 (from memory).
  const result = runsTest(nist.univariate.Lew.y);
  near(result.statistic, 2.6938, { abs: 5e-5, why: 'four decimals printed' });
  assert.ok(runsTest(nist.univariate.Mavro.y).pValue < 1e-6);
  assert.throws(() => runsTest([1, 1, 1]), /one side/);
});

test('Student 1908 sleep data: paired t −4.062, p 0.00283; the same data unpaired show nothing', () => {
  const { a, b, paired, welch } = r.sleep;
  const p = pairedT(a, b);
  near(p.difference, -1.58, { rel: 1e-12, why: 'Student 1908' });
  near([p.t, p.df, p.pValue, ...p.interval], [paired.t, paired.df, paired.p, paired.low, paired.high], { rel: 1e-9, why: 'R t.test' }); // prettier-ignore
  near([p.t, p.pValue], [-4.062128, 0.00283289], { abs: 1e-6, why: 'REFERENCES F' });
  const w = welchT(a, b);
  near([w.t, w.df, w.pValue, ...w.interval], [welch.t, welch.df, welch.p, welch.low, welch.high], { rel: 1e-9, why: 'R t.test' }); // prettier-ignore
});

test('pairs of unequal number, or that differ by a constant, are refused', () => {
  assert.throws(() => pairedT([1, 2], [1]), /cannot pair/);
  assert.throws(() => pairedT([1, 2, 3], [0, 1, 2]), /same amount/);
  assert.throws(() => welchT([1, 1], [2, 2]), /scatters/);
});

test('a wild lap stands apart by the robust test where the plain SD hides it', () => {
  const { values, median: middle, mad } = r.mixed;
  near(median(values), middle, { rel: 1e-12, why: 'R median' });
  near(medianAbsoluteDeviation(values), mad, { rel: 1e-12, why: 'R mad, constant 1' });
  assert.deepEqual(robustOutliers(values), [false, false, false, false, false, true, false, false]);
  const plain = (9.7 - mean(values)) / standardDeviation(values);
  assert.ok(plain < 3, 'three standard deviations would have passed it');
  assert.deepEqual(robustOutliers([5, 5, 5, 5, 9]), [false, false, false, false, true]);
  assert.deepEqual(robustOutliers([5, 5, 5, 5]), [false, false, false, false]);
  assert.deepEqual(robustOutliers([1, 2, 900]), [false, false, false], 'three values are too few');
});

test('mean and spread follow a change of unit and of origin', () => {
  const sample = fc.array(fc.double({ min: -100, max: 100, noNaN: true }), { minLength: 3, maxLength: 30 }); // prettier-ignore
  fc.assert(
    fc.property(sample, (values) => {
      const moved = values.map((v) => 4 * v + 1024);
      const abs = 1e-10;
      near(mean(moved), 4 * mean(values) + 1024, { abs, why: 'linear' });
      near(standardDeviation(moved), 4 * standardDeviation(values), { abs: 1e-8, why: 'linear' });
      near(median(moved), 4 * median(values) + 1024, { abs, why: 'linear' });
    }),
    { seed: 7, numRuns: 100 },
  );
  assert.throws(() => standardDeviation([1]), /too few/);
  assert.throws(() => mean([1, NaN]), /not a number/);
});
