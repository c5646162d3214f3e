import { tTwoSidedP } from '../../statistics/index.ts';
import { robustDegrees } from './energy-rows.ts';
import type { ResidualCheck, ResidualRow } from './result.ts';

/** Correlation of two columns, and the p-value of its being none (t test on r). */
function correlation(xs: number[], ys: number[]): { r: number; p: number } {
  const n = xs.length;
  const mx = xs.reduce((s, x) => s + x, 0) / n;
  const my = ys.reduce((s, y) => s + y, 0) / n;
  let xx = 0;
  let yy = 0;
  let xy = 0;
  for (let i = 0; i < n; i++) {
    xx += (xs[i] - mx) ** 2;
    yy += (ys[i] - my) ** 2;
    xy += (xs[i] - mx) * (ys[i] - my);
  }
  if (n < 5 || xx <= 0 || yy <= 0) return { r: 0, p: 1 };
  const r = Math.max(-0.999999, Math.min(0.999999, xy / Math.sqrt(xx * yy)));
  return { r, p: tTwoSidedP(r * Math.sqrt((n - 2) / (1 - r * r)), n - 2) };
}

/** P(X ≥ k) of a binomial count of n trials of probability p. */
function atLeast(k: number, n: number, p: number): number {
  let term = (1 - p) ** n;
  let below = 0;
  for (let i = 0; i < k; i++) {
    below += term;
    term *= ((n - i) / (i + 1)) * (p / (1 - p));
  }
  return Math.min(1, Math.max(0, 1 - below));
}

/** A trend counts only when it is both unlikely by chance and large enough to matter. */
const unlikely = 0.01;
const worthwhile = 0.2;

/** What a standard deviation of a row is in drag area, and what the day can see. */
export interface TrendScale {
  rowM2: number;
  smallestVisibleM2: number;
}

/** A trend that passes: none by chance's measure, or one that is there and small, with its size said. */
function smallTrend(r: number, p: number, scale: TrendScale | null): string {
  if (!(p < unlikely)) return 'No trend worth minding.';
  const seen = `Seen (p ${p < 0.001 ? '< 0.001' : p.toFixed(3)})`;
  if (scale === null) {
    return `${seen}, but too small to matter: ${(100 * r * r).toFixed(0)} % of the scatter between stretches.`;
  }
  const worthM2 = Math.abs(r) * scale.rowM2;
  const size = `from a stretch to one a standard deviation further on it is worth about ${worthM2.toFixed(4)} m², and the smallest visible difference is ${scale.smallestVisibleM2.toFixed(4)} m².`;
  return worthM2 < scale.smallestVisibleM2 / 2
    ? `${seen}, but too small to matter: ${size}`
    : `${seen}, weak (${(100 * r * r).toFixed(0)} % of the scatter between stretches): ${size} See the residuals themselves.`;
}

/**
 * Checks the fitted energy rows against what the model leaves out: speed, yaw, time of day, and
 * whether neighbours in time are alike. `scale` lets a small trend be told in drag area.
 */
export function residualChecks(
  rows: ResidualRow[],
  scale: TrendScale | null = null,
): ResidualCheck[] {
  const zs = rows.map((row) => Math.max(-5, Math.min(5, row.z)));
  const against = (name: string, of: (row: ResidualRow) => number, meaning: string) => {
    const { r, p } = correlation(rows.map(of), zs);
    const passed = !(p < unlikely && Math.abs(r) > worthwhile);
    return {
      name,
      statistic: r,
      pValue: p,
      passed,
      meaning: passed ? smallTrend(r, p, scale) : meaning,
    };
  };
  const checks: ResidualCheck[] = [
    against(
      'against speed',
      (row) => row.speedMps,
      'What is left grows with speed: rolling resistance, efficiency or the power scale may be off.',
    ),
    against(
      'against time of day',
      (row) => row.dayTimeS,
      'What is left changes through the day beyond a steady drift.',
    ),
  ];
  if (rows.some((row) => row.yawDeg !== null && row.yawDeg > 0.5)) {
    checks.push(
      against(
        'against yaw',
        (row) => row.yawDeg ?? 0,
        'What is left grows with yaw: the drag area itself changes with yaw on this day.',
      ),
    );
  }
  const before: number[] = [];
  const after: number[] = [];
  for (let i = 1; i < rows.length; i++) {
    if (rows[i].lap !== rows[i - 1].lap || rows[i].run !== rows[i - 1].run) continue;
    before.push(zs[i - 1]);
    after.push(zs[i]);
  }
  const serial = correlation(before, after);
  const white = !(serial.p < unlikely && serial.r > worthwhile);
  checks.push({
    name: 'neighbours in time',
    statistic: serial.r,
    pValue: serial.p,
    passed: white,
    meaning: white
      ? serial.p < unlikely && serial.r < -worthwhile
        ? 'Neighbours lean opposite ways: they share the speed read at the gate between them, and its noise cancels over a lap. Nothing slow is missing.'
        : 'Neighbouring stretches are not alike: nothing slow is missing.'
      : 'Neighbouring stretches are alike: something slow is missing. The intervals rest on whole laps and runs, which allows for it.',
  });
  const wild = rows.filter((row) => Math.abs(row.z) > 4).length;
  const share = rows.length > 0 ? wild / rows.length : 0;
  const p = atLeast(wild, rows.length, tTwoSidedP(4, robustDegrees));
  const calm = p >= unlikely;
  checks.push({
    name: 'stretches far off',
    statistic: share,
    pValue: p,
    passed: calm,
    meaning: calm
      ? `${wild} of ${rows.length} stretches are more than four standard deviations off.`
      : `${wild} of ${rows.length} stretches are more than four standard deviations off: traffic, braking or a sensor at fault.`,
  });
  return checks;
}
