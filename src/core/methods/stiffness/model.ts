/**
 * The bench in equations. Under a side load F at the rim the dial shows
 *
 *   d(F) = d0 + s · (1 − max(0, 1 − F/Fs)) + F/K
 *
 * with the slop s of bearings and fixture taken up between no load and Fs, and the stiffness K of the
 * wheel. From the preload up only the straight line is left; the slop is what that line, drawn back to
 * no load, stands above the reading there (segmented regression with the upper line fitted first).
 */

/** One point of a branch. */
export interface Point {
  loadN: number;
  deflectionMm: number;
}

/** A straight line of deflection on load, by least squares. */
export interface Line {
  interceptMm: number;
  slopeMmPerN: number;
  n: number;
  meanLoadN: number;
  /** Sum of squares of the loads about their mean. */
  sxxN2: number;
  residualSumOfSquares: number;
}

/** Fits a line; null when all loads are alike. */
export function fitLine(points: readonly Point[]): Line | null {
  const n = points.length;
  if (n < 2) return null;
  const meanLoadN = points.reduce((sum, { loadN }) => sum + loadN, 0) / n;
  const mean = points.reduce((sum, { deflectionMm }) => sum + deflectionMm, 0) / n;
  let sxxN2 = 0;
  let sxy = 0;
  for (const { loadN, deflectionMm } of points) {
    sxxN2 += (loadN - meanLoadN) ** 2;
    sxy += (loadN - meanLoadN) * (deflectionMm - mean);
  }
  if (!(sxxN2 > 0)) return null;
  const slopeMmPerN = sxy / sxxN2;
  const interceptMm = mean - slopeMmPerN * meanLoadN;
  const residualSumOfSquares = points.reduce(
    (sum, { loadN, deflectionMm }) => sum + (deflectionMm - interceptMm - slopeMmPerN * loadN) ** 2,
    0,
  );
  return { interceptMm, slopeMmPerN, n, meanLoadN, sxxN2, residualSumOfSquares };
}

/** The slop found below the preload. */
export interface Slop {
  slopMm: number;
  /** Load at which it is taken up; null when no reading lies between no load and there. */
  takenUpN: number | null;
  /** Variance of the slop for a reading variance of 1 mm²: readings below the preload and line alike. */
  varianceFactor: number;
}

/**
 * Slop from the readings below the preload, given the line above it. Fs is profiled over (0, preload];
 * for each Fs the slop is linear in the readings. Null without a reading in the lowest third.
 */
export function slopBelow(line: Line, lower: readonly Point[], preloadN: number): Slop | null {
  const lowest = Math.min(...lower.map(({ loadN }) => loadN));
  if (lower.length === 0 || lowest > preloadN / 3) return null;
  const gaps = lower.map(
    ({ loadN, deflectionMm }) => line.interceptMm + line.slopeMmPerN * loadN - deflectionMm,
  );
  const loads = [...new Set(lower.map(({ loadN }) => loadN))].filter((load) => load > 0);
  const inner = loads.length > 0;
  // Below the least load above zero every Fs says the same: one candidate stands for all of them.
  const candidates = inner
    ? Array.from({ length: 60 }, (_, i) => (preloadN * (i + 1)) / 60)
    : [preloadN];
  if (inner && lowest <= 0) candidates.unshift(Math.min(...loads));
  let best: { takenUpN: number; sum: number; slopMm: number } | null = null;
  for (const takenUpN of candidates) {
    const weights = lower.map(({ loadN }) => Math.max(0, 1 - Math.max(0, loadN) / takenUpN));
    const sww = weights.reduce((sum, w) => sum + w * w, 0);
    if (sww < 0.1) continue;
    const slopMm = weights.reduce((sum, w, i) => sum + w * gaps[i], 0) / sww;
    const sum = gaps.reduce((total, gap, i) => total + (gap - slopMm * weights[i]) ** 2, 0);
    if (best === null || sum < best.sum * (1 - 1e-9)) best = { takenUpN, sum, slopMm };
  }
  if (best === null) return null;
  const { takenUpN, slopMm } = best;
  const weights = lower.map(({ loadN }) => Math.max(0, 1 - Math.max(0, loadN) / takenUpN));
  const sww = weights.reduce((sum, w) => sum + w * w, 0);
  const toIntercept = weights.reduce((sum, w) => sum + w, 0) / sww;
  const toSlope = weights.reduce((sum, w, i) => sum + w * lower[i].loadN, 0) / sww;
  const atMean = toSlope - toIntercept * line.meanLoadN;
  const ofLine = toIntercept ** 2 / line.n + atMean ** 2 / line.sxxN2;
  return {
    slopMm,
    takenUpN: inner ? takenUpN : null,
    varianceFactor: 1 / sww + ofLine,
  };
}

