import type { DayEvidence } from '../../evidence/index.ts';
import { LapbenchError, degToRad, type Problem } from '../../units/index.ts';
import type { DaySeries, RunSeries } from './series.ts';

/** A stretch of one run that may be a lap, in metres of path ridden since the run's first sample. */
export interface LapStretch {
  fromPathM: number;
  toPathM: number;
  /** Path at the turn of an out-and-back; null on a loop. */
  turnPathM: number | null;
}

export interface FoundLaps {
  /** For each run, its whole laps in riding order. */
  laps: LapStretch[][];
  lapLengthM: number;
  /** Start gate in metres east and north of the origin, null without positions. */
  gate: { eastM: number; northM: number } | null;
  warnings: Problem[];
}

/** A lap may differ from the median length by this share (riding line, wheel calibration, GPS). */
const lengthTolerance = 0.03;
/** Marks closer than this are one press of the button. */
const doublePressM = 50;

/**
 * Finds the whole laps of every run: from lap marks, from passes of a gate on a loop, from
 * turnarounds on an out-and-back.
 *
 * Errors: `laps-not-found` when no two stretches of equal length exist.
 */
export function findLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
  const { course } = evidence.day;
  return course.kind === 'loop' ? findLoopLaps(evidence, series) : findReturnLaps(evidence, series);
}

/** Value of `y` at `x` on the polyline through (xs, ys), xs not decreasing. */
export function interpolate(xs: ArrayLike<number>, ys: ArrayLike<number>, x: number): number {
  let low = 0;
  let high = xs.length - 1;
  if (x <= xs[low]) return ys[low];
  if (x >= xs[high]) return ys[high];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= x) low = middle;
    else high = middle;
  }
  const width = xs[high] - xs[low];
  return width > 0 ? ys[low] + ((x - xs[low]) / width) * (ys[high] - ys[low]) : ys[low];
}

export function median(values: number[]): number {
  if (values.length === 0) return NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : 0.5 * (sorted[middle - 1] + sorted[middle]);
}

function pathAtMarks(run: RunSeries): number[] {
  const total = run.pathM[run.pathM.length - 1];
  const paths = run.lapMarksS.map((mark) => interpolate(run.timeS, run.pathM, mark));
  const kept: number[] = [0];
  for (const path of paths) {
    if (path - kept[kept.length - 1] > doublePressM) kept.push(path);
  }
  if (total - kept[kept.length - 1] > doublePressM) kept.push(total);
  return kept;
}

/** The length that most stretches share: the one with most others within tolerance, longest first. */
function commonLength(lengths: number[], stated: number | null): number | null {
  if (stated !== null) return stated;
  const useful = lengths.filter((length) => length > 150).sort((a, b) => b - a);
  let best: { count: number; length: number } | null = null;
  for (const length of useful) {
    const alike = useful.filter((other) => Math.abs(other / length - 1) <= lengthTolerance);
    if (!best || alike.length > best.count) best = { count: alike.length, length: median(alike) };
  }
  if (!best) return null;
  return best.length;
}

function notFound(evidence: DayEvidence, how: string): LapbenchError {
  return new LapbenchError({
    code: 'laps-not-found',
    file: evidence.day.runs[0]?.file,
    message: `No laps were found: ${how}`,
    remedy:
      'Press the lap button at the same place each lap, or record positions, or give course.lapLengthM in the sheet.',
  });
}

// ---------------------------------------------------------------------------------------------
// Loops

interface Gate {
  eastM: number;
  northM: number;
  /** Unit vector of riding direction through the gate. */
  alongEast: number;
  alongNorth: number;
}

/** How far to the side of the gate a pass still counts, m (road width, riding line, GPS). */
const gateHalfWidthM = 25;
/** A run that starts this little past the gate, or ends this little before it, has a whole lap there. */
const nearGateM = 45;

/** Riding direction at a sample over about 20 m either side; null at a standstill or without positions. */
function directionAt(run: RunSeries, index: number): [number, number] | null {
  const { eastM, northM, pathM } = run;
  if (!eastM || !northM) return null;
  let low = index;
  let high = index;
  while (low > 0 && pathM[index] - pathM[low] < 20) low--;
  while (high < pathM.length - 1 && pathM[high] - pathM[index] < 20) high++;
  const east = eastM[high] - eastM[low];
  const north = northM[high] - northM[low];
  const length = Math.hypot(east, north);
  return length > 5 ? [east / length, north / length] : null;
}

