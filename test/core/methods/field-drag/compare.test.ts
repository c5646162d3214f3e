import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { compareSetups, type Comparison } from '../../../../src/core/methods/field-drag/compare.ts';
import { LapModel, type ComparedLap } from '../../../../src/core/methods/field-drag/lap-model.ts';
import {
  dunnettAdjustedP,
  fitMixedModel,
  generalisedLeastSquares,
} from '../../../../src/core/statistics/index.ts';
import { near } from '../../../near.ts';
import { differences, inputOf, smallDay } from './made-laps.ts';

interface Fitted {
  data: { setup: number; run: number; timeH: number; cda: number }[];
  differences: number[];
  standardErrors: number[];
  df: number[];
  halfWidths: number[];
  dunnettDf: number;
  dunnettP: number[];
  covariance: number[][];
  drift: number;
  driftStandardError: number;
  runSd: number;
  lapSd: number;
}

/** Made by R (lme4, lmerTest, multcomp): tools/reference/field-comparison.R. Invented lap values. */
const reference = JSON.parse(
  readFileSync(new URL('../../../fixtures/methods/field-comparison.json', import.meta.url), 'utf8'),
) as {
  balanced: Fitted;
  uneven: Fitted;
  nested: { differences: number[]; standardErrors: number[]; df: number };
  known: { coefficients: number[]; covariance: number[][]; logRestricted: number };
};

const lapsOf = ({ data }: Fitted): ComparedLap[] =>
  data.map(({ setup, run, timeH, cda }) => ({ setup, run, timeH, cdaM2: cda }));

test('on a balanced day of six remounts each, differences and intervals are those of lme4 with Satterthwaite degrees', () => {
  const { balanced } = reference;
  const comparison = compareSetups(inputOf(lapsOf(balanced)));
  differences(comparison).forEach((estimate, i) => {
    near(estimate.value, balanced.differences[i], {
      abs: 0.05 * balanced.standardErrors[i],
      why: 'a balanced day has one estimate but for the drift; a twentieth of its standard error',
    });
    near(estimate.halfWidth95, balanced.halfWidths[i], {
      rel: 0.15,
      why: 'averaged over the variances on a grid, not maximised',
    });
  });
  near(comparison.drift!.perHour, balanced.drift, {
    abs: 0.3 * balanced.driftStandardError,
    why: 'a wandering drift beside the straight one weighs the ends of the day otherwise',
  });
  near(comparison.lapScatter, balanced.lapSd, { rel: 0.1, why: 'the same scatter, averaged' });
  near(comparison.runScatter, balanced.runSd, { rel: 0.25, why: 'told by 20 runs only' });
});

test('on an uneven day with drift and laps left out the comparison still stands beside lme4', () => {
  const { uneven } = reference;
  const comparison = compareSetups(inputOf(lapsOf(uneven)));
  differences(comparison).forEach((estimate, i) => {
    near(estimate.value, uneven.differences[i], {
      abs: 0.1 * uneven.standardErrors[i],
      why: 'a tenth of the standard error',
    });
    near(estimate.halfWidth95, uneven.halfWidths[i], { rel: 0.15, why: 'averaged, not maximised' });
  });
});

test('the own mixed model and R agree on that day, so that the check above has two sides', () => {
  const { uneven } = reference;
  const laps = lapsOf(uneven);
  const model = new LapModel(laps, new Float64Array(laps.length ** 2));
  const fit = fitMixedModel({
    y: model.y,
    x: model.x,
    p: model.p,
    random: [{ name: 'run', groups: laps.map((lap) => lap.run) }],
  });
  uneven.differences.forEach((expected, i) => {
    const l = [-1, 0, 0, 0, 0];
    l[i + 1] = 1;
    const { estimate, standardError, df } = fit.contrast(l);
    near(estimate, expected, { rel: 1e-6, why: 'two optimisers' });
    near(standardError, uneven.standardErrors[i], { rel: 1e-5, why: 'two optimisers' });
    near(df, uneven.df[i], { rel: 1e-2, why: 'numerical derivatives in R' });
  });
});

