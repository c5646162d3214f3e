import assert from 'node:assert/strict';
import { test } from 'node:test';
import {
  BorderedSystem,
  type BorderedFactor,
} from '../../../../src/core/methods/field-drag/bordered.ts';
import type { Layout } from '../../../../src/core/methods/field-drag/wind-layout.ts';
import { WindPrior, type Levels } from '../../../../src/core/methods/field-drag/wind-prior.ts';
import { near } from '../../../near.ts';

/** A layout with the wind alone: uneven knots, with a pause for changing wheels in the middle. */
const knotsS = [0, 20, 41, 60, 80, 102, 500, 520, 545, 560];
const meanKnotsS = [0, 200, 560];
const layout: Layout = {
  cross: 'vector',
  measuredAir: true,
  hasWind: true,
  loop: true,
  knotsS,
  meanKnotsS,
  windCount: 2 * knotsS.length,
  firstMean: 2 * knotsS.length,
  firstLap: 2 * (knotsS.length + meanKnotsS.length),
  lapCount: 0,
  firstHeight: 2 * (knotsS.length + meanKnotsS.length),
  gateCount: 0,
  firstCross: 2 * (knotsS.length + meanKnotsS.length),
  scaleAt: -1,
  total: 2 * (knotsS.length + meanKnotsS.length),
};
const levels: Levels = {
  gustM2PerS: 1,
  gustVarianceM2PerS2: 0.7,
  gustTimeS: 30,
  wanderM2PerS3: 0.0004,
  speedShare: 0.3,
  energyFactor: 1,
};

/** The prior alone, as wide as needed so that every covariance can be asked for. */
function factorised(x: Float64Array): BorderedFactor {
  const system = new BorderedSystem(
    layout.windCount,
    layout.windCount,
    layout.total - layout.windCount,
  );
  const prior = new WindPrior(layout, levels);
  prior.turnTo(x);
  prior.addTo(system, x);
  return system.factorise(0);
}

/** Entries of the gust at knot k, component c: the wind less the slow mean between its two knots. */
function gust(k: number, c: number): Map<number, number> {
  const t = knotsS[k];
  const j = t < 200 ? 0 : 1;
  const share = (t - meanKnotsS[j]) / (meanKnotsS[j + 1] - meanKnotsS[j]);
  return new Map([
    [2 * k + c, 1],
    [layout.firstMean + 2 * j + c, -(1 - share)],
    [layout.firstMean + 2 * (j + 1) + c, -share],
  ]);
}

function covariance(
  factor: BorderedFactor,
  a: Map<number, number>,
  b: Map<number, number>,
): number {
  let sum = 0;
  for (const [i, u] of a) for (const [j, v] of b) sum += u * v * factor.covariance(i, j);
  return sum;
}

test('gusts about the slow mean are an Ornstein-Uhlenbeck process: σ² exp(−|t|/τ), uneven knots and pauses too', () => {
  const factor = factorised(new Float64Array(layout.total));
  for (let k = 0; k < knotsS.length; k++) {
    for (let l = 0; l < knotsS.length; l++) {
      const apart = Math.abs(knotsS[k] - knotsS[l]);
      near(covariance(factor, gust(k, 0), gust(l, 0)), 0.7 * Math.exp(-apart / 30), {
        rel: 1e-6,
        abs: 1e-9,
        why: 'closed form (Uhlenbeck and Ornstein 1930, from memory); rounding beside a mean of 25 m²/s²',
      });
      near(covariance(factor, gust(k, 0), gust(l, 1)), 0, {
        abs: 1e-9,
        why: 'east and north gust apart',
      });
    }
  }
});

