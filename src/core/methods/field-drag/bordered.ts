import {
  cholesky,
  choleskyInverse,
  choleskyLogDet,
  NotPositiveDefiniteError,
} from '../../statistics/index.ts';
import { LapbenchError } from '../../units/index.ts';

/**
 * Symmetric positive definite system of a banded part (the wind over time) bordered by a few dense
 * unknowns (laps, road, sensor): solved, and inverted where wanted, at a cost that grows linearly
 * with the length of the day.
 *
 *     [ K  B ] [w]   [r]
 *     [ Bᵀ D ] [b] = [s]
 *
 * K is stored by rows of its lower band, `band[i * (width + 1) + d]` being K(i, i - d); B by rows of
 * `borderCount`; D full, row by row.
 */
export class BorderedSystem {
  readonly bandCount: number;
  readonly width: number;
  readonly borderCount: number;
  readonly band: Float64Array;
  readonly side: Float64Array;
  readonly corner: Float64Array;
  readonly rightBand: Float64Array;
  readonly rightBorder: Float64Array;

  constructor(bandCount: number, width: number, borderCount: number) {
    this.bandCount = bandCount;
    this.width = width;
    this.borderCount = borderCount;
    this.band = new Float64Array(bandCount * (width + 1));
    this.side = new Float64Array(bandCount * borderCount);
    this.corner = new Float64Array(borderCount * borderCount);
    this.rightBand = new Float64Array(bandCount);
    this.rightBorder = new Float64Array(borderCount);
  }

  clear(): void {
    for (const part of [this.band, this.side, this.corner, this.rightBand, this.rightBorder]) {
      part.fill(0);
    }
  }

  /**
   * Adds weight × j jᵀ and weight × j × residual for one observation whose row j has the given
   * non-zero entries. Unknowns are numbered with the banded ones first.
   */
  add(
    index: Int32Array,
    value: Float64Array,
    count: number,
    weight: number,
    residual: number,
  ): void {
    this.addRight(index, value, count, weight, residual);
    const { bandCount: n, width, borderCount: m } = this;
    for (let a = 0; a < count; a++) {
      const i = index[a];
      const wv = weight * value[a];
      for (let b = 0; b < count; b++) {
        const j = index[b];
        if (i < n) {
          if (j < n) {
            if (j <= i) this.band[i * (width + 1) + (i - j)] += wv * value[b];
          } else this.side[i * m + (j - n)] += wv * value[b];
        } else if (j >= n) this.corner[(i - n) * m + (j - n)] += wv * value[b];
      }
    }
  }

  /** Adds weight × j × residual to the right-hand side only. */
  addRight(
    index: Int32Array,
    value: Float64Array,
    count: number,
    weight: number,
    residual: number,
  ): void {
    for (let a = 0; a < count; a++) {
      const i = index[a];
      if (i < this.bandCount) this.rightBand[i] += weight * value[a] * residual;
      else this.rightBorder[i - this.bandCount] += weight * value[a] * residual;
    }
  }

  /** Factorises with `damping` added to the diagonal, relative to it. */
  factorise(damping: number): BorderedFactor {
    return new BorderedFactor(this, damping);
  }
}

export class BorderedFactor {
  private readonly n: number;
  private readonly width: number;
  private readonly m: number;
  private readonly lower: Float64Array;
  /** K⁻¹ B. */
  readonly spread: Float64Array;
  /** Inverse of the Schur complement: the covariance of the border. */
  readonly borderCovariance: Float64Array;
  private readonly rightBand: Float64Array;
  private readonly rightBorder: Float64Array;
  /** Log of the determinant of the whole matrix. */
  readonly logDeterminant: number;
  private bandInverse: Float64Array | null = null;
  private spreadCovariance: Float64Array | null = null;
  private readonly combined: Float64Array;
  private readonly combinedCovariance: Float64Array;

