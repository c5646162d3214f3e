import type { DayEvidence } from '../../evidence/index.ts';
import { roadPosition, type CourseKind, type Leg } from './legs.ts';
import { averageHeight } from './road-height.ts';
import { averageTrack, shiftLegs, tangents } from './road-track.ts';
import type { DaySeries } from './series.ts';
import type { FoundLaps } from './stretches.ts';

export interface DayLap {
  run: number;
  /** From 1 within the run. */
  number: number;
  fromPathM: number;
  toPathM: number;
}

/** The road that all laps share, in one coordinate from 0 to `lengthM`. */
export interface Course {
  kind: CourseKind;
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

/** Lays every lap on one road and averages track and height over the laps. */
export function layCourse(evidence: DayEvidence, series: DaySeries, found: FoundLaps): Course {
  // A road ridden one way only is open like an out-and-back, with no way back.
  const kind = found.oneWay ? 'out-and-back' : evidence.day.course.kind;
  const laps: DayLap[] = [];
  const legs: Leg[] = [];
  const lengthM = kind === 'loop' || found.oneWay ? found.lapLengthM : found.lapLengthM / 2;
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
    ? averageHeight(series.runs, legs, laps.length, kind, lengthM, points, !found.oneWay)
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
function gates(legs: Leg[], kind: CourseKind, lengthM: number): number[] {
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
