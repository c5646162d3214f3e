import { eachSample, roadPosition, type CourseKind, type Leg } from './legs.ts';
import { smooth, TableMean } from './road-table.ts';
import type { RunSeries } from './series.ts';
import { firstAt, lookup } from './tables.ts';

/** Mean track of the road on an even table, metres from the origin. */
export interface Track {
  east: Float64Array;
  north: Float64Array;
}

export function averageTrack(
  runs: RunSeries[],
  legs: Leg[],
  kind: CourseKind,
  lengthM: number,
  points: number,
): Track {
  const wraps = kind === 'loop';
  const east = new TableMean(points, wraps);
  const north = new TableMean(points, wraps);
  const perM = points / lengthM;
  eachSample(runs, legs, (_leg, run, i, position) => {
    east.add(position * perM, run.eastM![i]);
    north.add(position * perM, run.northM![i]);
  });
  return { east: smooth(east.table(), 2, wraps), north: smooth(north.table(), 2, wraps) };
}

/** Unit vector of the road at each table point, in the sense of growing coordinate. */
export function tangents(
  east: Float64Array,
  north: Float64Array,
  kind: CourseKind,
): [Float64Array, Float64Array] {
  const n = east.length - 1;
  const wraps = kind === 'loop';
  const te = new Float64Array(n + 1);
  const tn = new Float64Array(n + 1);
  for (let i = 0; i <= n; i++) {
    const low = wraps ? (i - 1 + n) % n : Math.max(0, i - 1);
    const high = wraps ? (i + 1) % n : Math.min(n, i + 1);
    const de = east[high] - east[low];
    const dn = north[high] - north[low];
    const length = Math.hypot(de, dn) || 1;
    te[i] = de / length;
    tn[i] = dn / length;
  }
  return [te, tn];
}

/** Moves each leg along the road so that its positions lie on the mean track, on average. */
export function shiftLegs(runs: RunSeries[], legs: Leg[], track: Track, lengthM: number): void {
  const points = track.east.length - 1;
  const step = lengthM / points;
  const [te, tn] = tangents(track.east, track.north, 'out-and-back');
  const scaleByRun = new Map<number, number[]>();
  for (const leg of legs) {
    scaleByRun.set(leg.run, [...(scaleByRun.get(leg.run) ?? []), leg.scale]);
  }
  for (const leg of legs) {
    const scales = scaleByRun.get(leg.run)!;
    const scale = scales.reduce((sum, value) => sum + value, 0) / scales.length;
    const middle = 0.5 * (leg.fromPathM + leg.toPathM);
    const atMiddle = roadPosition(leg, middle);
    leg.scale = scale;
    leg.offsetM = atMiddle - leg.sense * scale * middle;
    let sum = 0;
    let n = 0;
    const run = runs[leg.run];
    const reach = 0.4 * (leg.toPathM - leg.fromPathM);
    for (let i = firstAt(run.pathM, leg.fromPathM); i < run.pathM.length; i++) {
      if (run.pathM[i] > leg.toPathM) break;
      if (Math.abs(run.pathM[i] - middle) > reach) continue;
      const r = roadPosition(leg, run.pathM[i]);
      const off =
        (run.eastM![i] - lookup(track.east, step, r)) * lookup(te, step, r) +
        (run.northM![i] - lookup(track.north, step, r)) * lookup(tn, step, r);
      if (!Number.isFinite(off)) continue;
      sum += off;
      n++;
    }
    if (n > 0) leg.offsetM += Math.max(-60, Math.min(60, sum / n));
  }
}