  constructor(system: BorderedSystem, damping: number) {
    const { bandCount: n, width, borderCount: m } = system;
    this.n = n;
    this.width = width;
    this.m = m;
    this.combined = new Float64Array(m);
    this.combinedCovariance = new Float64Array(m);
    this.rightBand = system.rightBand;
    this.rightBorder = system.rightBorder;
    const lower = system.band.slice();
    const row = width + 1;
    let logDeterminant = 0;
    for (let i = 0; i < n; i++) lower[i * row] *= 1 + damping;
    for (let i = 0; i < n; i++) {
      const start = Math.max(0, i - width);
      for (let j = start; j <= i; j++) {
        let sum = lower[i * row + (i - j)];
        for (let k = Math.max(start, j - width); k < j; k++) {
          sum -= lower[i * row + (i - k)] * lower[j * row + (j - k)];
        }
        if (i === j) {
          if (!(sum > 0)) throw notDefinite();
          lower[i * row] = Math.sqrt(sum);
          logDeterminant += Math.log(sum);
        } else lower[i * row + (i - j)] = sum / lower[j * row];
      }
    }
    this.lower = lower;
    const spread = system.side.slice();
    this.solveBand(spread, m);
    this.spread = spread;
    const schur = system.corner.slice();
    for (let a = 0; a < m; a++) schur[a * m + a] *= 1 + damping;
    // Side is sparse (a knot touches its lap, two gates, the slow wind): skip what is nothing.
    for (let i = 0; i < n; i++) {
      const at = i * m;
      for (let a = 0; a < m; a++) {
        const value = system.side[at + a];
        if (value === 0) continue;
        const row = a * m;
        for (let b = 0; b <= a; b++) schur[row + b] -= value * spread[at + b];
      }
    }
    for (let a = 0; a < m; a++) for (let b = a + 1; b < m; b++) schur[a * m + b] = schur[b * m + a];
    const inverse = invertBorder(schur, m);
    this.borderCovariance = inverse.inverse;
    this.logDeterminant = logDeterminant + inverse.logDeterminant;
  }

  /** Overwrites `values` (n rows of m) by K⁻¹ times it. */
  private solveBand(values: Float64Array, m: number): void {
    const { n, width, lower } = this;
    const row = width + 1;
    for (let i = 0; i < n; i++) {
      for (let j = Math.max(0, i - width); j < i; j++) {
        const l = lower[i * row + (i - j)];
        if (l === 0) continue;
        for (let a = 0; a < m; a++) values[i * m + a] -= l * values[j * m + a];
      }
      const d = 1 / lower[i * row];
      for (let a = 0; a < m; a++) values[i * m + a] *= d;
    }
    for (let i = n - 1; i >= 0; i--) {
      const d = 1 / lower[i * row];
      for (let a = 0; a < m; a++) values[i * m + a] *= d;
      for (let j = Math.max(0, i - width); j < i; j++) {
        const l = lower[i * row + (i - j)];
        if (l === 0) continue;
        for (let a = 0; a < m; a++) values[j * m + a] -= l * values[i * m + a];
      }
    }
  }

  /** Solution for the right-hand sides of the system: banded unknowns first. */
  solve(): Float64Array {
    const { n, m, spread, borderCovariance } = this;
    const band = this.rightBand.slice();
    this.solveBand(band, 1);
    const reduced = this.rightBorder.slice();
    for (let i = 0; i < n; i++) {
      for (let a = 0; a < m; a++) reduced[a] -= spread[i * m + a] * this.rightBand[i];
    }
    const out = new Float64Array(n + m);
    for (let a = 0; a < m; a++) {
      let sum = 0;
      for (let b = 0; b < m; b++) sum += borderCovariance[a * m + b] * reduced[b];
      out[n + a] = sum;
    }
    for (let i = 0; i < n; i++) {
      let sum = band[i];
      for (let a = 0; a < m; a++) sum -= spread[i * m + a] * out[n + a];
      out[i] = sum;
    }
    return out;
  }

