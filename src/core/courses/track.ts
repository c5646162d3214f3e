/** Direction and curvature of the ridden line, and the corners in it. */
import { median } from '../statistics/index.ts';
import { radToDeg } from '../units/index.ts';
import { circleThrough, type Circle } from './circle.ts';
import type { Corner } from './course.ts';

/** Places along the course, and metres east and north. */
export interface Line {
  distanceM: Float64Array;
  eastM: Float64Array;
  northM: Float64Array;
}

/** A line on the plane with the positions that it came from. */
export interface Track extends Line {
  latDeg: Float64Array;
  lonDeg: Float64Array;
}

export interface Bends {
  /** Unit vector ridden along. */
  alongEast: Float64Array;
  alongNorth: Float64Array;
  /** 1/m, positive to the right. */
  curvaturePerM: Float64Array;
  curvatureSdPerM: Float64Array;
}

/** Half of the stretch over which direction and curvature are taken, m; more where points are few. */
const halfWindowM = 15;
const widestHalfWindowM = 60;
const leastPoints = 5;
/** Bends wider than this are measured again over twice the stretch, m: there is room, and less scatter. */
const wideM = 35;
/** Wider bends limit nobody. */
const widestCornerM = 150;
const leastTurnDeg = 20;
const shortestCornerM = 8;
/** Bends must stand out of the scatter by this many standard deviations. */
const leastSigmas = 3;

/** Direction by straight lines, curvature by circles (Taubin) through the points around each point. */
export function bendsOf({ distanceM, eastM, northM }: Line): Bends {
  const n = distanceM.length;
  const out: Bends = {
    alongEast: new Float64Array(n),
    alongNorth: new Float64Array(n),
    curvaturePerM: new Float64Array(n),
    curvatureSdPerM: new Float64Array(n),
  };
  const windows: [number, number][] = [];
  const scatter: number[] = [];
  for (let i = 0; i < n; i++) {
    let half = halfWindowM;
    let [a, b] = around(distanceM, i, half);
    while (b - a < leastPoints && half < widestHalfWindowM) {
      half *= 1.4;
      [a, b] = around(distanceM, i, half);
    }
    const [east, north] = direction(distanceM, eastM, northM, a, b);
    out.alongEast[i] = east;
    out.alongNorth[i] = north;
    const near = circleOf(eastM, northM, a, b);
    const wide = near === null || near.radius > wideM;
    if (wide) [a, b] = around(distanceM, i, 2 * half);
    const circle = wide ? circleOf(eastM, northM, a, b) : near;
    windows.push([a, b]);
    // No circle: the points lie on a straight line.
    if (b - a > 3) scatter.push((circle?.sumOfSquares ?? 0) / (b - a - 3));
    if (circle === null) continue;
    // The centre lies to the right where the curve turns clockwise.
    const cross = (circle.centreX - eastM[i]) * -north + (circle.centreY - northM[i]) * east;
    out.curvaturePerM[i] = cross > 0 ? -1 / circle.radius : 1 / circle.radius;
  }
  // The median: where a bend begins or ends, no circle fits, and that is no scatter of positions.
  const scatterM = scatter.length > 0 ? 1.2 * Math.sqrt(median(scatter)) : 0;
  windows.forEach(([a, b], i) => {
    const length = Math.max(1, distanceM[b - 1] - distanceM[a]);
    // Second derivative of a quadratic fitted to b − a even points over this length.
    out.curvatureSdPerM[i] = (scatterM * Math.sqrt(720 / Math.max(1, b - a))) / (length * length);
  });
  return out;
}

const circleOf = (x: Float64Array, y: Float64Array, a: number, b: number): Circle | null =>
  b - a < 4 ? null : circleThrough(x.subarray(a, b), y.subarray(a, b));

function around(distanceM: Float64Array, i: number, half: number): [number, number] {
  let a = i;
  let b = i + 1;
  while (a > 0 && distanceM[i] - distanceM[a - 1] <= half) a -= 1;
  while (b < distanceM.length && distanceM[b] - distanceM[i] <= half) b += 1;
  return [a, b];
}

function direction(
  s: Float64Array,
  x: Float64Array,
  y: Float64Array,
  a: number,
  b: number,
): [number, number] {
  // With one point alone its neighbours say where the road goes.
  if (b - a < 2) {
    a = Math.max(0, a - 1);
    b = Math.min(s.length, b + 1);
  }
  const mean = (values: Float64Array): number => {
    let sum = 0;
    for (let i = a; i < b; i++) sum += values[i];
    return sum / (b - a);
  };
  const [ms, mx, my] = [mean(s), mean(x), mean(y)];
  let [east, north] = [0, 0];
  for (let i = a; i < b; i++) {
    east += (s[i] - ms) * (x[i] - mx);
    north += (s[i] - ms) * (y[i] - my);
  }
  const size = Math.hypot(east, north);
  return size > 0 ? [east / size, north / size] : [0, 1];
}

/** Degrees clockwise from north. */
export const headingOf = (east: number, north: number): number =>
  (radToDeg(Math.atan2(east, north)) + 360) % 360;

/** Stretches bent tighter than 150 m, beyond what the scatter of positions makes, that turn by 20° or more. */
export function cornersOf(distanceM: Float64Array, bends: Bends): Corner[] {
  const { curvaturePerM: k, curvatureSdPerM: sd } = bends;
  const corners: Corner[] = [];
  const bent = (i: number): number =>
    Math.abs(k[i]) > 1 / widestCornerM && Math.abs(k[i]) > leastSigmas * sd[i]
      ? Math.sign(k[i])
      : 0;
  for (let i = 0; i < k.length;) {
    const side = bent(i);
    let end = i + 1;
    while (end < k.length && bent(end) === side) end += 1;
    if (side !== 0) {
      const corner = cornerOf(distanceM, bends, i, end, side);
      const longEnough = corner.toM - corner.fromM >= shortestCornerM;
      if (corner.turnDeg >= leastTurnDeg && longEnough) corners.push(corner);
    }
    i = end;
  }
  return corners;
}

function cornerOf(
  distanceM: Float64Array,
  { curvaturePerM: k, curvatureSdPerM: sd }: Bends,
  from: number,
  end: number,
  side: number,
): Corner {
  let apex = from;
  let turn = 0;
  for (let i = from; i < end; i++) {
    if (Math.abs(k[i]) > Math.abs(k[apex])) apex = i;
    const left = distanceM[Math.max(0, i - 1)];
    const right = distanceM[Math.min(distanceM.length - 1, i + 1)];
    turn += (Math.abs(k[i]) * (right - left)) / 2;
  }
  const size = Math.abs(k[apex]);
  const low = size - 1.96 * sd[apex];
  return {
    fromM: distanceM[from],
    apexM: distanceM[apex],
    toM: distanceM[end - 1],
    radiusM: 1 / size,
    radiusCi95: [1 / (size + 1.96 * sd[apex]), low > 0 ? 1 / low : Infinity],
    side: side > 0 ? 'right' : 'left',
    turnDeg: radToDeg(turn),
  };
}
