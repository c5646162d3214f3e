/**
 * The road's height out of noisy heights. The slope of the road is a random walk along the distance, so that
 * its height is an integrated Wiener process: its posterior mean is a cubic smoothing spline, its posterior
 * deviation the Bayesian interval of Wahba (1983), J. R. Statist. Soc. B 45:133–150. Two errors lie on the
 * heights: one that is new at every sample, and one that wanders (an Ornstein–Uhlenbeck process), as
 * barometers and satellite heights do. Filter and smoother: Kalman (1960), Rauch, Tung, Striebel (1965).
 */
import { nelderMead3 } from './nelder-mead.ts';

/** What the heights are taken to be made of. */
export interface HeightNoise {
  /** Random walk of the slope, 1/m: the slope changes by √(this × distance), one standard deviation. */
  roughnessPerM: number;
  /** Standard deviation of the error that is new at every sample, m. */
  whiteM: number;
  /** Standard deviation of the error that wanders, m. */
  wanderingM: number;
  /** Distance over which that error forgets itself, m. */
  wanderingLengthM: number;
}

/** Height and slope (height over distance) with standard uncertainties, at each place asked. */
export interface SmoothHeights {
  heightM: Float64Array;
  heightSdM: Float64Array;
  slope: Float64Array;
  slopeSd: Float64Array;
}

/** Usual sizes by source of the heights; common practice, no source: they only pull, the data decide. */
const usual = {
  barometer: { wanderingM: 0.5, wanderingLengthM: 500, whiteM: 0.2, spread: 0.4 },
  satellite: { wanderingM: 3, wanderingLengthM: 250, whiteM: 0.7, spread: 0.4 },
  map: { wanderingM: 1, wanderingLengthM: 100, whiteM: 0.2, spread: 0.4 },
  unknown: { wanderingM: 1, wanderingLengthM: 250, whiteM: 0.3, spread: 0.8 },
};

/** log10 of the roughness of roads: 3 % of slope over 100 m, one decade either way; common practice, no source. */
const usualRoughness = { log10: -5, spread: 1 };

/**
 * The posterior deviation takes the learned noise as known. On simulated courses that are not what the model
 * assumes, intervals held in 85 % with satellite heights; with this factor in 95, and in 99 with a barometer (test/core/courses).
 */
const learnedToo = 1.3;

const mostForLearning = 4000;
const startSlopeSd = 0.1;

/**
 * Learns the noise from the heights themselves: the most probable roughness, white and wandering error, with
 * weak priors at the usual sizes. `heightM` is NaN where there is none.
 */
export function learnNoise(
  distanceM: Float64Array,
  heightM: Float64Array,
  heightsFrom: keyof typeof usual | null,
): HeightNoise {
  const prior = usual[heightsFrom ?? 'unknown'];
  const pieces = piecesOf(distanceM, heightM);
  const at = ([roughness, white, wandering]: readonly number[]): HeightNoise => ({
    roughnessPerM: 10 ** roughness,
    whiteM: 10 ** white,
    wanderingM: 10 ** wandering,
    wanderingLengthM: prior.wanderingLengthM,
  });
  const centre = [usualRoughness.log10, Math.log10(prior.whiteM), Math.log10(prior.wanderingM)];
  const spreads = [usualRoughness.spread, 0.7, prior.spread];
  const cost = (x: readonly number[]): number => {
    let sum = 0;
    for (let i = 0; i < 3; i++) sum += 0.5 * ((x[i] - centre[i]) / spreads[i]) ** 2;
    if (x.some((value) => Math.abs(value) > 9)) return Infinity;
    const noise = at(x);
    for (const [places, heights] of pieces) sum += filter(places, heights, noise, null);
    return sum;
  };
  return at(nelderMead3(cost, centre, 0.5));
}

/** At most four stretches, spread evenly, that together hold no more than is needed to learn from. */
function piecesOf(distanceM: Float64Array, heightM: Float64Array): [Float64Array, Float64Array][] {
  const n = distanceM.length;
  if (n <= mostForLearning) return [[distanceM, heightM]];
  const length = mostForLearning / 4;
  return [0, 1, 2, 3].map((i) => {
    const from = Math.round((i * (n - length)) / 3);
    return [distanceM.subarray(from, from + length), heightM.subarray(from, from + length)];
  });
}

/** Smooths heights at their own distances (increasing); NaN heights are places asked without a reading. */
export function smoothHeights(
  distanceM: Float64Array,
  heightM: Float64Array,
  noise: HeightNoise,
): SmoothHeights {
  const n = distanceM.length;
  const kept = new Float64Array(n * 18);
  filter(distanceM, heightM, noise, kept);
  const out: SmoothHeights = {
    heightM: new Float64Array(n),
    heightSdM: new Float64Array(n),
    slope: new Float64Array(n),
    slopeSd: new Float64Array(n),
  };
  // Backwards: the smoothed state of the point behind, mean and covariance.
  let ms: number[] = [];
  let ps: number[] = [];
  const offset = anyHeight(heightM);
  for (let k = n - 1; k >= 0; k--) {
    const base = k * 18;
    const m = Array.from(kept.subarray(base, base + 3));
    const p = Array.from(kept.subarray(base + 3, base + 9));
    if (k === n - 1) {
      ms = m;
      ps = p;
    } else {
      [ms, ps] = stepBack(m, p, ms, ps, kept.subarray(base + 27, base + 36), k, distanceM, noise);
    }
    out.heightM[k] = ms[0] + offset;
    out.heightSdM[k] = learnedToo * Math.sqrt(Math.max(0, ps[0]));
    out.slope[k] = ms[1];
    out.slopeSd[k] = learnedToo * Math.sqrt(Math.max(0, ps[3]));
  }
  return out;
}

