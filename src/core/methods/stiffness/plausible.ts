/**
 * What is wrong with a whole file of readings: units, columns, signs. Bounds are common practice, no
 * source: wider than any wheel on any bench, narrow enough that a slip of unit falls outside.
 */
import type { DeflectionReading } from '../../evidence/index.ts';
import { median } from '../../statistics/index.ts';
import {
  LapbenchError,
  standardGravityMps2,
  type Problem,
  type ProblemCode,
} from '../../units/index.ts';
import type { Range } from './series.ts';

/** Newtons or kilograms; null when nobody said. */
export type LoadUnit = 'N' | 'kg';

/** Readings as they can be used: newtons, growing with the load. */
export interface Usable {
  readings: DeflectionReading[];
  /** Typical deflection per load over pairs of neighbouring readings, mm/N. */
  complianceMmPerN: number;
}

/**
 * Brings readings to newtons and to one sign.
 *
 * @throws LapbenchError `reading-unit`, `columns-swapped`, `load-both-ways`, `load-without-deflection`,
 * `readings-too-few`
 */
export function usableReadings(
  given: readonly DeflectionReading[],
  range: Range,
  unit: LoadUnit | null,
): Usable {
  if (given.length === 0) refuse('readings-too-few', 'There are no readings.', tooFewRemedy);
  let readings = unit === 'kg' ? given.map(inNewtons) : [...given];
  refuseSwapped(readings);
  refuseSwappedPlaces(readings);
  const loads = readings.map(({ loadN }) => loadN);
  const [low, high] = [Math.min(...loads), Math.max(...loads)];
  if (low < -0.05 * range.loadN && high > 0.05 * range.loadN) {
    refuse(
      'load-both-ways',
      `The loads run from ${low} to ${high} N: the rim was loaded to both sides.`,
      'Put each side into a file of its own: through the play between them there is no one line.',
    );
  }
  // A pull to the other side, written with a minus sign throughout, is the same bench.
  if (high <= 0 && low < 0) readings = readings.map((one) => ({ ...one, loadN: -one.loadN }));
  refuseStandingDial(readings);
  if (unit === 'kg') refuseLoadInKilograms(readings, range);
  else refuseKilograms(readings, range, unit);

  const compliance = typicalCompliance(readings);
  if (compliance === 0 || !Number.isFinite(compliance)) {
    refuse(
      'load-without-deflection',
      'Between most readings the load changes and the dial stands still.',
      'See that the dial touches the rim and is not at the end of its travel, and take the readings again.',
    );
  }
  if (compliance < 0) {
    readings = readings.map((one) => ({ ...one, deflectionMm: -one.deflectionMm }));
  }
  refuseDialUnit(Math.abs(compliance));
  return { readings, complianceMmPerN: Math.abs(compliance) };
}

const tooFewRemedy =
  'Read the dial at no load, at the preload and at several loads up to preload + load, then on the way down; mount the wheel afresh at least three times.';

function inNewtons(reading: DeflectionReading): DeflectionReading {
  return { ...reading, loadN: reading.loadN * standardGravityMps2 };
}

function refuseSwapped(readings: readonly DeflectionReading[]): void {
  const load = largestSize(readings.map(({ loadN }) => loadN));
  const deflection = largestSize(readings.map(({ deflectionMm }) => deflectionMm));
  // No dial has 15 mm of travel to spare, and no wheel gives that under a few newtons.
  if (deflection.size > 12 && load.size < deflection.size / 3 && load.size < 20) {
    refuse(
      'columns-swapped',
      `The deflections run up to ${deflection.size} mm under loads of up to ${load.size} N: the columns load_n and deflection_mm look swapped.`,
      'Exchange the two names in the header.',
      readings[deflection.index].line,
    );
  }
}

/** Mountings numbered 0, 90, 180 at places of 1°, 2°, 3° are places and mountings; averaged so, they would pass. */
function refuseSwappedPlaces(readings: readonly DeflectionReading[]): void {
  const remounts = [...new Set(readings.map(({ remount }) => Number(remount)))];
  const places = [...new Set(readings.map(({ positionDeg }) => positionDeg ?? NaN))];
  const count = (value: number): boolean => Number.isInteger(value) && value >= 1 && value <= 20;
  const angle = (value: number): boolean => value >= 0 && value <= 360 && value % 5 === 0;
  if (remounts.length < 2 || places.length < 2 || Math.max(...remounts) < 30) return;
  if (!remounts.every(angle) || !places.every(count)) return;
  refuse(
    'columns-swapped',
    `The remounts are ${remounts.slice(0, 4).join(', ')} and the positions ${places.slice(0, 4).join(', ')}°: the columns remount and position_deg look swapped.`,
    'Exchange the two names in the header.',
    readings[0].line,
  );
}