function gateAt(run: RunSeries, index: number): Gate | null {
  const direction = directionAt(run, index);
  if (!direction || !Number.isFinite(run.eastM![index] + run.northM![index])) return null;
  return {
    eastM: run.eastM![index],
    northM: run.northM![index],
    alongEast: direction[0],
    alongNorth: direction[1],
  };
}

/** Paths at which a run passes the gate in riding direction, its start and end included when near. */
function passes(run: RunSeries, gate: Gate): number[] {
  const { eastM, northM, pathM } = run;
  const found: number[] = [];
  if (!eastM || !northM) return found;
  const last = pathM.length - 1;
  const along = (i: number) =>
    (eastM[i] - gate.eastM) * gate.alongEast + (northM[i] - gate.northM) * gate.alongNorth;
  const across = (i: number) =>
    -(eastM[i] - gate.eastM) * gate.alongNorth + (northM[i] - gate.northM) * gate.alongEast;
  let previous = NaN;
  for (let i = 1; i <= last; i++) {
    const a0 = along(i - 1);
    const a1 = along(i);
    if (!(a0 < 0 && a1 >= 0)) continue;
    if (Math.abs(across(i)) > gateHalfWidthM) continue;
    const step = Math.hypot(eastM[i] - eastM[i - 1], northM[i] - northM[i - 1]);
    if (step <= 0 || (a1 - a0) / step < 0.5) continue;
    // The crossing from a straight line through the neighbours within 40 m: steadier than one step.
    let low = i - 1;
    let high = i;
    while (low > 0 && pathM[i] - pathM[low - 1] <= 40) low--;
    while (high < last && pathM[high + 1] - pathM[i] <= 40) high++;
    const crossing = lineCrossing(pathM, along, low, high) ?? pathM[i];
    const at = Math.abs(crossing - pathM[i]) < 15 ? crossing : pathM[i];
    if (Number.isFinite(previous) && at - previous < 150) continue;
    found.push(at);
    previous = at;
  }
  const startAlong = along(0);
  if (
    startAlong >= 0 &&
    startAlong < nearGateM &&
    Math.abs(across(0)) < gateHalfWidthM &&
    (found.length === 0 || found[0] > 150)
  ) {
    found.unshift(-startAlong);
  } else if (found.length > 0 && found[0] < nearGateM && found[0] > 0) {
    // Started just before the gate: that pass is the start.
  }
  const endAlong = along(last);
  if (
    endAlong < 0 &&
    endAlong > -nearGateM &&
    Math.abs(across(last)) < gateHalfWidthM &&
    (found.length === 0 || pathM[last] - found[found.length - 1] > 150)
  ) {
    found.push(pathM[last] - endAlong);
  }
  return found;
}

