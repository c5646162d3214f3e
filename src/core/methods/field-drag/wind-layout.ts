import type { Steps } from './steps.ts';
import type { Course } from './course.ts';

/**
 * How the crosswind enters the drag.
 * - `vector`: as part of the wind vector, seen by an airspeed sensor in changing headings;
 * - `lap`: straight road with a sensor: its square, one unknown a lap, told by head- and tailwind legs;
 * - `fixed`: no sensor: its square from the wind's mean square, not fitted, its doubt carried along;
 * - `blind`: sensor but no headings: from the lap's own mean square along the road;
 * - `measured`: from the sensor's yaw;
 * - `none`: air taken as still.
 */
export type CrossMode = 'vector' | 'lap' | 'fixed' | 'blind' | 'measured' | 'none';

/** Numbering of the unknowns: the banded ones (wind at its knots) first, then the border. */
export interface Layout {
  cross: CrossMode;
  measuredAir: boolean;
  /** True when the wind is a state of the fit (headings are known). */
  hasWind: boolean;
  loop: boolean;
  knotsS: number[];
  meanKnotsS: number[];
  windCount: number;
  firstMean: number;
  firstLap: number;
  lapCount: number;
  firstHeight: number;
  gateCount: number;
  firstCross: number;
  /** Index of the airspeed scale; -1 without a sensor. */
  scaleAt: number;
  total: number;
}

/** Time between knots of the wind, s, and how many at most: a long day gets wider ones. */
const knotSpacingS = 20;
const mostKnots = 420;
/** Time between knots of the slow mean, s, and how many at most. */
const meanSpacingS = 900;
const mostMeanKnots = 14;
/** Mean heading longer than this: a road too straight to see the wind from several sides. */
const straightRoad = 0.85;

/** Decides what is unknown on this day and numbers it. */
export function layOut(input: {
  course: Course;
  measuredAir: boolean;
  measuredYaw: boolean;
  runSpans: { fromS: number; toS: number }[];
}): Layout {
  const { course, measuredAir, measuredYaw, runSpans } = input;
  const hasWind = course.tangentEast !== null;
  const loop = course.kind === 'loop';
  const knotsS = hasWind ? layKnots(runSpans) : [];
  const meanKnotsS = hasWind ? layMeanKnots(knotsS) : [];
  const lapCount = course.laps.length;
  const gateCount = course.gatesM.length;
  const cross = crossMode(course, measuredAir, measuredYaw);
  const windCount = 2 * knotsS.length;
  const firstLap = windCount + 2 * meanKnotsS.length;
  const firstHeight = firstLap + lapCount;
  const firstCross = firstHeight + (loop ? gateCount - 2 : gateCount - 1);
  const afterCross = firstCross + (cross === 'lap' ? lapCount : 0);
  return {
    cross,
    measuredAir,
    hasWind,
    loop,
    knotsS,
    meanKnotsS,
    windCount,
    firstMean: windCount,
    firstLap,
    lapCount,
    firstHeight,
    gateCount,
    firstCross,
    scaleAt: measuredAir ? afterCross : -1,
    total: afterCross + (measuredAir ? 1 : 0),
  };
}

/** Unknown that corrects the height at a gate; -1 at the gate that all heights refer to. */
export function heightAt(layout: Layout, gate: number): number {
  if (gate === 0 || (layout.loop && gate === layout.gateCount - 1)) return -1;
  return layout.firstHeight + gate - 1;
}

function crossMode(course: Course, measuredAir: boolean, measuredYaw: boolean): CrossMode {
  if (measuredAir && measuredYaw) return 'measured';
  if (course.tangentEast === null) return measuredAir ? 'blind' : 'none';
  if (!measuredAir) return 'fixed';
  return meanHeading(course) > straightRoad ? 'lap' : 'vector';
}

/** Length of the mean unit vector of the road: 1 on a straight road, 0 on a closed loop. */
export function meanHeading(course: Course): number {
  if (!course.tangentEast || !course.tangentNorth) return 0;
  let east = 0;
  let north = 0;
  const n = course.tangentEast.length;
  for (let i = 0; i < n; i++) {
    east += course.tangentEast[i] / n;
    north += course.tangentNorth[i] / n;
  }
  return Math.hypot(east, north);
}

/** Knots at both ends of every run and evenly between: the wind is not followed through the pauses. */
function layKnots(spans: { fromS: number; toS: number }[]): number[] {
  const knots: number[] = [];
  const sorted = [...spans].sort((a, b) => a.fromS - b.fromS);
  const ridden = sorted.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  const spacing = Math.max(knotSpacingS, ridden / mostKnots);
  for (const { fromS, toS } of sorted) {
    const pieces = Math.max(1, Math.round((toS - fromS) / spacing));
    for (let k = 0; k <= pieces; k++) {
      const t = fromS + (k / pieces) * (toS - fromS);
      if (knots.length === 0 || t > knots[knots.length - 1] + 1) knots.push(t);
    }
  }
  return knots;
}

function layMeanKnots(knots: number[]): number[] {
  const first = knots[0];
  const last = knots[knots.length - 1];
  const pieces = Math.min(mostMeanKnots, Math.max(1, Math.round((last - first) / meanSpacingS)));
  return Array.from({ length: pieces + 1 }, (_, j) => first + (j / pieces) * (last - first));
}

/** Position of each of many times between knots: the knot before, and the share of the way on. */
export interface Between {
  at: Int32Array;
  share: Float64Array;
}

/** Finds times between knots. Times may be in any order but are quickest when they run forward. */
export function between(knots: ArrayLike<number>, times: ArrayLike<number>): Between {
  const at = new Int32Array(times.length);
  const share = new Float64Array(times.length);
  const last = knots.length - 2;
  for (let i = 0, k = 0; i < times.length && last >= 0; i++) {
    const t = times[i];
    while (k > 0 && knots[k] > t) k--;
    while (k < last && knots[k + 1] <= t) k++;
    at[i] = k;
    share[i] = Math.min(1, Math.max(0, (t - knots[k]) / (knots[k + 1] - knots[k])));
  }
  return { at, share };
}

/** Where each step lies among the wind's knots and among those of its slow mean. */
export interface StepKnots {
  wind: Between;
  mean: Between;
}

export function stepKnots(layout: Layout, steps: Steps): StepKnots {
  return {
    wind: between(layout.knotsS, steps.dayTimeS),
    mean: between(layout.meanKnotsS, steps.dayTimeS),
  };
}