function refuseKilograms(
  readings: readonly DeflectionReading[],
  range: Range,
  unit: LoadUnit | null,
): void {
  if (unit === 'N') return;
  const top = largestSize(readings.map(({ loadN }) => loadN));
  const end = range.preloadN + range.loadN;
  const share = (top.size * standardGravityMps2) / end;
  if (top.size < end / 3 && share > 0.6 && share < 1.7) {
    refuse(
      'reading-unit',
      `The loads of the file end at ${top.size} where ${end} N is asked for: ${top.size} kg would be ${newtons(top.size)} N, so they look like kilograms.`,
      'Are they kilograms? Then add --load-unit kg (or write newtons, kilograms × 9.80665). If they are newtons, confirm with --load-unit N.',
      readings[top.index].line,
      'load_n',
    );
  }
  if (range.loadN <= 60 && top.size > 3 * end) {
    refuse(
      'reading-unit',
      `The load asked for is ${range.loadN} N, but the readings go up to ${top.size} N: ${range.loadN} kg would be ${newtons(range.loadN)} N, so it looks like kilograms.`,
      `Is it kilograms? Then give the load in newtons: --load ${newtons(range.loadN)}. If it is newtons, confirm with --load-unit N.`,
      null,
      'load',
    );
  }
  const stiffness = 1 / Math.abs(typicalCompliance(readings));
  if (top.size <= 60 && range.loadN <= 60 && stiffness < 20) {
    refuse(
      'reading-unit',
      `Loads of up to ${top.size} N and a stiffness near ${stiffness.toPrecision(2)} N/mm: no wheel is that soft, so the loads look like kilograms (${top.size} kg would be ${newtons(top.size)} N).`,
      'Are they kilograms? Then add --load-unit kg, and give --preload and --load in newtons. If they are newtons, confirm with --load-unit N.',
      readings[top.index].line,
      'load_n',
    );
  }
}

/** `--load-unit kg` speaks of the readings alone; whoever means the load by it has newtons in them. */
function refuseLoadInKilograms(readings: readonly DeflectionReading[], range: Range): void {
  const top = largestSize(readings.map(({ loadN }) => loadN)).size;
  const asked = range.loadN * standardGravityMps2;
  const written = top / standardGravityMps2;
  if (range.loadN > 60 || written < 0.6 * asked || top < 5 * (range.preloadN + range.loadN)) return;
  refuse(
    'reading-unit',
    `The load asked for is ${range.loadN} N, but loads of up to ${round(written)} kg are ${newtons(written)} N: it looks as if the readings are in newtons and the load is in kilograms.`,
    `--load-unit says what load_n of the readings holds; preload and load are always newtons: --load ${newtons(range.loadN)}. Leave --load-unit out where load_n is in newtons.`,
    null,
    'load',
  );
}

function refuseStandingDial(readings: readonly DeflectionReading[]): void {
  const values = readings.map(({ deflectionMm }) => deflectionMm);
  const loads = readings.map(({ loadN }) => loadN);
  const span = Math.max(...values) - Math.min(...values);
  const loadSpan = Math.max(...loads) - Math.min(...loads);
  if (loadSpan <= 0) {
    refuse(
      'readings-too-few',
      `All readings are at one load, ${loads[0]} N.`,
      tooFewRemedy,
      readings[0].line,
    );
  }
  // Stiffer than a thousand times the stiffest wheel.
  if (span === 0 || loadSpan / span > 1e8) {
    refuse(
      'load-without-deflection',
      `The load changes by ${round(loadSpan)} N and the dial stays at ${values[0]} mm.`,
      'See that the dial touches the rim and is not at the end of its travel, and take the readings again.',
      readings[0].line,
    );
  }
}

function refuseDialUnit(complianceMmPerN: number): void {
  const stiffness = 1 / complianceMmPerN;
  if (stiffness >= 2 && stiffness <= 4000) return;
  const units: [string, number][] = [
    ['hundredths of a millimetre', 100],
    ['micrometres', 1000],
    ['metres', 0.001],
    ['inches', 1 / 25.4],
  ];
  const meant = units.find(([, factor]) => {
    const inUnit = stiffness * factor;
    return inUnit >= 15 && inUnit <= 400;
  });
  refuse(
    'reading-unit',
    `The readings give about ${stiffness.toPrecision(2)} N/mm, which no wheel has${meant ? `; the deflections look like ${meant[0]}` : ''}.`,
    'Write the deflection in millimetres and the load in newtons.',
  );
}

/** Median of Δdeflection/Δload over neighbouring readings of one branch, mm/N. */
export function typicalCompliance(readings: readonly DeflectionReading[]): number {
  const slopes: number[] = [];
  const last = new Map<string, DeflectionReading>();
  for (const reading of readings) {
    const branch = JSON.stringify([reading.remount, reading.positionDeg, reading.direction]);
    const before = last.get(branch);
    last.set(branch, reading);
    if (before && before.loadN !== reading.loadN)
      slopes.push((reading.deflectionMm - before.deflectionMm) / (reading.loadN - before.loadN));
  }
  return slopes.length === 0 ? NaN : median(slopes);
}

function largestSize(values: readonly number[]): { size: number; index: number } {
  let index = 0;
  for (let i = 1; i < values.length; i++)
    if (Math.abs(values[i]) > Math.abs(values[index])) index = i;
  return { size: Math.abs(values[index]), index };
}

const round = (value: number): number => Number(value.toPrecision(4));
const newtons = (kilograms: number): string => (kilograms * standardGravityMps2).toFixed(1);

/** `field` says what is in doubt, `load_n` of the readings or the `load` asked for, so that a form can ask. */
function refuse(
  code: ProblemCode,
  message: string,
  remedy: string,
  line: number | null = null,
  field?: string,
): never {
  const problem: Problem = { code, message, remedy };
  if (line !== null || field !== undefined)
    problem.place = {
      ...(line === null ? {} : { line }),
      ...(field === undefined ? {} : { field }),
    };
  throw new LapbenchError(problem);
}
