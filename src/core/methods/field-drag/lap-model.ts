import { cholesky, choleskyInverse, multiply, multiplyTransposed } from '../../statistics/index.ts';

/** One lap that takes part in the comparison. */
export interface ComparedLap {
  setup: number;
  run: number;
  /** Day time at its middle, hours. */
  timeH: number;
  cdaM2: number;
}

/** How far laps scatter, and why: variances in m⁴, that of the drift in m⁴ per hour. */
export interface Components {
  lapVariance: number;
  runVariance: number;
  driftVariance: number;
  /** Factor on the laps' own covariance from sensors and wind. */
  windFactor: number;
}

/**
 * The mixed model of lap values, y = X b + e: setups and a straight drift fixed; slow drift (a random
 * walk), runs and laps random; the laps' own covariance known up to a factor.
 */
export class LapModel {
  readonly n: number;
  /** Columns of X: the setups that have laps, then the drift about the mean time where it can be told. */
  readonly p: number;
  readonly y: Float64Array;
  readonly x: Float64Array;
  readonly withDrift: boolean;
  /** Setups that have laps, in the order of their columns. */
  readonly present: number[];
  /** A usual drag area of the day, m²: the scale of all that is relative. */
  readonly size: number;
  private readonly columnOf: Map<number, number>;
  private readonly laps: readonly ComparedLap[];
  private readonly measured: Float64Array;
  private readonly firstTimeH: number;

  /** `measured`: covariance of the laps' values from sensors and wind, m⁴, row by row. */
  constructor(laps: readonly ComparedLap[], measured: Float64Array) {
    const n = laps.length;
    this.n = n;
    this.laps = laps;
    this.measured = measured;
    this.present = [...new Set(laps.map((lap) => lap.setup))].sort((a, b) => a - b);
    this.columnOf = new Map(this.present.map((id, column) => [id, column]));
    const setups = this.present.length;
    this.withDrift = n - setups >= 4;
    this.p = setups + (this.withDrift ? 1 : 0);
    const meanTime = laps.reduce((sum, lap) => sum + lap.timeH, 0) / n;
    this.firstTimeH = Math.min(...laps.map((lap) => lap.timeH));
    this.y = Float64Array.from(laps, (lap) => lap.cdaM2);
    this.x = new Float64Array(n * this.p);
    laps.forEach((lap, i) => {
      this.x[i * this.p + this.columnOf.get(lap.setup)!] = 1;
      if (this.withDrift) this.x[i * this.p + setups] = lap.timeH - meanTime;
    });
    const sizes = laps.map((lap) => lap.cdaM2).sort((a, b) => a - b);
    this.size = Math.abs(sizes[n >> 1]) || 0.25;
  }

  /** Contrast of the coefficients that is one setup's drag area. */
  areaOf(setup: number): Float64Array {
    const contrast = new Float64Array(this.p);
    contrast[this.columnOf.get(setup)!] = 1;
    return contrast;
  }

  /** Contrast that is one setup less another. */
  differenceOf(setup: number, control: number): Float64Array {
    const contrast = this.areaOf(setup);
    contrast[this.columnOf.get(control)!] -= 1;
    return contrast;
  }

  /** Contrast that is the drift an hour; null where it is not fitted. */
  driftContrast(): Float64Array | null {
    if (!this.withDrift) return null;
    const contrast = new Float64Array(this.p);
    contrast[this.p - 1] = 1;
    return contrast;
  }

  /** Parts of the covariance between two laps: what each component is multiplied by. */
  sameLap(i: number, j: number): number {
    return i === j ? 1 : 0;
  }

  sameRun(i: number, j: number): number {
    return this.laps[i].run === this.laps[j].run ? 1 : 0;
  }

  sinceStartH(i: number, j: number): number {
    return Math.min(this.laps[i].timeH, this.laps[j].timeH) - this.firstTimeH;
  }

  measuredCovariance(i: number, j: number): number {
    return this.measured[i * this.n + j];
  }

  /** Covariance of the lap values for given components, written into `out` (n × n). */
  covariance(components: Components, out: Float64Array): Float64Array {
    const { n } = this;
    const { lapVariance, runVariance, driftVariance, windFactor } = components;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        let value = windFactor * this.measured[i * n + j];
        if (this.laps[i].run === this.laps[j].run) value += runVariance;
        if (i === j) value += lapVariance;
        value += driftVariance * this.sinceStartH(i, j);
        out[i * n + j] = out[j * n + i] = value;
      }
    }
    return out;
  }

  /** (Xᵀ Σ⁻¹ X)⁻¹ Xᵀ Σ⁻¹, p rows of n: how each lap's value enters each coefficient. */
  gain(components: Components): Float64Array {
    const { n, p, x } = this;
    const sigma = this.covariance(components, new Float64Array(n * n));
    const precision = choleskyInverse(cholesky(sigma, n), n);
    const weighted = multiplyTransposed(x, precision, n, p, n);
    const normal = multiply(weighted, x, p, n, p);
    return multiply(choleskyInverse(cholesky(normal, p), p), weighted, p, p, n);
  }

  /**
   * Whether sensors and wind, beyond what all laps share, can rival the laps' own scatter: only then
   * does their factor matter.
   */
  measurementMatters(): boolean {
    const { n, measured } = this;
    let all = 0;
    const rows = new Float64Array(n);
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) rows[i] += measured[i * n + j] / n;
    for (let i = 0; i < n; i++) all += rows[i] / n;
    let own = 0;
    for (let i = 0; i < n; i++) own += (measured[i * n + i] - 2 * rows[i] + all) / n;
    return own > (0.0012 * this.size) ** 2;
  }
}