  /** Prepares `covariance`: the inverse within the band (Takahashi recurrence) and the cross part. */
  private prepare(): void {
    const { n, m, width, lower, spread, borderCovariance } = this;
    const row = width + 1;
    const inverse = new Float64Array(n * row);
    const column = new Float64Array(row);
    for (let i = n - 1; i >= 0; i--) {
      const d = 1 / lower[i * row];
      const reach = Math.min(width, n - 1 - i);
      for (let k = 1; k <= reach; k++) column[k] = lower[(i + k) * row + k];
      for (let j = reach; j > 0; j--) {
        let sum = 0;
        // Entries (i + j, i + k) of the inverse: below the diagonal for k <= j, mirrored above it.
        const own = (i + j) * row + j;
        for (let k = 1; k <= j; k++) sum += column[k] * inverse[own - k];
        for (let k = j + 1; k <= reach; k++) sum += column[k] * inverse[(i + k) * row + k - j];
        inverse[(i + j) * row + j] = -sum * d;
      }
      let sum = 0;
      for (let k = 1; k <= reach; k++) sum += column[k] * inverse[(i + k) * row + k];
      inverse[i * row] = (d - sum) * d;
    }
    this.bandInverse = inverse;
    const product = new Float64Array(n * m);
    for (let i = 0; i < n; i++) {
      for (let a = 0; a < m; a++) {
        const value = spread[i * m + a];
        if (value === 0) continue;
        for (let b = 0; b < m; b++) product[i * m + b] += value * borderCovariance[a * m + b];
      }
    }
    this.spreadCovariance = product;
  }

  /** Covariance of two unknowns; two banded ones must lie within the band of each other. */
  covariance(i: number, j: number): number {
    if (!this.bandInverse || !this.spreadCovariance) this.prepare();
    const { n, m, width, spread, borderCovariance } = this;
    if (i >= n && j >= n) return borderCovariance[(i - n) * m + (j - n)];
    if (i >= n) return -this.spreadCovariance![j * m + (i - n)];
    if (j >= n) return -this.spreadCovariance![i * m + (j - n)];
    const [high, low] = i >= j ? [i, j] : [j, i];
    let sum = high - low <= width ? this.bandInverse![high * (width + 1) + (high - low)] : NaN;
    for (let a = 0; a < m; a++) sum += this.spreadCovariance![i * m + a] * spread[j * m + a];
    return sum;
  }

  /** Variance of the combination of unknowns with the given non-zero entries. */
  varianceOf(index: Int32Array, value: Float64Array, count: number): number {
    if (!this.bandInverse || !this.spreadCovariance) this.prepare();
    const { n, m, width, spread, borderCovariance, bandInverse, combined, combinedCovariance } =
      this;
    const spreadCovariance = this.spreadCovariance!;
    let sum = 0;
    // Border part: bᵀ C b with b = own entries less what the band passes on, one pass each.
    combined.fill(0);
    combinedCovariance.fill(0);
    for (let a = 0; a < count; a++) {
      const i = index[a];
      const v = value[a];
      if (i >= n) {
        const at = (i - n) * m;
        combined[i - n] += v;
        for (let c = 0; c < m; c++) combinedCovariance[c] += v * borderCovariance[at + c];
        continue;
      }
      const at = i * m;
      for (let c = 0; c < m; c++) {
        combined[c] -= v * spread[at + c];
        combinedCovariance[c] -= v * spreadCovariance[at + c];
      }
      for (let b = 0; b < count; b++) {
        const j = index[b];
        if (j > i || j >= n) continue;
        const k = bandInverse![i * (width + 1) + (i - j)];
        sum += (i === j ? 1 : 2) * v * value[b] * k;
      }
    }
    for (let c = 0; c < m; c++) sum += combined[c] * combinedCovariance[c];
    return sum;
  }
}

/** The matrix could not be factorised: nothing was measured for some unknown. */
function notDefinite(): LapbenchError {
  return new LapbenchError({
    code: 'internal',
    message:
      'The equations of this day cannot be solved: too little was measured for the unknowns.',
  });
}

/** Inverse and log-determinant of the border's own matrix. */
function invertBorder(
  matrix: Float64Array,
  m: number,
): { inverse: Float64Array; logDeterminant: number } {
  try {
    const factor = cholesky(matrix, m);
    return { inverse: choleskyInverse(factor, m), logDeterminant: choleskyLogDet(factor, m) };
  } catch (error) {
    if (error instanceof NotPositiveDefiniteError) throw notDefinite();
    throw error;
  }
}
