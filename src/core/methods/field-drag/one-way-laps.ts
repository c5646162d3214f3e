import type { DaySeries, RunSeries } from './series.ts';
import {
  commonLength,
  count,
  pathAtMarks,
  stretchesOf,
  wholeLaps,
  type FoundLaps,
  type LapStretch,
} from './stretches.ts';
import { interpolate } from './tables.ts';

/** A lap whose ends lie further apart than this share of its length does not close. */
const closingShare = 0.05;

/** Distance between the ends of a stretch, m; NaN without positions. */
function gapBetweenEnds(run: RunSeries, lap: LapStretch): number {
  if (!run.eastM || !run.northM) return NaN;
  const east = (path: number) => interpolate(run.pathM, run.eastM!, path);
  const north = (path: number) => interpolate(run.pathM, run.northM!, path);
  return Math.hypot(
    east(lap.toPathM) - east(lap.fromPathM),
    north(lap.toPathM) - north(lap.fromPathM),
  );
}

/** True when the stretch ends where it began, as far as positions tell. */
export const closes = (run: RunSeries, lap: LapStretch): boolean =>
  !(gapBetweenEnds(run, lap) > closingShare * (lap.toPathM - lap.fromPathM));

/**
 * Laps of a road ridden in one direction only (and driven back): marked stretches, or whole runs, of
 * one length whose ends lie apart. Null when no two are alike, or no positions tell.
 */
export function findOneWayLaps(series: DaySeries, statedM: number | null): FoundLaps | null {
  const { runs, origin } = series;
  if (!origin) return null;
  const stretches = runs.map((run) => stretchesOf(pathAtMarks(run)));
  const length = commonLength(
    stretches.flat().map((lap) => lap.toPathM - lap.fromPathM),
    statedM,
  );
  if (length === null) return null;
  const laps = wholeLaps(stretches, length).map((runLaps, r) =>
    runLaps.filter((lap) => !closes(runs[r], lap)),
  );
  if (count(laps) < 2) return null;
  const first = laps.findIndex((runLaps) => runLaps.length > 0);
  const start = laps[first][0].fromPathM;
  return {
    laps,
    lapLengthM: length,
    oneWay: true,
    gate: {
      eastM: interpolate(runs[first].pathM, runs[first].eastM!, start),
      northM: interpolate(runs[first].pathM, runs[first].northM!, start),
    },
    warnings: [],
  };
}
