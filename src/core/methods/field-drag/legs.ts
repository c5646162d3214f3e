import type { RunSeries } from './series.ts';
import { firstAt } from './tables.ts';

export type CourseKind = 'loop' | 'out-and-back';

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

/** Road coordinate of a path length on a leg. */
export const roadPosition = (leg: Leg, pathM: number): number =>
  leg.offsetM + leg.sense * leg.scale * pathM;

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
