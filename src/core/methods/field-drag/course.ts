import type { DayEvidence } from '../../evidence/index.ts';
import { interpolate, type FoundLaps } from './laps.ts';
import type { DaySeries, RunSeries } from './series.ts';

/** One leg of a lap: the whole lap on a loop, out or back on an out-and-back. */
export interface Leg {
  run: number;
  /** Index of the lap among all laps of the day. */
  lap: number;
  /** 1 when the road coordinate grows along the ride, -1 on the way back. */
  sense: 1 | -1;
  fromPathM: number;
  toPathM: number;
  /** Road coordinate = offset + sense × scale × path. */
  offsetM: number;
  scale: number;
}

export interface DayLap {
  run: number;
  /** From 1 within the run. */
  number: number;
  fromPathM: number;
  toPathM: number;
}

/** The road that all laps share, in one coordinate from 0 to `lengthM`. */
export interface Course {
  kind: 'loop' | 'out-and-back';
  /** One lap, m. */
  lapLengthM: number;
  /** Length of road: the lap on a loop, half of it on an out-and-back. */
  lengthM: number;
  laps: DayLap[];
  legs: Leg[];
  /** Road coordinates between which the energy is balanced; the first and last are the road's ends. */
  gatesM: number[];
  /** Table spacing of the tables below, m. */
  stepM: number;
  /** Mean track on the table, metres from the origin; null without positions. */
  eastM: Float64Array | null;
  northM: Float64Array | null;
  /** Unit vector of the road at each table point, in the sense of growing coordinate; null unknown. */
  tangentEast: Float64Array | null;
  tangentNorth: Float64Array | null;
  /** Height above the road's start as the altimeters say, averaged over laps; zeros without altitude. */
  heightM: Float64Array;
  /** Standard uncertainty of a height difference over the table, m. */
  heightUncertaintyM: number;
  hasHeight: boolean;
  /** True when headings are known up to a common turn only (straight road taken for granted). */
  headingAssumed: boolean;
}

/** Road coordinate of a path length on a leg. */
export const roadPosition = (leg: Leg, pathM: number): number =>
  leg.offsetM + leg.sense * leg.scale * pathM;

/** Table lookup with straight lines between the points; clamped at the ends. */
export function lookup(table: Float64Array, stepM: number, positionM: number): number {
  const x = positionM / stepM;
  if (x <= 0) return table[0];
  const last = table.length - 1;
  if (x >= last) return table[last];
  const i = x | 0;
  return table[i] + (x - i) * (table[i + 1] - table[i]);
}

/** Lays every lap on one road and averages track and height over the laps. */
export function layCourse(evidence: DayEvidence, series: DaySeries, found: FoundLaps): Course {
  const kind = evidence.day.course.kind;
  const laps: DayLap[] = [];
  const legs: Leg[] = [];
  const lengthM = kind === 'loop' ? found.lapLengthM : found.lapLengthM / 2;
  found.laps.forEach((runLaps, run) => {
    runLaps.forEach((lap, index) => {
      const id = laps.length;
      laps.push({ run, number: index + 1, fromPathM: lap.fromPathM, toPathM: lap.toPathM });
      const turns =
        lap.turnPathM === null
          ? [lap.fromPathM, lap.toPathM]
          : [lap.fromPathM, lap.turnPathM, lap.toPathM];
      for (let i = 1; i < turns.length; i++) {
        const sense = i === 1 ? 1 : -1;
        const scale = lengthM / (turns[i] - turns[i - 1]);
        const start = sense === 1 ? 0 : lengthM;
        legs.push({
          run,
          lap: id,
          sense,
          fromPathM: turns[i - 1],
          toPathM: turns[i],
          scale,
          offsetM: start - sense * scale * turns[i - 1],
        });
      }
    });
  });

  const points = Math.max(40, Math.min(600, Math.round(lengthM / 12)));
  const stepM = lengthM / points;
  let track = series.origin ? averageTrack(series.runs, legs, kind, lengthM, points) : null;
  if (track && kind === 'out-and-back') {
    // Riders turn at different spots: lay each leg where its positions fit the mean track best.
    for (let pass = 0; pass < 2 && track; pass++) {
      shiftLegs(series.runs, legs, track, lengthM);
      track = averageTrack(series.runs, legs, kind, lengthM, points);
    }
  }
  const height = series.usedAltitude
    ? averageHeight(series.runs, legs, laps.length, kind, lengthM, points)
    : null;

  let tangentEast: Float64Array | null = null;
  let tangentNorth: Float64Array | null = null;
  let headingAssumed = false;
  if (track) {
    [tangentEast, tangentNorth] = tangents(track.east, track.north, kind);
  } else if (kind === 'out-and-back') {
    tangentEast = new Float64Array(points + 1).fill(1);
    tangentNorth = new Float64Array(points + 1);
    headingAssumed = true;
  }
  return {
    kind,
    lapLengthM: found.lapLengthM,
    lengthM,
    laps,
    legs,
    gatesM: gates(legs, kind, lengthM),
    stepM,
    eastM: track?.east ?? null,
    northM: track?.north ?? null,
    tangentEast,
    tangentNorth,
    heightM: height?.table ?? new Float64Array(points + 1),
    heightUncertaintyM: height?.uncertaintyM ?? Infinity,
    hasHeight: height !== null,
    headingAssumed,
  };
}

