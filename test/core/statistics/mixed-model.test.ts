import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import {
  fitMixedModel,
  generalisedLeastSquares,
  NotPositiveDefiniteError,
} from '../../../src/core/statistics/index.ts';
import type { MixedModelInput } from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const r = JSON.parse(
  readFileSync(new URL('../../fixtures/statistics/mixed-model.json', import.meta.url), 'utf8'),
);

interface Reference {
  variances: number | number[];
  residual: number;
  coefficients: number | number[];
  covariance: number[][];
  logLik: number;
}

function agrees(input: MixedModelInput, reference: Reference): void {
  const fit = fitMixedModel(input);
  const why = 'R lme4, whose optimiser stops at about 1e-6 of a variance';
  assert.ok(fit.converged);
  near(fit.randomVariances, [reference.variances].flat(), { rel: 2e-6, abs: 1e-12, why });
  near(fit.residualVariance ?? NaN, reference.residual, { rel: 2e-6, why });
  near(fit.coefficients, [reference.coefficients].flat(), { rel: 1e-6, abs: 1e-12, why });
  near(fit.covariance, reference.covariance.flat(), { rel: 2e-6, why });
  const logLik = input.likelihood === 'full' ? fit.logLikelihood : fit.restrictedLogLikelihood;
  near(logLik, reference.logLik, { rel: 1e-10, why: 'flat at the top' });
}

const dyestuff = (likelihood: 'restricted' | 'full'): MixedModelInput => ({
  y: Float64Array.from(r.dyestuff.data, (row: { yield: number }) => row.yield),
  x: new Float64Array(30).fill(1),
  p: 1,
  random: [{ name: 'batch', groups: r.dyestuff.data.map((row: { batch: string }) => row.batch) }],
  likelihood,
});

interface Lap {
  setup: string;
  run: number;
  time: number;
  cda: number;
}

function fieldDay(rows: Lap[], likelihood: 'restricted' | 'full'): MixedModelInput {
  const x = new Float64Array(rows.length * 4);
  rows.forEach((lap, i) => {
    x.set([1, lap.setup === 'deep' ? 1 : 0, lap.setup === 'disc' ? 1 : 0, lap.time], i * 4);
  });
  return {
    y: Float64Array.from(rows, (lap) => lap.cda),
    x,
    p: 4,
    random: [{ name: 'run', groups: rows.map((lap) => lap.run) }],
    likelihood,
  };
}

test('Dyestuff (Davies & Goldsmith 1972): batch variance 1764.05, residual 2451.25 by restricted likelihood', () => {
  const fit = fitMixedModel(dyestuff('restricted'));
  // Closed form in a balanced layout: (MSB − MSE)/5 with MSB 11271.5, MSE 2451.25.
  near(fit.randomVariances, [(11271.5 - 2451.25) / 5], {
    rel: 1e-10,
    why: 'balanced, closed form',
  });
  near(fit.residualVariance ?? NaN, 2451.25, { rel: 1e-10, why: 'balanced, closed form' });
  near(fit.coefficients, [1527.5], { rel: 1e-12, why: 'mean of the data' });
  near(fit.contrast([1]).df, 5, { abs: 1e-6, why: 'six batches, balanced' });
  agrees(dyestuff('restricted'), r.dyestuff.restricted);
});

test('Dyestuff by full likelihood: batch variance 1388.33, deviance 327.3271', () => {
  const fit = fitMixedModel(dyestuff('full'));
  near(fit.randomVariances, [1388.333], { abs: 1e-3, why: 'lme4 / Davies, three decimals' });
  near(-2 * fit.logLikelihood, 327.3271, { abs: 6e-5, why: 'lme4, four decimals' });
  agrees(dyestuff('full'), r.dyestuff.full);
});

test('a field day of three setups, nine runs, linear drift (invented) agrees with R lme4 and nlme', () => {
  agrees(fieldDay(r.field.data, 'restricted'), r.field.restricted);
  agrees(fieldDay(r.field.data, 'full'), r.field.full);
  const fit = fitMixedModel(fieldDay(r.field.data, 'restricted'));
  const { nlme } = r.field;
  near(fit.coefficients, nlme.coefficients, { rel: 1e-7, why: 'R nlme' });
  near(Math.sqrt(fit.randomVariances[0]), nlme.runSd, { rel: 1e-5, why: 'R nlme, seven digits' });
  near(Math.sqrt(fit.residualVariance ?? NaN), nlme.residualSd, { rel: 1e-5, why: 'R nlme' });
  near(fit.restrictedLogLikelihood, nlme.logLik, { rel: 1e-10, why: 'R nlme' });
});