/** Path at which the least-squares line of `along` against path is zero; null when not rising. */
function lineCrossing(
  pathM: Float64Array,
  along: (i: number) => number,
  low: number,
  high: number,
): number | null {
  let n = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  for (let i = low; i <= high; i++) {
    const y = along(i);
    if (!Number.isFinite(y)) continue;
    const x = pathM[i] - pathM[low];
    n++;
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  const spread = n * sxx - sx * sx;
  if (n < 3 || spread <= 0) return null;
  const slope = (n * sxy - sx * sy) / spread;
  if (slope < 0.3) return null;
  return pathM[low] - (sy - slope * sx) / n / slope;
}

function stretchesOf(boundaries: number[]): LapStretch[] {
  const out: LapStretch[] = [];
  for (let i = 1; i < boundaries.length; i++) {
    out.push({ fromPathM: boundaries[i - 1], toPathM: boundaries[i], turnPathM: null });
  }
  return out;
}

function wholeLaps(stretches: LapStretch[][], lengthM: number): LapStretch[][] {
  return stretches.map((run) =>
    run.filter((lap) => Math.abs((lap.toPathM - lap.fromPathM) / lengthM - 1) <= lengthTolerance),
  );
}

const count = (laps: LapStretch[][]): number => laps.reduce((sum, run) => sum + run.length, 0);

/**
 * Draws the boundaries of a run onto an even ladder: on a loop every lap is equally long, so the
 * error of single marks or passes averages out. Kept as they are when they do not fit a ladder
 * within `looseM` (another line was ridden).
 */
function evened(laps: LapStretch[], looseM: number): LapStretch[] {
  if (laps.length < 2) return laps;
  for (let i = 1; i < laps.length; i++) {
    if (Math.abs(laps[i].fromPathM - laps[i - 1].toPathM) > 1e-6) return laps;
  }
  const xs = [laps[0].fromPathM, ...laps.map((lap) => lap.toPathM)];
  const n = xs.length;
  const meanIndex = (n - 1) / 2;
  const meanX = xs.reduce((sum, x) => sum + x, 0) / n;
  let top = 0;
  let bottom = 0;
  xs.forEach((x, i) => {
    top += (i - meanIndex) * (x - meanX);
    bottom += (i - meanIndex) ** 2;
  });
  const slope = top / bottom;
  const fit = xs.map((_, i) => meanX + slope * (i - meanIndex));
  if (xs.some((x, i) => Math.abs(x - fit[i]) > looseM)) return laps;
  return laps.map((lap, i) => ({ ...lap, fromPathM: fit[i], toPathM: fit[i + 1] }));
}

function findLoopLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
  const { course } = evidence.day;
  const { runs, origin } = series;
  const warnings: Problem[] = [];
  const byMarks = runs.map((run) =>
    run.lapMarksS.length > 0 ? stretchesOf(pathAtMarks(run)) : stretchesOf([0, run.pathM.at(-1)!]),
  );
  const marked = runs.some((run) => run.lapMarksS.length > 0);
  const markLength = commonLength(
    byMarks.flat().map((lap) => lap.toPathM - lap.fromPathM),
    course.lapLengthM,
  );
  const lapsByMarks = marked && markLength ? wholeLaps(byMarks, markLength) : runs.map(() => []);

  if (origin) {
    const candidates: Gate[] = [];
    if (course.gate) {
      const cosLat = Math.cos(degToRad(origin.latDeg));
      const north = degToRad(course.gate.latDeg - origin.latDeg) * 6371008.8;
      const east = degToRad(course.gate.lonDeg - origin.lonDeg) * 6371008.8 * cosLat;
      const near = nearestSample(runs[0], east, north);
      const gate = gateAt(runs[0], near);
      if (gate) candidates.push({ ...gate, eastM: east, northM: north });
    } else {
      if (count(lapsByMarks) > 0) {
        const gate = gateFromMarks(runs, lapsByMarks);
        if (gate) candidates.push(gate);
      }
      for (const run of runs.slice(0, 3)) {
        const gate = gateAt(run, 0);
        if (gate) candidates.push(gate);
      }
      const total = runs[0].pathM.at(-1)!;
      for (let k = 1; k <= 6; k++) {
        const index = runs[0].pathM.findIndex((path) => path >= (k / 7) * total);
        const gate = index > 0 ? gateAt(runs[0], index) : null;
        if (gate) candidates.push(gate);
      }
    }
    let best: { laps: LapStretch[][]; length: number; gate: Gate } | null = null;
    for (const gate of candidates) {
      const stretches = runs.map((run) => stretchesOf(passes(run, gate)));
      const length = commonLength(
        stretches.flat().map((lap) => lap.toPathM - lap.fromPathM),
        course.lapLengthM,
      );
      if (length === null) continue;
      const laps = wholeLaps(stretches, length);
      // A later candidate must find more laps, not merely as many: marks and starts come first.
      if (!best || count(laps) > count(best.laps)) best = { laps, length, gate };
    }
    if (best && count(best.laps) >= Math.max(1, count(lapsByMarks))) {
      return {
        laps: best.laps.map((laps) => evened(laps, 12)),
        lapLengthM: best.length,
        gate: { eastM: best.gate.eastM, northM: best.gate.northM },
        warnings,
      };
    }
  }
  if (markLength && count(lapsByMarks) > 0) {
    return {
      laps: lapsByMarks.map((laps) => evened(laps, 40)),
      lapLengthM: markLength,
      gate: null,
      warnings,
    };
  }
  if (course.lapLengthM) {
    const length = course.lapLengthM;
    const laps = runs.map((run) => {
      const whole = Math.floor(run.pathM.at(-1)! / length + lengthTolerance);
      return stretchesOf(Array.from({ length: whole + 1 }, (_, k) => k * length));
    });
    if (count(laps) > 0) {
      warnings.push({
        code: 'laps-not-found',
        message:
          'No lap marks and no positions: laps are counted off by the stated lap length from the start of each run.',
        remedy: 'Press the lap button at the same place each lap.',
      });
      return { laps, lapLengthM: length, gate: null, warnings };
    }
  }
  // One run of exactly one lap each, from start to stop: the runs themselves are the laps.
  const whole = runs.map((run) => stretchesOf([0, run.pathM.at(-1)!]));
  const length = commonLength(
    whole.flat().map((lap) => lap.toPathM),
    null,
  );
  if (!marked && length && runs.length >= 2) {
    const laps = wholeLaps(whole, length);
    if (count(laps) === runs.length) return { laps, lapLengthM: length, gate: null, warnings };
  }
  throw notFound(
    evidence,
    origin
      ? 'the track never passes the same gate twice in the same direction.'
      : 'the recordings have neither lap marks nor positions.',
  );
}

