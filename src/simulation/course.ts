import { degToRad } from '../core/units/index.ts';
import { randomStream } from './random.ts';
import type { FilledConditions } from './conditions.ts';

/** An invented closed course; `s` is metres along the lap from the gate, any real number. */
export interface Course {
  lapLengthM: number;
  /** Height above the gate, m. */
  heightM(s: number): number;
  /** Sine of the road's angle in riding direction, dh/ds. */
  slope(s: number): number;
  /** Compass bearing of travel, rad. */
  headingRad(s: number): number;
  /** East and north of the gate, m. */
  eastNorthM(s: number): [east: number, north: number];
  /** Factor on the wind at this place, 1 without shelter. */
  shelter(s: number): number;
  /** Where turns are ridden slowly: from, to (m along the lap). Empty on a loop. */
  turns: { fromM: number; toM: number }[];
}

const stepM = 0.5;

/** A course for these conditions, drawn by the seed; exactly closed in plan and in height. */
export function courseOf(conditions: FilledConditions): Course {
  const { kind, lapLengthM, reliefM, bearingDeg, turnRadiusM } = conditions.course;
  const random = randomStream(conditions.seed, 'course');
  const start = degToRad(bearingDeg ?? 360 * random.uniform());
  const plan =
    kind === 'loop'
      ? loopPlan(lapLengthM, start, random)
      : thereAndBackPlan(lapLengthM, start, turnRadiusM, random);

  // Hills: a few sine waves of falling height. An out-and-back meets the same place twice, so its
  // height is a function of the place along the road, not of the way ridden.
  const period = plan.roadLengthM;
  const waves = Array.from({ length: 7 }, (_, i) => ({
    k: ((kind === 'loop' ? 2 : 1) * Math.PI * (i + 1)) / period,
    height: random.normal() / (i + 1) ** 1.2,
    phase: kind === 'loop' ? 2 * Math.PI * random.uniform() : Math.PI / 2,
  }));
  const rawHeight = (x: number): number =>
    waves.reduce((sum, w) => sum + w.height * Math.sin(w.k * x + w.phase), 0);
  let low = Infinity;
  let high = -Infinity;
  for (let x = 0; x <= period; x += 5) {
    low = Math.min(low, rawHeight(x));
    high = Math.max(high, rawHeight(x));
  }
  const scale = reliefM / (high - low || 1);
  const gateHeight = rawHeight(plan.place(0));
  const shelterWaves = [1, 2, 3, 5].map((n) => ({
    k: (2 * Math.PI * n) / lapLengthM,
    size: (conditions.wind.shelterSpread / 2) * Math.SQRT2,
    phase: 2 * Math.PI * random.uniform(),
  }));

  // Positions by integrating the heading (midpoint rule), then read off between the half metres.
  const count = Math.round(lapLengthM / stepM);
  const east = new Float64Array(count + 1);
  const north = new Float64Array(count + 1);
  const h = lapLengthM / count;
  for (let i = 0; i < count; i++) {
    const heading = plan.heading((i + 0.5) * h);
    east[i + 1] = east[i] + h * Math.sin(heading);
    north[i + 1] = north[i] + h * Math.cos(heading);
  }
  const wrap = (s: number): number => s - lapLengthM * Math.floor(s / lapLengthM);

  return {
    lapLengthM,
    turns: plan.turns,
    heightM: (s) => scale * (rawHeight(plan.place(wrap(s))) - gateHeight),
    slope: (s) => {
      const w = wrap(s);
      const x = plan.place(w);
      let sum = 0;
      for (const wave of waves) sum += wave.height * wave.k * Math.cos(wave.k * x + wave.phase);
      return scale * sum * plan.placeRate(w);
    },
    headingRad: (s) => plan.heading(wrap(s)),
    eastNorthM: (s) => {
      const at = wrap(s) / h;
      const i = Math.min(count - 1, Math.floor(at));
      const f = at - i;
      return [east[i] + f * (east[i + 1] - east[i]), north[i] + f * (north[i + 1] - north[i])];
    },
    shelter: (s) => {
      if (conditions.wind.shelterSpread === 0) return 1;
      return Math.max(
        0,
        shelterWaves.reduce((sum, w) => sum + w.size * Math.sin(w.k * s + w.phase), 1),
      );
    },
  };
}

interface Plan {
  /** Length of road that has heights of its own, m. */
  roadLengthM: number;
  /** Place along the road for a way along the lap, and its derivative. */
  place(s: number): number;
  placeRate(s: number): number;
  heading(s: number): number;
  turns: { fromM: number; toM: number }[];
}

/**
 * Only even waves on the heading: then the second half is the first turned by 180 degrees, and the
 * loop closes exactly.
 */
function loopPlan(lapLengthM: number, start: number, random: { uniform(): number }): Plan {
  const two = 0.25 + 0.15 * random.uniform();
  const four = 0.08 * random.uniform();
  const p2 = 2 * Math.PI * random.uniform();
  const p4 = 2 * Math.PI * random.uniform();
  const turn = (2 * Math.PI) / lapLengthM;
  return {
    roadLengthM: lapLengthM,
    place: (s) => s,
    placeRate: () => 1,
    heading: (s) =>
      start + turn * s + two * Math.sin(2 * turn * s + p2) + four * Math.sin(4 * turn * s + p4),
    turns: [],
  };
}

/** Out on one side of a gently bending road, a half circle, back on the other side, a half circle. */
function thereAndBackPlan(
  lapLengthM: number,
  start: number,
  radiusM: number,
  random: { uniform(): number },
): Plan {
  const arc = Math.PI * radiusM;
  const lane = (lapLengthM - 2 * arc) / 2;
  const bend = 0.15 * random.uniform();
  const laneHeading = (x: number): number => start + bend * Math.sin((2 * Math.PI * x) / lane);
  // The gate is the middle of the near turn; the road's own coordinate starts at the tip of that turn.
  const outFrom = arc / 2;
  const farFrom = outFrom + lane;
  const backFrom = farFrom + arc;
  const nearFrom = backFrom + lane;
  const angle = (from: number, s: number): number => (s - from) / radiusM;
  const place = (s: number): number => {
    if (s < outFrom) return radiusM - radiusM * Math.cos(s / radiusM);
    if (s < farFrom) return radiusM + (s - outFrom);
    if (s < backFrom) return radiusM + lane + radiusM * Math.sin(angle(farFrom, s));
    if (s < nearFrom) return radiusM + lane - (s - backFrom);
    return radiusM - radiusM * Math.sin(angle(nearFrom, s));
  };
  const placeRate = (s: number): number => {
    if (s < outFrom) return Math.sin(s / radiusM);
    if (s < farFrom) return 1;
    if (s < backFrom) return Math.cos(angle(farFrom, s));
    if (s < nearFrom) return -1;
    return -Math.cos(angle(nearFrom, s));
  };
  // Turning left both times: the bearing falls by 180 degrees in each turn.
  const heading = (s: number): number => {
    if (s < outFrom) return start + (outFrom - s) / radiusM;
    if (s < farFrom) return laneHeading(s - outFrom);
    if (s < backFrom) return start - angle(farFrom, s);
    if (s < nearFrom) return laneHeading(lane - (s - backFrom)) - Math.PI;
    return start - Math.PI - angle(nearFrom, s);
  };
  return {
    roadLengthM: lane + 2 * radiusM,
    place,
    placeRate,
    heading,
    turns: [
      { fromM: 0, toM: outFrom },
      { fromM: farFrom, toM: backFrom },
      { fromM: nearFrom, toM: lapLengthM },
    ],
  };
}
