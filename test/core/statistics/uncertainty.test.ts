import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  mean,
  propagateUncertainty,
  standardDeviation,
} from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const gum = 'JCGM 100:2008, inputs and results as in public copies of the example';

test('GUM H.1 end gauge: 50.000838 mm, standard uncertainty 32 nm, 16 degrees of freedom, 93 nm at 99 %', () => {
  const thermal = { u: 1 / Math.sqrt(3) };
  const difference = propagateUncertainty({
    model: ([a, b, c]) => a + b + c,
    inputs: [
      { name: 'repeated observations', value: 215, standardUncertainty: 5.8, df: 24 },
      { name: 'random effects of comparator', value: 0, standardUncertainty: 3.9, df: 5 },
      { name: 'systematic effects of comparator', value: 0, standardUncertainty: 6.7, df: 8 },
    ],
  });
  near(difference.standardUncertainty, 9.7, { abs: 0.05, why: gum });
  near(difference.effectiveDf, 25.6, { abs: 0.2, why: 'the GUM goes on from the rounded 9.7 nm' });

  // Lengths in nm, temperatures in °C from 20.
  const length = propagateUncertainty({
    model: ([standard, d, deltaAlpha, theta, alpha, deltaTheta]) =>
      standard + d - standard * (deltaAlpha * theta + alpha * deltaTheta),
    inputs: [
      { name: 'length of standard', value: 5.0000623e7, standardUncertainty: 25, df: 18 },
      { name: 'difference', value: difference.value, standardUncertainty: difference.standardUncertainty, df: difference.effectiveDf }, // prettier-ignore
      { name: 'difference of expansion', value: 0, standardUncertainty: 1e-6 * thermal.u, df: 50 },
      { name: 'temperature', value: -0.1, standardUncertainty: 0.41 },
      { name: 'expansion of standard', value: 11.5e-6, standardUncertainty: 2e-6 * thermal.u },
      { name: 'difference of temperature', value: 0, standardUncertainty: 0.05 * thermal.u, df: 2 },
    ],
  });
  near(length.value, 5.0000838e7, { abs: 0.5, why: gum });
  near(length.standardUncertainty, 32, { abs: 0.5, why: gum });
  near(length.standardUncertainty ** 2, 1002, { abs: 3, why: 'GUM equation H.9, rounded parts' });
  near(
    length.contributions.map((one) => one.standardUncertainty),
    [25, 9.7, 2.887, 0, 0, 16.6],
    { abs: 0.05, why: gum },
  );
  near(length.effectiveDf, 16.7, { abs: 0.2, why: 'GUM H.1.6, from rounded parts' });
  const expanded = length.expanded(0.99);
  near(expanded.coverageFactor, 2.92, { abs: 0.005, why: 'GUM table G.2, 16 degrees of freedom' });
  near(expanded.halfWidth, 93, { abs: 1, why: 'GUM H.1.6' });
});

test('GUM H.2: resistance 127.732(71), reactance 219.847(295), impedance 254.260(236) ohm from correlated readings', () => {
  // Five simultaneous readings of voltage, current (mA) and phase: GUM table H.2.
  const v = [5.007, 4.994, 5.005, 4.99, 4.999];
  const i = [19.663, 19.639, 19.64, 19.685, 19.678];
  const phase = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
  const columns = [v, i.map((mA) => mA / 1000), phase];
  const correlation = columns.map((a) =>
    columns.map((b) => {
      const sum = a.reduce((s, value, k) => s + (value - mean(a)) * (b[k] - mean(b)), 0);
      return sum / (4 * standardDeviation(a) * standardDeviation(b));
    }),
  );
  near([correlation[0][1], correlation[0][2], correlation[1][2]], [-0.36, 0.86, -0.65], { abs: 0.006, why: gum }); // prettier-ignore
  const inputs = columns.map((column, k) => ({
    name: ['voltage', 'current', 'phase'][k],
    value: mean(column),
    standardUncertainty: standardDeviation(column) / Math.sqrt(5),
  }));
  const of = (model: (x: number[]) => number): [number, number] => {
    const result = propagateUncertainty({ model, inputs, correlation });
    return [result.value, result.standardUncertainty];
  };
  const why = gum;
  near(
    of(([V, I, p]) => (V / I) * Math.cos(p)),
    [127.732, 0.071],
    { abs: 1e-3, why },
  );
  near(
    of(([V, I, p]) => (V / I) * Math.sin(p)),
    [219.847, 0.295],
    { abs: 1e-3, why },
  );
  near(
    of(([V, I]) => V / I),
    [254.26, 0.236],
    { abs: 1e-3, why },
  );
});

test('a sum of independent parts adds in squares; fully correlated parts add straight', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.01, max: 9, noNaN: true }),
      fc.double({ min: 0.01, max: 9, noNaN: true }),
      (ua, ub) => {
        const inputs = [
          { name: 'a', value: 1, standardUncertainty: ua },
          { name: 'b', value: 2, standardUncertainty: ub },
        ];
        const model = ([a, b]: number[]): number => a + b;
        const why = 'identity';
        near(propagateUncertainty({ model, inputs }).standardUncertainty, Math.hypot(ua, ub), { rel: 1e-9, why }); // prettier-ignore
        const one = [[1, 1], [1, 1]]; // prettier-ignore
        near(propagateUncertainty({ model, inputs, correlation: one }).standardUncertainty, ua + ub, { rel: 1e-9, why }); // prettier-ignore
        const given = propagateUncertainty({ model, inputs, sensitivities: [2, 0] });
        near(given.standardUncertainty, 2 * ua, { rel: 1e-12, why });
      },
    ),
    { seed: 100, numRuns: 50 },
  );
});

test('a negative uncertainty and a correlation above one are refused', () => {
  const inputs = [
    { name: 'mass', value: 83, standardUncertainty: -0.1 },
    { name: 'speed', value: 11, standardUncertainty: 0.1 },
  ];
  assert.throws(() => propagateUncertainty({ model: ([a]) => a, inputs }), /mass/);
  inputs[0].standardUncertainty = 0.1;
  const correlation = [[1, 1.5], [1.5, 1]]; // prettier-ignore
  assert.throws(
    () => propagateUncertainty({ model: ([a, b]) => a + b, inputs, correlation }),
    /1.5/,
  );
});
