/** Rides as a reader sees them: thinned columns, walks, seconds by kind of road. */
import type { RaceAlong, RaceDifference, RaceWalk } from './result.ts';
import { walking, type Tape } from './ride.ts';
import type { Road } from './road.ts';

const mostPlaces = 500;
/** Steeper than this is a climb or a descent, sine of the slope. */
const hill = 0.02;

/** Points of the road that stand in the result: every so many, the last always. */
export function placesOf(road: Road): number[] {
  const each = Math.max(1, Math.ceil(road.steps / (mostPlaces - 1)));
  const places: number[] = [];
  for (let i = 0; i < road.steps; i += each) places.push(i);
  return [...places, road.steps];
}

export function alongOf(
  road: Road,
  riddenW: Float64Array,
  elapsed: readonly { setup: string; elapsedS: Float64Array }[],
  reference: Float64Array,
): RaceAlong {
  const places = placesOf(road);
  const stretch = (i: number): [number, number] => [
    places[Math.max(0, i - 1)],
    places[Math.max(1, i)],
  ];
  const over = (of: (from: number, to: number) => number): number[] =>
    places.map((_, i) => of(...stretch(i)));
  return {
    distanceM: places.map((i) => i * road.stepM),
    altitudeM: places.map((i) => road.altitudeM[i]),
    gradientPercent: over((a, b) => {
      const sine = (road.altitudeM[b] - road.altitudeM[a]) / ((b - a) * road.stepM);
      return (100 * sine) / Math.sqrt(Math.max(1e-9, 1 - sine * sine));
    }),
    speedMps: over((a, b) => ((b - a) * road.stepM) / (reference[b] - reference[a])),
    powerW: over((a, b) => {
      let work = 0;
      for (let i = a; i < b; i++) work += riddenW[i] * (reference[i + 1] - reference[i]);
      return work / (reference[b] - reference[a]);
    }),
    elapsedS: places.map((i) => reference[i]),
    behindS: elapsed.map(({ setup, elapsedS }) => ({
      setup,
      seconds: places.map((i) => elapsedS[i] - reference[i]),
    })),
  };
}

export function byKindOfRoad(
  road: Road,
  elapsedS: Float64Array,
  reference: Float64Array,
): Pick<RaceDifference, 'onClimbsS' | 'onFlatS' | 'onDescentsS'> {
  const out = { onClimbsS: 0, onFlatS: 0, onDescentsS: 0 };
  for (let i = 0; i < road.steps; i++) {
    const seconds = elapsedS[i + 1] - elapsedS[i] - (reference[i + 1] - reference[i]);
    if (road.sine[i] > hill) out.onClimbsS += seconds;
    else if (road.sine[i] < -hill) out.onDescentsS += seconds;
    else out.onFlatS += seconds;
  }
  return out;
}

/** Stretches on foot, joined where less than 20 m is ridden between. */
export function walksOf(road: Road, tape: Tape): RaceWalk[] {
  const walks: RaceWalk[] = [];
  for (let k = 0; k < tape.count; k++) {
    if (tape.mode[k] !== walking) continue;
    const step = tape.step[k];
    const [fromM, toM] = [step * road.stepM, (step + 1) * road.stepM];
    const seconds = (2 * tape.lengthM[k]) / (tape.fromMps[k] + tape.toMps[k]);
    const sine = road.sine[step];
    const steepestPercent = (100 * sine) / Math.sqrt(Math.max(1e-9, 1 - sine * sine));
    const last = walks.at(-1);
    if (last && fromM - last.toM < 20) {
      last.toM = toM;
      last.seconds += seconds;
      last.steepestPercent = Math.max(last.steepestPercent, steepestPercent);
    } else walks.push({ fromM, toM, seconds, steepestPercent });
  }
  return walks;
}