test('standard errors and Satterthwaite degrees of freedom of the setups agree with R lmerTest', () => {
  const fit = fitMixedModel(fieldDay(r.field.data, 'restricted'));
  [0, 1, 2, 3].forEach((j) => {
    const { standardError, df } = fit.contrast([0, 1, 2, 3].map((k) => (k === j ? 1 : 0)));
    near(standardError, r.field.satterthwaite.se[j], { rel: 1e-6, why: 'R lmerTest' });
    near(df, r.field.satterthwaite.df[j], { rel: 1e-4, why: 'R lmerTest, numerical derivatives' });
  });
});

test('runs that do not scatter leave the run variance at zero, as R lme4 has it', () => {
  agrees(fieldDay(r.flat.data, 'restricted'), r.flat.restricted);
  const fit = fitMixedModel(fieldDay(r.flat.data, 'restricted'));
  assert.equal(fit.randomVariances[0], 0);
  near(fit.contrast([0, 1, 0, 0]).df, 31, { abs: 1e-6, why: '35 laps less four coefficients' });
});

test('two crossed random effects agree with R lme4', () => {
  const rows: { run: number; half: number; y: number }[] = r.crossed.data;
  agrees(
    {
      y: Float64Array.from(rows, (row) => row.y),
      x: new Float64Array(rows.length).fill(1),
      p: 1,
      random: [
        { name: 'run', groups: rows.map((row) => row.run) },
        { name: 'half', groups: rows.map((row) => row.half) },
      ],
    },
    r.crossed.restricted,
  );
});

test('a known covariance equal to the estimated residual gives the same run variance', () => {
  const input = fieldDay(r.field.data, 'restricted');
  const free = fitMixedModel(input);
  const n = input.y.length;
  const known = new Float64Array(n * n);
  for (let i = 0; i < n; i++) known[i * n + i] = free.residualVariance ?? NaN;
  const fixed = fitMixedModel({ ...input, known, residual: false });
  near(fixed.randomVariances, free.randomVariances, {
    rel: 1e-6,
    why: 'the same top of the likelihood',
  });
  near(fixed.coefficients, free.coefficients, { rel: 1e-8, why: 'the same covariance' });
  assert.equal(fixed.residualVariance, null);
  // Half of it known: the rest comes out as residual.
  const half = fitMixedModel({ ...input, known: known.map((v) => v / 2) });
  near(half.residualVariance ?? NaN, (free.residualVariance ?? NaN) / 2, { rel: 1e-6, why: 'sum' });
});

test('the fit does not care about the unit: square metres or square centimetres', () => {
  const input = fieldDay(r.field.data, 'restricted');
  const fit = fitMixedModel(input);
  const scaled = fitMixedModel({ ...input, y: input.y.map((v) => v * 1e4) });
  near(scaled.randomVariances[0], fit.randomVariances[0] * 1e8, { rel: 1e-8, why: 'scaling' });
  near(scaled.contrast([0, 1, 0, 0]).df, fit.contrast([0, 1, 0, 0]).df, {
    rel: 1e-6,
    why: 'scaling',
  });
});

test('with V = σ²I generalised least squares is the plain mean and its likelihood in closed form', () => {
  const y = Float64Array.of(1, 3, 5, 11);
  const v = new Float64Array(16);
  for (let i = 0; i < 4; i++) v[i * 5] = 2;
  const fit = generalisedLeastSquares(y, new Float64Array(4).fill(1), 1, v);
  near(fit.coefficients, [5], { rel: 1e-14, why: 'mean' });
  near(fit.covariance, [0.5], { rel: 1e-14, why: 'σ²/n' });
  near(fit.residualQuadratic, 28, { rel: 1e-14, why: '56/2' });
  const full = -0.5 * (4 * Math.log(2 * Math.PI) + 4 * Math.log(2) + 28);
  near(fit.logLikelihood, full, { rel: 1e-14, why: 'closed form' });
  near(fit.restrictedLogLikelihood, full + 0.5 * (Math.log(2 * Math.PI) - Math.log(2)), { rel: 1e-14, why: 'closed form' }); // prettier-ignore
});

test('a design with two equal columns, and groups of the wrong length, are refused', () => {
  const input = dyestuff('restricted');
  assert.throws(() => fitMixedModel({ ...input, x: new Float64Array(60).fill(1), p: 2 }), NotPositiveDefiniteError); // prettier-ignore
  assert.throws(
    () => fitMixedModel({ ...input, random: [{ name: 'run', groups: [1, 2] }] }),
    /run: 2 groups for 30 rows/,
  );
});
