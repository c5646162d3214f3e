import { eachSample, type CourseKind, type Leg } from './legs.ts';
import { smooth, TableMean } from './road-table.ts';
import type { RunSeries } from './series.ts';
import { firstAt } from './tables.ts';

/**
 * Mean height over the road. Each lap's altimeter is first laid level: a lap starts and ends at the
 * same place, so what is left between its ends is drift of the instrument. On a road ridden one way
 * (`closed` false) that cannot be told, and the drift stays in.
 */
export function averageHeight(
  runs: RunSeries[],
  legs: Leg[],
  lapCount: number,
  kind: CourseKind,
  lengthM: number,
  points: number,
  closed: boolean,
): { table: Float64Array; uncertaintyM: number } {
  const wraps = kind === 'loop';
  const byLap: Leg[][] = Array.from({ length: lapCount }, () => []);
  for (const leg of legs) byLap[leg.lap].push(leg);
  const perM = points / lengthM;
  const tables: Float64Array[] = [];
  for (const lapLegs of byLap) {
    const run = runs[lapLegs[0].run];
    const from = lapLegs[0].fromPathM;
    const to = lapLegs[lapLegs.length - 1].toPathM;
    const endAltitude = (at: number): number => {
      let sum = 0;
      let n = 0;
      for (let i = firstAt(run.pathM, at - 25); i < run.pathM.length; i++) {
        if (run.pathM[i] > at + 25) break;
        if (Number.isFinite(run.altitudeM![i])) {
          sum += run.altitudeM![i];
          n++;
        }
      }
      return n > 0 ? sum / n : NaN;
    };
    const first = endAltitude(from);
    const drift = closed ? (endAltitude(to) - first) / (to - from) : 0;
    if (!Number.isFinite(first + drift)) continue;
    const mean = new TableMean(points, wraps);
    eachSample(runs, lapLegs, (_leg, r, i, position) => {
      const level = r.altitudeM![i] - first - drift * (r.pathM[i] - from);
      mean.add(position * perM, level);
    });
    tables.push(mean.table());
  }
  const table = new Float64Array(points + 1);
  if (tables.length === 0) return { table, uncertaintyM: 10 };
  let spread = 0;
  for (let i = 0; i <= points; i++) {
    const values = tables.map((t) => t[i]);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    table[i] = mean;
    for (const value of values) spread += (value - mean) ** 2;
  }
  const n = tables.length;
  const sd = n > 1 ? Math.sqrt(spread / ((n - 1) * (points + 1))) : 1;
  const smoothed = smooth(table, 2, wraps);
  const start = smoothed[0];
  for (let i = 0; i <= points; i++) smoothed[i] -= start;
  // Half a metre stays however many laps agree: ports, temperature and maps err alike each lap.
  return { table: smoothed, uncertaintyM: Math.hypot(0.5, sd / Math.sqrt(n)) };
}