test('laps of one run are no replicates: the interval is that of run means, wider than that of single laps', () => {
  const { balanced, nested } = reference;
  const comparison = compareSetups(inputOf(lapsOf(balanced)));
  // Without a run effect 120 laps would seem to be 120 replicates.
  const single = Math.sqrt((2 * (balanced.lapSd ** 2 + balanced.runSd ** 2)) / 30);
  differences(comparison).forEach((estimate, i) => {
    near(estimate.value, nested.differences[i], {
      abs: 0.1 * nested.standardErrors[i],
      why: 'nested analysis of variance on run means (R lm), which has no drift',
    });
    const standardError = estimate.halfWidth95 / 2.09;
    near(standardError, nested.standardErrors[i], { rel: 0.15, why: 'the drift is fitted here' });
    assert.ok(standardError > 1.4 * single, `${standardError} beside ${single}`);
  });
});

test('with every variance known the model is generalised least squares as R has it by formula', () => {
  const { known, uneven } = reference;
  const laps = lapsOf(uneven);
  const n = laps.length;
  const shared = Float64Array.from({ length: n * n }, (_, k) =>
    laps[Math.floor(k / n)].run === laps[k % n].run ? 1e-6 : 0,
  );
  const model = new LapModel(laps, shared);
  const components = {
    lapVariance: 0.002 ** 2,
    runVariance: 0.0015 ** 2,
    driftVariance: 0.0005 ** 2,
    windFactor: 1,
  };
  const v = model.covariance(components, new Float64Array(n * n));
  const fit = generalisedLeastSquares(model.y, model.x, model.p, v);
  near(fit.coefficients, known.coefficients, { rel: 1e-9, why: 'dense algebra of 111 laps' });
  near(fit.covariance, known.covariance.flat(), { rel: 1e-8, why: 'dense algebra of 111 laps' });
  near(fit.restrictedLogLikelihood, known.logRestricted, { rel: 1e-9, why: 'dense algebra' });
  const gain = model.gain(components);
  const applied = Array.from({ length: model.p }, (_, a) =>
    model.y.reduce((sum, y, i) => sum + gain[a * n + i] * y, 0),
  );
  near(applied, known.coefficients, { rel: 1e-8, why: 'the same estimate as a weighing of laps' });
});

test('when sensors and wind outweigh how riders scatter, laps are weighed as generalised least squares weighs them', () => {
  const laps = smallDay(Array.from({ length: 24 }, (_, i) => Math.sin(7 * i)));
  const n = laps.length;
  // Measured ten times worse in the second half of each run, and errors alike within a run.
  const covariance = new Float64Array(n * n);
  const sd = (i: number) => (i % 3 === 0 ? 0.02 : 0.2);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      if (laps[i].run === laps[j].run) covariance[i * n + j] = 0.3 * sd(i) * sd(j);
    }
    covariance[i * n + i] = sd(i) ** 2;
  }
  const model = new LapModel(laps, covariance);
  const fit = generalisedLeastSquares(model.y, model.x, model.p, covariance);
  const comparison = compareSetups(inputOf(laps, { covariance }));
  differences(comparison).forEach((estimate, i) => {
    const standardError = Math.sqrt(
      fit.covariance[0] + fit.covariance[(i + 1) * (model.p + 1)] - 2 * fit.covariance[i + 1],
    );
    near(estimate.value, fit.coefficients[i + 1] - fit.coefficients[0], {
      abs: 0.02 * standardError,
      why: 'riders scatter by 0.5 % beside sensors of 8 % and more',
    });
    assert.ok(estimate.halfWidth95 > standardError, 'the factor on the covariance is in doubt');
  });
});

test('the Dunnett-adjusted p of a covariance is that of multcomp in R', () => {
  for (const { differences: d, standardErrors, covariance, dunnettDf, dunnettP } of [
    reference.balanced,
    reference.uneven,
  ]) {
    const correlation = covariance.map((row, i) =>
      row.map((c, j) => (i === j ? 1 : c / Math.sqrt(covariance[i][i] * covariance[j][j]))),
    );
    const t = d.map((value, i) => value / standardErrors[i]);
    near(dunnettAdjustedP({ t, correlation, df: dunnettDf }), dunnettP, {
      abs: 5e-5,
      why: 'multcomp integrates by chance to about 1e-5',
    });
  }
});

