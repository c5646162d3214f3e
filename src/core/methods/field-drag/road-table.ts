import { interpolate } from './tables.ts';

/** Spreads each sample over its two table neighbours, averages, and bridges empty points. */
export class TableMean {
  readonly sum: Float64Array;
  readonly weight: Float64Array;
  private readonly points: number;
  private readonly wraps: boolean;

  constructor(points: number, wraps: boolean) {
    this.points = points;
    this.wraps = wraps;
    this.sum = new Float64Array(points + 1);
    this.weight = new Float64Array(points + 1);
  }

  add(x: number, value: number): void {
    if (!Number.isFinite(value)) return;
    const clamped = Math.min(this.points, Math.max(0, x));
    const i = Math.min(this.points - 1, clamped | 0);
    const share = clamped - i;
    this.sum[i] += (1 - share) * value;
    this.weight[i] += 1 - share;
    this.sum[i + 1] += share * value;
    this.weight[i + 1] += share;
  }

  table(): Float64Array {
    const { points, sum, weight } = this;
    if (this.wraps) {
      const s = sum[0] + sum[points];
      const w = weight[0] + weight[points];
      sum[0] = sum[points] = s;
      weight[0] = weight[points] = w;
    }
    const out = new Float64Array(points + 1);
    const known: number[] = [];
    for (let i = 0; i <= points; i++) if (weight[i] > 0.05) known.push(i);
    if (known.length === 0) return out;
    const ys = known.map((i) => sum[i] / weight[i]);
    for (let i = 0; i <= points; i++) out[i] = interpolate(known, ys, i);
    return out;
  }
}

/** Weighted moving average over ±`half` table points, around the loop where it wraps. */
export function smooth(table: Float64Array, half: number, wraps: boolean): Float64Array {
  const n = table.length - 1;
  const out = new Float64Array(n + 1);
  for (let i = 0; i <= n; i++) {
    let sum = 0;
    let weight = 0;
    for (let j = -half; j <= half; j++) {
      let k = i + j;
      if (wraps) k = ((k % n) + n) % n;
      else if (k < 0 || k > n) continue;
      // On an open road the window stays symmetric, so that a slope is not bent at the ends.
      if (!wraps && (i - Math.abs(j) < 0 || i + Math.abs(j) > n)) continue;
      const w = half + 1 - Math.abs(j);
      sum += w * table[k];
      weight += w;
    }
    out[i] = sum / weight;
  }
  return out;
}
