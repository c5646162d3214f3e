/** Readings put in series: one remount at one position, loaded once. */
import type { DeflectionReading } from '../../evidence/index.ts';

export interface Series {
  remount: string;
  positionDeg: number | null;
  cycle: number;
  /** In the order taken. */
  readings: DeflectionReading[];
}

/** What is asked of the readings. */
export interface Range {
  preloadN: number;
  loadN: number;
}

/** Room for weights that are not quite what is written on them. */
export const loadTolerance = 0.02;

export const fromN = ({ preloadN, loadN }: Range): number => preloadN - loadTolerance * loadN;
export const toN = ({ preloadN, loadN }: Range): number => preloadN + (1 + loadTolerance) * loadN;

/** Readings of a series on one branch, within the range asked for. */
export function inRange(
  series: Series,
  direction: DeflectionReading['direction'],
  range: Range,
): DeflectionReading[] {
  return series.readings.filter(
    (one) => one.direction === direction && one.loadN >= fromN(range) && one.loadN <= toN(range),
  );
}

/** Groups readings by remount and position, in the order of first appearance; a new loading is a new cycle. */
export function seriesOf(readings: readonly DeflectionReading[]): Series[] {
  const groups = new Map<string, DeflectionReading[]>();
  for (const reading of readings) {
    const key = JSON.stringify([reading.remount, reading.positionDeg]);
    const group = groups.get(key);
    if (group) group.push(reading);
    else groups.set(key, [reading]);
  }
  return [...groups.values()].flatMap((group) =>
    cyclesOf(group).map((own, index) => ({
      remount: own[0].remount,
      positionDeg: own[0].positionDeg,
      cycle: index + 1,
      readings: own,
    })),
  );
}

function cyclesOf(readings: DeflectionReading[]): DeflectionReading[][] {
  const loads = readings.map(({ loadN }) => loadN);
  const low = Math.min(...loads);
  const span = Math.max(...loads) - low;
  const cycles: DeflectionReading[][] = [[]];
  let highest = -Infinity;
  let wasUnloading = false;
  for (const reading of readings) {
    const nearBottom = reading.loadN <= low + 0.2 * span;
    // Back at the bottom after having been at the top: rows sorted by load do not count as cycles.
    if (reading.direction === 'load' && wasUnloading && nearBottom && highest >= low + 0.8 * span) {
      cycles.push([]);
      highest = -Infinity;
    }
    cycles[cycles.length - 1].push(reading);
    highest = Math.max(highest, reading.loadN);
    wasUnloading = reading.direction === 'unload';
  }
  return cycles;
}