function nearestSample(run: RunSeries, east: number, north: number): number {
  let best = 0;
  let distance = Infinity;
  for (let i = 0; i < run.pathM.length; i++) {
    const d = Math.hypot(run.eastM![i] - east, run.northM![i] - north);
    if (d < distance) {
      distance = d;
      best = i;
    }
  }
  return best;
}

/** A gate through the middle of all lap marks between laps. */
function gateFromMarks(runs: RunSeries[], laps: LapStretch[][]): Gate | null {
  const east: number[] = [];
  const north: number[] = [];
  const alongEast: number[] = [];
  const alongNorth: number[] = [];
  laps.forEach((runLaps, r) => {
    for (const lap of runLaps) {
      for (const path of [lap.fromPathM, lap.toPathM]) {
        const index = Math.max(
          0,
          runs[r].pathM.findIndex((value) => value >= path - 1e-9),
        );
        const gate = gateAt(runs[r], index);
        if (!gate) continue;
        east.push(interpolate(runs[r].pathM, runs[r].eastM!, path));
        north.push(interpolate(runs[r].pathM, runs[r].northM!, path));
        alongEast.push(gate.alongEast);
        alongNorth.push(gate.alongNorth);
      }
    }
  });
  if (east.length === 0) return null;
  const [ae, an] = [median(alongEast), median(alongNorth)];
  const length = Math.hypot(ae, an);
  if (length < 0.3) return null;
  return {
    eastM: median(east),
    northM: median(north),
    alongEast: ae / length,
    alongNorth: an / length,
  };
}

// ---------------------------------------------------------------------------------------------
// Out and back

/** Paths at which the rider turned round, from positions: direction before and after is opposite. */
export function turnarounds(run: RunSeries): number[] {
  const { eastM, northM, pathM } = run;
  if (!eastM || !northM) return [];
  const last = pathM.length - 1;
  const found: { path: number; dot: number }[] = [];
  const reach = 40;
  let low = 0;
  let high = 0;
  for (let i = 1; i < last; i++) {
    while (low < i && pathM[i] - pathM[low + 1] > reach) low++;
    if (high < i) high = i;
    while (high < last && pathM[high] - pathM[i] < reach) high++;
    const inEast = eastM[i] - eastM[low];
    const inNorth = northM[i] - northM[low];
    const outEast = eastM[high] - eastM[i];
    const outNorth = northM[high] - northM[i];
    const a = Math.hypot(inEast, inNorth);
    const b = Math.hypot(outEast, outNorth);
    if (a < 0.5 * reach || b < 0.5 * reach) continue;
    const dot = (inEast * outEast + inNorth * outNorth) / (a * b);
    if (dot > -0.7) continue;
    const newest = found[found.length - 1];
    if (newest && pathM[i] - newest.path < 3 * reach) {
      // The turn is where the reach into both directions is longest: keep the sharpest reversal.
      if (a + b > newest.dot) {
        newest.path = pathM[i];
        newest.dot = a + b;
      }
    } else found.push({ path: pathM[i], dot: a + b });
  }
  return found.map((turn) => turn.path);
}

function findReturnLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
  const { course } = evidence.day;
  const { runs, origin } = series;
  const warnings: Problem[] = [];
  if (origin) {
    const legs = runs.map((run) => {
      const total = run.pathM.at(-1)!;
      const inner = turnarounds(run).filter((path) => path > 60 && path < total - 60);
      return [0, ...inner, total];
    });
    const legLength = commonLength(
      legs.flatMap((paths) => paths.slice(1).map((path, i) => path - paths[i])),
      course.lapLengthM === null ? null : course.lapLengthM / 2,
    );
    if (legLength !== null) {
      const outward = outwardDirection(runs[0], legs[0], legLength);
      const laps = runs.map((run, r) => {
        const out: LapStretch[] = [];
        const paths = legs[r];
        let i = 0;
        while (i + 2 < paths.length) {
          const first = paths[i + 1] - paths[i];
          const second = paths[i + 2] - paths[i + 1];
          const whole = (length: number) => Math.abs(length / legLength - 1) <= 2 * lengthTolerance;
          if (whole(first) && whole(second) && isOutward(run, paths[i], paths[i + 1], outward)) {
            out.push({ fromPathM: paths[i], toPathM: paths[i + 2], turnPathM: paths[i + 1] });
            i += 2;
          } else i += 1;
        }
        return out;
      });
      if (count(laps) > 0) {
        const start = laps.findIndex((run) => run.length > 0);
        const path = laps[start][0].fromPathM;
        return {
          laps,
          lapLengthM: 2 * legLength,
          gate: {
            eastM: interpolate(runs[start].pathM, runs[start].eastM!, path),
            northM: interpolate(runs[start].pathM, runs[start].northM!, path),
          },
          warnings,
        };
      }
    }
  }
  const byMarks = runs.map((run) => stretchesOf(pathAtMarks(run)));
  const length = commonLength(
    byMarks.flat().map((lap) => lap.toPathM - lap.fromPathM),
    course.lapLengthM,
  );
  if (length !== null) {
    const laps = wholeLaps(byMarks, length).map((runLaps, r) =>
      runLaps.map((lap) => ({ ...lap, turnPathM: slowestNearHalf(runs[r], lap) })),
    );
    if (count(laps) > 0) {
      warnings.push({
        code: 'heading-missing',
        message:
          'The recordings have no positions: the turn is taken where the rider was slowest near half way, and the road as straight.',
      });
      return { laps, lapLengthM: length, gate: null, warnings };
    }
  }
  throw notFound(
    evidence,
    origin
      ? 'no turnarounds were seen in the track.'
      : 'the recordings have neither lap marks nor positions.',
  );
}

/** Unit vector from start to turn of the first whole leg of a run. */
function outwardDirection(run: RunSeries, paths: number[], legLength: number): [number, number] {
  for (let i = 0; i + 1 < paths.length; i++) {
    if (Math.abs((paths[i + 1] - paths[i]) / legLength - 1) > 2 * lengthTolerance) continue;
    return chord(run, paths[i], paths[i + 1]);
  }
  return chord(run, paths[0], paths[1]);
}

function chord(run: RunSeries, fromPath: number, toPath: number): [number, number] {
  const east =
    interpolate(run.pathM, run.eastM!, toPath) - interpolate(run.pathM, run.eastM!, fromPath);
  const north =
    interpolate(run.pathM, run.northM!, toPath) - interpolate(run.pathM, run.northM!, fromPath);
  const length = Math.hypot(east, north) || 1;
  return [east / length, north / length];
}

function isOutward(run: RunSeries, from: number, to: number, outward: [number, number]): boolean {
  const [east, north] = chord(run, from, to);
  return east * outward[0] + north * outward[1] > 0;
}

/** Path of the slowest moment within 8 % of half way; half way itself when the rider kept speed. */
function slowestNearHalf(run: RunSeries, lap: LapStretch): number {
  const half = 0.5 * (lap.fromPathM + lap.toPathM);
  const reach = 0.08 * (lap.toPathM - lap.fromPathM);
  let best = half;
  let slowest = Infinity;
  let sum = 0;
  let n = 0;
  for (let i = 0; i < run.pathM.length; i++) {
    if (Math.abs(run.pathM[i] - half) > reach) continue;
    sum += run.speedMps[i];
    n++;
    if (run.speedMps[i] < slowest) {
      slowest = run.speedMps[i];
      best = run.pathM[i];
    }
  }
  return n > 0 && slowest < 0.7 * (sum / n) ? best : half;
}