/** Gap between the branches at one load. */
export interface BranchGap {
  loadN: number;
  gapMm: number;
}

/** Unloading less loading at the loads of the unloading branch; loading interpolated in between. */
export function branchGaps(load: readonly Point[], unload: readonly Point[]): BranchGap[] {
  const up = [...load].sort((a, b) => a.loadN - b.loadN);
  return unload.flatMap(({ loadN, deflectionMm }) => {
    const at = interpolate(up, loadN);
    return at === null ? [] : [{ loadN, gapMm: deflectionMm - at }];
  });
}

function interpolate(points: readonly Point[], loadN: number): number | null {
  const same = points.filter((point) => point.loadN === loadN);
  if (same.length > 0)
    return same.reduce((sum, { deflectionMm }) => sum + deflectionMm, 0) / same.length;
  const after = points.findIndex((point) => point.loadN > loadN);
  if (after <= 0) return null;
  const [a, b] = [points[after - 1], points[after]];
  return (
    a.deflectionMm + ((loadN - a.loadN) / (b.loadN - a.loadN)) * (b.deflectionMm - a.deflectionMm)
  );
}

/**
 * Largest gap within the range, smoothed over loads by a parabola where four or more loads allow it, so
 * that reading noise does not pass for hysteresis. Null without gaps.
 */
export function largestGapMm(gaps: readonly BranchGap[]): number | null {
  if (gaps.length === 0) return null;
  const loads = [...new Set(gaps.map(({ loadN }) => loadN))].sort((a, b) => a - b);
  const meanAt = (load: number): number => {
    const here = gaps.filter(({ loadN }) => loadN === load);
    return here.reduce((sum, { gapMm }) => sum + gapMm, 0) / here.length;
  };
  if (loads.length < 4) return largest(loads.map(meanAt));
  const [low, high] = [loads[0], loads[loads.length - 1]];
  const at = (load: number): number => (2 * (load - low)) / (high - low) - 1;
  const rows = gaps.map(({ loadN, gapMm }) => ({ x: at(loadN), y: gapMm }));
  const [a, b, c] = parabola(rows);
  return largest(loads.map((load) => a + b * at(load) + c * at(load) ** 2));
}

const largest = (values: readonly number[]): number =>
  values.reduce((best, value) => (Math.abs(value) > Math.abs(best) ? value : best), 0);

/** Least squares by Cramer's rule; x within ±1 keeps it well conditioned. */
function parabola(rows: readonly { x: number; y: number }[]): [number, number, number] {
  const s = [0, 1, 2, 3, 4].map((k) => rows.reduce((sum, { x }) => sum + x ** k, 0));
  const t = [0, 1, 2].map((k) => rows.reduce((sum, { x, y }) => sum + y * x ** k, 0));
  const det = (m: number[][]): number =>
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
    m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
    m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
  const matrix = [0, 1, 2].map((i) => [0, 1, 2].map((j) => s[i + j]));
  const whole = det(matrix);
  return [0, 1, 2].map(
    (column) => det(matrix.map((row, i) => row.map((v, j) => (j === column ? t[i] : v)))) / whole,
  ) as [number, number, number];
}
