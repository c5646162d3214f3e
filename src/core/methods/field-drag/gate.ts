import { median } from '../../statistics/index.ts';
import type { RunSeries } from './series.ts';
import type { LapStretch } from './stretches.ts';
import { interpolate } from './tables.ts';

/** A line across the road, passed in one direction. */
export interface Gate {
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

/** Marks of one gate lie within this of their middle, m: a press may be some seconds late. */
const markSpreadM = 80;

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

export function gateAt(run: RunSeries, index: number): Gate | null {
  const direction = directionAt(run, index);
  if (!direction || !Number.isFinite(run.eastM![index] + run.northM![index])) return null;
  return {
    eastM: run.eastM![index],
    northM: run.northM![index],
    alongEast: direction[0],
    alongNorth: direction[1],
  };
}

/** A gate through the middle of all lap marks between laps; null when they were not pressed at one place. */
export function gateFromMarks(runs: RunSeries[], laps: LapStretch[][]): Gate | null {
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
  const [eastM, northM] = [median(east), median(north)];
  const apart = east.filter((e, i) => Math.hypot(e - eastM, north[i] - northM) > markSpreadM);
  if (apart.length > east.length / 3) return null;
  return {
    eastM,
    northM,
    alongEast: ae / length,
    alongNorth: an / length,
  };
}

/** Paths at which a run passes the gate in riding direction, its start and end included when near. */
export function passes(run: RunSeries, gate: Gate): number[] {
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