test('on the balanced day the comparison comes to the same p as lme4 with multcomp, a little more careful', () => {
  const { balanced } = reference;
  const { pAdjusted } = compareSetups(inputOf(lapsOf(balanced)));
  const ps = pAdjusted.filter((p) => p !== null);
  near(ps, balanced.dunnettP, { abs: 0.02, rel: 0.3, why: 'intervals agree to 15 %' });
  assert.ok(ps[2] < 0.05 && ps[0] < 0.05 && ps[1] > 0.3, 'the same verdicts');
});

test('simultaneous intervals are wider than single ones, and the smallest visible difference wider still', () => {
  const comparison = compareSetups(
    inputOf(smallDay(new Array<number>(24).fill(0.3).map(Math.sin))),
  );
  comparison.difference.forEach((estimate, i) => {
    if (!estimate) return;
    assert.ok(comparison.halfWidthSimultaneous[i]! > estimate.halfWidth95);
    assert.ok(comparison.smallestVisible[i]! > comparison.halfWidthSimultaneous[i]!);
  });
});

test('an error that all laps share is in the absolute values and cancels in the differences', () => {
  const laps = smallDay(Array.from({ length: 24 }, (_, i) => Math.cos(5 * i)));
  const n = laps.length;
  const shared = new Float64Array(n * n).fill(0.01 ** 2);
  const without = compareSetups(inputOf(laps));
  const withShared = compareSetups(inputOf(laps, { covariance: shared }));
  without.difference.forEach((estimate, i) => {
    if (!estimate) return;
    near(withShared.difference[i]!.halfWidth95, estimate.halfWidth95, {
      rel: 1e-3,
      why: 'the same but for rounding of a nearly singular matrix',
    });
  });
  const own = without.absolute[0]!.standardUncertainty;
  near(withShared.absolute[0]!.standardUncertainty, Math.hypot(own, 0.01), {
    rel: 0.02,
    why: 'variances add',
  });
});

test('the doubt about a constant follows how each lap depends on it: alike for all laps it cancels', () => {
  const laps = smallDay(Array.from({ length: 24 }, (_, i) => Math.cos(3 * i)));
  const uncertainty = { crr: 0.0004, massKg: 0, efficiency: 0, meanSquareM2PerS2: 0, model: 0 };
  const none = new Float64Array(laps.length);
  const withCrr = (crr: Float64Array) =>
    compareSetups(
      inputOf(laps, {
        uncertainty,
        sensitivity: { crr, massKg: none, efficiency: none, meanSquareM2PerS2: none },
      }),
    );
  const line = ({ budget }: Comparison) => budget.find((l) => l.source === 'rolling resistance')!;
  const alike = line(withCrr(new Float64Array(laps.length).fill(-11)));
  near(alike.ofAbsoluteM2, 0.0044, { rel: 1e-9, why: 'weights of one setup add up to 1' });
  near(alike.ofDifferenceM2, 0, { abs: 1e-12, why: 'weights of a difference add up to 0' });
  const exact = compareSetups(inputOf(laps)).absolute[0]!;
  const doubted = withCrr(new Float64Array(laps.length).fill(-11)).absolute[0]!;
  near(doubted.halfWidth95, Math.hypot(exact.halfWidth95, 1.96 * 0.0044), {
    rel: 1e-4,
    why: 'half-widths of 95 % add as squares',
  });
  // The setup ridden slower depends on it more: 11 for control, 13 for the first other.
  const unlike = line(withCrr(Float64Array.from(laps, (lap) => (lap.setup === 1 ? -13 : -11))));
  near(unlike.ofDifferenceM2, 0.0008, { rel: 1e-9, why: '2 · 0.0004' });
});

test('two setups with one run each are compared with a wide interval, not refused and not narrow', () => {
  const laps = [0, 1].flatMap((setup) =>
    [0, 1, 2].map((lap) => ({
      setup,
      run: setup + 1,
      timeH: 0.4 * setup + 0.08 * lap,
      cdaM2: 0.24 - 0.004 * setup + 0.0005 * [-1, 2, -1][lap],
    })),
  );
  const [estimate] = differences(compareSetups(inputOf(laps)));
  near(estimate.value, -0.004, { abs: 1e-4, why: 'laps of a run show no trend here' });
  // Laps alone would give ± 0.001: what a remount changes is unknown and must be allowed for.
  assert.ok(estimate.halfWidth95 > 0.0025, `${estimate.halfWidth95}`);
});
