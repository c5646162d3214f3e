import { test } from 'node:test';
import type { Balance, BalanceRow } from '../../../../src/core/methods/field-drag/balance.ts';
import {
  setBlindCrosswind,
  slowWindMeanSquare,
} from '../../../../src/core/methods/field-drag/crosswind.ts';
import { StepStore } from '../../../../src/core/methods/field-drag/steps.ts';
import { between, type Layout } from '../../../../src/core/methods/field-drag/wind-layout.ts';
import { near } from '../../../near.ts';

const n = 72;
const heading = (i: number) => (2 * Math.PI * (i + 0.5)) / n;

test('round a circle the mean square along the road is half of the wind: twice that is the whole of it', () => {
  const store = new StepStore(4);
  for (let i = 0; i < n; i++) {
    store.add(1, 10, NaN, NaN, 1.2, Math.cos(heading(i)), Math.sin(heading(i)), i);
  }
  const steps = store.finished();
  const balance: Balance = { rows: [], steps };
  // A steady wind of 3 m/s east and 1 m/s north at both knots of the slow mean.
  const x = Float64Array.of(3, 1, 3, 1);
  const layout = { firstMean: 0 } as Layout;
  const meanKnots = between([0, n], steps.dayTimeS);
  near(slowWindMeanSquare(x, layout, balance, meanKnots), 10, {
    rel: 1e-12,
    why: 'cos² averages to a half round a circle',
  });
  near(slowWindMeanSquare(new Float64Array(4), layout, balance, meanKnots), 0.5, {
    rel: 1e-12,
    why: 'air is never thought to stand quite still',
  });
});

test('a sensor without headings: what the wind does not do along the road on a lap it does across', () => {
  const wind = 2.5;
  const rows = Array.from({ length: n }, (): BalanceRow => {
    const row = { lap: 0, durationS: 4, distanceM: 40 };
    return row as BalanceRow;
  });
  const air = Float64Array.from({ length: n }, (_, i) => 10 + wind * Math.cos(heading(i)));
  const cross = new Float64Array(n);
  setBlindCrosswind(cross, { rows, steps: new StepStore(1).finished() }, air, 1);
  near(
    cross,
    Float64Array.from({ length: n }, (_, i) => (wind * Math.sin(heading(i))) ** 2),
    { abs: 1e-12, why: 'w² − (w cos)² = (w sin)²' },
  );
});