const anyHeight = (heightM: Float64Array): number =>
  heightM.find((value) => Number.isFinite(value)) ?? 0;

/** Symmetric 3 × 3 stored as [00, 01, 02, 11, 12, 22]. */
const sym = (p: readonly number[], i: number, j: number): number =>
  p[i <= j ? [0, 2, 3][i] + j : [0, 2, 3][j] + i];

/** One step of the Rauch–Tung–Striebel recursion. `ahead`: predicted mean and covariance of the next point. */
function stepBack(
  m: number[],
  p: number[],
  ms: number[],
  ps: number[],
  ahead: Float64Array,
  k: number,
  distanceM: Float64Array,
  noise: HeightNoise,
): [number[], number[]] {
  const dx = distanceM[k + 1] - distanceM[k];
  const phi = Math.exp(-dx / noise.wanderingLengthM);
  // P·Fᵀ, by columns of F: (1, dx, 0), (0, 1, 0), (0, 0, φ).
  const pft = [0, 1, 2].map((i) => [
    sym(p, i, 0) + dx * sym(p, i, 1),
    sym(p, i, 1),
    phi * sym(p, i, 2),
  ]);
  const next = Array.from(ahead.subarray(3, 9));
  const inverse = invertSymmetric(next);
  const gain = pft.map((row) =>
    [0, 1, 2].map((j) => row.reduce((sum, value, l) => sum + value * sym(inverse, l, j), 0)),
  );
  const difference = [0, 1, 2].map((i) => ms[i] - ahead[i]);
  const mean = m.map((value, i) => value + gain[i].reduce((s, g, l) => s + g * difference[l], 0));
  const spread = ps.map((value, i) => value - next[i]);
  const covariance: number[] = [];
  for (let i = 0; i < 3; i++) {
    for (let j = i; j < 3; j++) {
      let sum = sym(p, i, j);
      for (let a = 0; a < 3; a++)
        for (let b = 0; b < 3; b++) sum += gain[i][a] * sym(spread, a, b) * gain[j][b];
      covariance.push(sum);
    }
  }
  return [mean, covariance];
}

function invertSymmetric(p: readonly number[]): number[] {
  const [a, b, c, d, e, f] = p;
  const aa = d * f - e * e;
  const bb = c * e - b * f;
  const cc = b * e - c * d;
  const det = a * aa + b * bb + c * cc;
  return [aa, bb, cc, a * f - c * c, b * c - a * e, a * d - b * b].map((value) => value / det);
}

/**
 * Kalman filter. Returns minus the log likelihood; with `kept` (18 numbers a point) it writes filtered mean
 * and covariance, then predicted mean and covariance, of each point.
 */
function filter(
  distanceM: Float64Array,
  heightM: Float64Array,
  { roughnessPerM: q, whiteM, wanderingM, wanderingLengthM }: HeightNoise,
  kept: Float64Array | null,
): number {
  const n = distanceM.length;
  const r = whiteM * whiteM;
  const s2 = wanderingM * wanderingM;
  const offset = anyHeight(heightM);
  let [m0, m1, m2] = [0, 0, 0];
  let [p00, p01, p02, p11, p12, p22] = [1e4, 0, 0, startSlopeSd ** 2, 0, s2];
  let cost = 0;
  for (let k = 0; k < n; k++) {
    if (k > 0) {
      const dx = distanceM[k] - distanceM[k - 1];
      const phi = Math.exp(-dx / wanderingLengthM);
      m0 += dx * m1;
      m2 *= phi;
      p00 += 2 * dx * p01 + dx * dx * p11 + (q * dx * dx * dx) / 3;
      p01 += dx * p11 + (q * dx * dx) / 2;
      p02 = phi * (p02 + dx * p12);
      p11 += q * dx;
      p12 *= phi;
      p22 = phi * phi * p22 + s2 * (1 - phi * phi);
    }
    if (kept) kept.set([m0, m1, m2, p00, p01, p02, p11, p12, p22], k * 18 + 9);
    const seen = heightM[k];
    if (seen === seen) {
      const innovation = seen - offset - m0 - m2;
      const c0 = p00 + p02;
      const c1 = p01 + p12;
      const c2 = p02 + p22;
      const variance = c0 + c2 + r;
      // The first reading only sets the level.
      if (k > 0) cost += 0.5 * (Math.log(variance) + (innovation * innovation) / variance);
      const [g0, g1, g2] = [c0 / variance, c1 / variance, c2 / variance];
      m0 += g0 * innovation;
      m1 += g1 * innovation;
      m2 += g2 * innovation;
      p00 -= g0 * c0;
      p01 -= g0 * c1;
      p02 -= g0 * c2;
      p11 -= g1 * c1;
      p12 -= g1 * c2;
      p22 -= g2 * c2;
    }
    if (kept) kept.set([m0, m1, m2, p00, p01, p02, p11, p12, p22], k * 18);
  }
  return cost;
}