/** Gates about 200 m apart; on an out-and-back only where nearly all legs have been. */
function gates(legs: Leg[], kind: Course['kind'], lengthM: number): number[] {
  let low = 0;
  let high = lengthM;
  if (kind === 'out-and-back') {
    const nears: number[] = [];
    const fars: number[] = [];
    for (const leg of legs) {
      const a = roadPosition(leg, leg.fromPathM);
      const b = roadPosition(leg, leg.toPathM);
      nears.push(Math.min(a, b));
      fars.push(Math.max(a, b));
    }
    nears.sort((a, b) => a - b);
    fars.sort((a, b) => a - b);
    low = Math.max(0, nears[Math.floor(0.9 * (nears.length - 1))]);
    high = Math.min(lengthM, fars[Math.floor(0.1 * (fars.length - 1))]);
  }
  const cells = Math.max(4, Math.min(16, Math.round((high - low) / 200)));
  return Array.from({ length: cells + 1 }, (_, k) => low + (k / cells) * (high - low));
}

interface Track {
  east: Float64Array;
  north: Float64Array;
}

/** Calls `visit` for every sample inside a leg with its road coordinate. */
export function eachSample(
  runs: RunSeries[],
  legs: Leg[],
  visit: (leg: Leg, run: RunSeries, index: number, positionM: number) => void,
): void {
  for (const leg of legs) {
    const run = runs[leg.run];
    const { pathM } = run;
    let i = firstAt(pathM, leg.fromPathM);
    for (; i < pathM.length && pathM[i] <= leg.toPathM; i++) {
      visit(leg, run, i, roadPosition(leg, pathM[i]));
    }
  }
}

/** First index whose path is not below `path`. */
export function firstAt(pathM: Float64Array, path: number): number {
  let low = 0;
  let high = pathM.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (pathM[middle] < path) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Spreads each sample over its two table neighbours, averages, and bridges empty points. */
class TableMean {
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

function averageTrack(
  runs: RunSeries[],
  legs: Leg[],
  kind: Course['kind'],
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

function tangents(
  east: Float64Array,
  north: Float64Array,
  kind: Course['kind'],
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
function shiftLegs(runs: RunSeries[], legs: Leg[], track: Track, lengthM: number): void {
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

/**
 * Mean height over the road. Each lap's altimeter is first laid level: a lap starts and ends at the
 * same place, so what is left between its ends is drift of the instrument.
 */
function averageHeight(
  runs: RunSeries[],
  legs: Leg[],
  lapCount: number,
  kind: Course['kind'],
  lengthM: number,
  points: number,
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
    const drift = (endAltitude(to) - first) / (to - from);
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
