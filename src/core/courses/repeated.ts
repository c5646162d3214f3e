/** Whether a track rides one loop several times. */
import type { Line } from './track.ts';

/** Grid of the comparison, m, and how far apart two passes of one road may lie. */
const gridM = 20;
const apartM = 35;
const shortestLapM = 400;
/** Share of the second pass that must lie on the first. */
const leastShare = 0.9;

export interface Repetition {
  /** Length of one lap along the course, m. */
  lapLengthM: number;
  /** Laps that are whole, at least 1. */
  laps: number;
}

/**
 * One lap's length where the rest of the track follows its beginning again, in the same direction; null where
 * it does not. Half a lap more than one is where a repetition begins to count.
 */
export function repetitionOf({ distanceM, eastM, northM }: Line): Repetition | null {
  const lengthM = distanceM[distanceM.length - 1];
  const n = Math.floor(lengthM / gridM);
  if (n * gridM < 1.5 * shortestLapM) return null;
  const x = new Float64Array(n + 1);
  const y = new Float64Array(n + 1);
  for (let i = 0, j = 0; i <= n; i++) {
    const s = i * gridM;
    while (j < distanceM.length - 2 && distanceM[j + 1] < s) j += 1;
    const t = (s - distanceM[j]) / (distanceM[j + 1] - distanceM[j]);
    x[i] = eastM[j] + t * (eastM[j + 1] - eastM[j]);
    y[i] = northM[j] + t * (northM[j + 1] - northM[j]);
  }
  const near = (i: number, j: number): boolean => Math.hypot(x[i] - x[j], y[i] - y[j]) <= apartM;
  let away = false;
  for (let j = 1; j <= n; j++) {
    if (!near(0, j)) away = true;
    const candidate = away && near(0, j) && j * gridM >= shortestLapM;
    if (!candidate || n - j < 0.5 * j) continue;
    if (follows(x, y, n, j)) {
      // The pass nearest to the start, of the few places that are near it.
      const away2 = (k: number): number => Math.hypot(x[k] - x[0], y[k] - y[0]);
      let best = j;
      for (let k = j + 1; k <= n && near(0, k); k++) if (away2(k) < away2(best)) best = k;
      return { lapLengthM: best * gridM, laps: Math.max(1, Math.floor((n + 1.5) / best)) };
    }
  }
  return null;
}

/** Whether what comes from `j` on lies on the track from its start on, place by place. */
function follows(x: Float64Array, y: Float64Array, n: number, j: number): boolean {
  let shift = 0;
  let on = 0;
  const count = n - j + 1;
  for (let i = 0; i < count; i++) {
    // The second pass may be a little longer or shorter: let the place slide along.
    let best = Infinity;
    let at = shift;
    for (let d = shift - 3; d <= shift + 3; d++) {
      const k = i + d;
      if (k < 0 || k > n) continue;
      const off = Math.hypot(x[i + j] - x[k], y[i + j] - y[k]);
      if (off < best) [best, at] = [off, d];
    }
    if (best <= apartM) {
      on += 1;
      shift = at;
    }
  }
  return on >= leastShare * count;
}