test('the slow mean begins anywhere within 5 m/s and wanders off as the root of time', () => {
  const factor = factorised(new Float64Array(layout.total));
  const at = (j: number, c: number) => layout.firstMean + 2 * j + c;
  for (const c of [0, 1]) {
    near(factor.covariance(at(0, c), at(0, c)), 25, { rel: 1e-9, why: 'the start' });
    // Calm: nothing says which way is along the wind; the program takes east.
    const share = c === 0 ? 0.3 : 1;
    near(factor.covariance(at(1, c), at(1, c)) - 25, 0.0004 * 200 * share, {
      rel: 1e-6,
      why: 'variance of a random walk, rate × time',
    });
    near(factor.covariance(at(2, c), at(2, c)) - 25, 0.0004 * 560 * share, {
      rel: 1e-6,
      why: 'likewise',
    });
    near(factor.covariance(at(1, c), at(2, c)), factor.covariance(at(1, c), at(1, c)), {
      rel: 1e-9,
      why: 'later steps are apart from earlier ones',
    });
  }
});

test('a slow wind from the north-east turns more readily than it changes speed', () => {
  const x = new Float64Array(layout.total);
  for (let j = 0; j < meanKnotsS.length; j++)
    x.fill(3, layout.firstMean + 2 * j, layout.firstMean + 2 * j + 2);
  const factor = factorised(x);
  const step = (east: number, north: number) =>
    new Map([
      [layout.firstMean + 2, east],
      [layout.firstMean + 3, north],
      [layout.firstMean, -east],
      [layout.firstMean + 1, -north],
    ]);
  const r = Math.SQRT1_2;
  const along = covariance(factor, step(r, r), step(r, r));
  const across = covariance(factor, step(r, -r), step(r, -r));
  near(along, 0.0004 * 200 * 0.3, { rel: 1e-5, why: 'rounding beside 25 m²/s²' });
  near(across, 0.0004 * 200, { rel: 1e-5, why: 'rounding beside 25 m²/s²' });
});

test('the belief in a wind is the density of that process: steps of its objective equal the assembled ones', () => {
  const prior = new WindPrior(layout, levels);
  const x = Float64Array.from({ length: layout.total }, (_, i) => 2 + Math.sin(3 * i));
  prior.turnTo(x);
  const system = new BorderedSystem(
    layout.windCount,
    layout.windCount,
    layout.total - layout.windCount,
  );
  prior.addTo(system, x);
  const right = [...system.rightBand, ...system.rightBorder];
  for (let i = 0; i < layout.total; i++) {
    const moved = (d: number) =>
      prior.objective(x.map((value, j) => (i === j ? value + d : value)));
    near((moved(0.01) - moved(-0.01)) / 0.02, -2 * right[i], {
      rel: 1e-6,
      abs: 1e-6,
      why: 'the objective is a square, so central differences are exact but for rounding',
    });
  }
});

test('levels are learnt from a wind as lively as it was: gusts ten times as strong raise their variance', () => {
  const lively: Levels = { ...levels };
  const prior = new WindPrior(layout, lively);
  const x = new Float64Array(layout.total);
  let before = 0;
  knotsS.forEach((t, k) => {
    const decay = k === 0 ? 0 : Math.exp(-(t - knotsS[k - 1]) / 30);
    before = decay * before + Math.sqrt(7 * (1 - decay ** 2)) * (k % 2 ? 1 : -1);
    x[2 * k] = before;
    x[2 * k + 1] = -before;
  });
  // The wind at its knots as good as measured.
  const system = new BorderedSystem(
    layout.windCount,
    layout.windCount,
    layout.total - layout.windCount,
  );
  for (let i = 0; i < layout.windCount; i++) {
    system.add(Int32Array.of(i), Float64Array.of(1), 1, 1e6, 0);
  }
  for (let pass = 0; pass < 40; pass++) {
    const own = new BorderedSystem(
      layout.windCount,
      layout.windCount,
      layout.total - layout.windCount,
    );
    own.band.set(system.band);
    prior.turnTo(x);
    prior.addTo(own, x);
    prior.learn(x, own.factorise(0));
  }
  near(lively.gustVarianceM2PerS2, 7, {
    rel: 0.35,
    why: 'twenty steps, each as large as its standard deviation',
  });
  assert.ok(lively.gustVarianceM2PerS2 > 5 * levels.gustVarianceM2PerS2);
});
