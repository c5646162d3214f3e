import type { DayEvidence } from '../../evidence/index.ts';
import type { Problem } from '../../units/index.ts';
import { closes, findOneWayLaps } from './one-way-laps.ts';
import type { DaySeries, RunSeries } from './series.ts';
import {
  commonLength,
  count,
  lengthTolerance,
  notFound,
  pathAtMarks,
  stretchesOf,
  wholeLaps,
  type FoundLaps,
  type LapStretch,
} from './stretches.ts';
import { interpolate } from './tables.ts';

export function findReturnLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
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
  const oneWay = findOneWayLaps(series, course.lapLengthM);
  if (oneWay) return oneWay;
  const byMarks = lapsByMarks(evidence, series);
  if (byMarks) {
    warnings.push({
      code: 'heading-missing',
      message: origin
        ? 'No sharp turn was seen in the track: the turn is taken where the rider was slowest near half way.'
        : 'The recordings have no positions: the turn is taken where the rider was slowest near half way, and the road as straight.',
    });
    return { ...byMarks, gate: null, warnings };
  }
  throw notFound(
    evidence,
    origin
      ? 'no turnarounds were seen in the track, and no lap ends where it began.'
      : 'the recordings have neither lap marks nor positions.',
  );
}

/** Paths at which the rider turned round, from positions: direction before and after is opposite. */
function turnarounds(run: RunSeries): number[] {
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

/** Laps between marks, or runs of one lap each from start to stop; null where there are none. */
function lapsByMarks(
  evidence: DayEvidence,
  { runs }: DaySeries,
): Pick<FoundLaps, 'laps' | 'lapLengthM'> | null {
  const stretches = runs.map((run) => stretchesOf(pathAtMarks(run)));
  const lapLengthM = commonLength(
    stretches.flat().map((lap) => lap.toPathM - lap.fromPathM),
    evidence.day.course.lapLengthM,
  );
  if (lapLengthM === null) return null;
  const laps = wholeLaps(stretches, lapLengthM).map((runLaps, r) =>
    runLaps
      .filter((lap) => closes(runs[r], lap))
      .map((lap) => ({ ...lap, turnPathM: slowestNearHalf(runs[r], lap) })),
  );
  const marked = runs.some((run) => run.lapMarksS.length > 0);
  const enough = marked ? 1 : Math.max(2, runs.length);
  return count(laps) >= enough ? { laps, lapLengthM } : null;
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
