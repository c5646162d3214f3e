/**
 * The public face of the use cases. What a single command does not need (the library, the worker,
 * the generator of the demo day) is loaded when it is asked for.
 */
export type * from './contract.ts';
export { daysOfSetup } from './days-of-setup.ts';
export type { DayEvent, Days } from './days-contract.ts';
export type { Bench, NewBench } from './bench-contract.ts';
export type { SoundEvent, Sounds } from './sounds-contract.ts';
export type { LibraryDays } from './library-days.ts';
export type { KeptDay } from './keep-sheet.ts';
export { describeProblem, LapbenchError } from '../core/units/index.ts';

export { reduceDaySheet } from './reduce.ts';
export { filesBeside, maximumFileBytes, type ReadFile } from './edges.ts';
export { checkSheet, daySheetSchema, readSheetFile } from './sheet.ts';
export { describeFinding, findingAsJson, headline, rankSetups } from './describe-finding.ts';
export { textTable } from './text-table.ts';
export { readBenchFile, type NamedText } from './bench-text.ts';
export { wheelSheetSchema } from './read-wheel.ts';
export { reduceWheel, type WheelQuestions } from './reduce-wheel.ts';
export { describeWheel, wheelHeadline } from './describe-wheel.ts';
export { reduceStiffness, type StiffnessRange } from './reduce-stiffness.ts';
export { describeStiffness, stiffnessHeadline } from './describe-stiffness.ts';
export {
  reduceTension,
  type KnownSpoke,
  type TensionQuestions,
  type TensionUnit,
} from './reduce-tension.ts';
export { describeTension, tensionHeadline } from './describe-tension.ts';
export { describeNoise, noiseHeadline } from './describe-noise.ts';
export type { NamedFile, NoiseFiles } from './noise-files.ts';
export { descentSheetSchema, reduceDescent } from './reduce-descent.ts';
export { describeDescent, descentHeadline } from './describe-descent.ts';

export { reduceTyres, tyresSheetSchema } from './reduce-tyres.ts';
export { describeTyres, tyresHeadline } from './describe-tyres.ts';
export {
  gearsSheetSchema,
  reduceGears,
  reduceTypedGears,
  type TypedGears,
} from './reduce-gears.ts';
export { describeGears, gearsHeadline } from './describe-gears.ts';
export { readCourse, type ReadCourse } from './read-course.ts';
export { courseReport, describeCourse, type CourseReport } from './describe-course.ts';
export { raceSheetSchema, reduceRace } from './reduce-race.ts';
export { describeRace, raceHeadline } from './describe-race.ts';

import type { BrakeNoiseFinding } from './contract.ts';
import type { LibraryDays } from './library-days.ts';
import type { NoiseFiles } from './noise-files.ts';

/**
 * Days in a library file, made when it is not there. `thread`: reduce beside this thread, as a
 * server must; otherwise in it, as one command does.
 */
export async function openLibraryDays(
  location: string,
  options: { thread?: boolean } = {},
): Promise<LibraryDays> {
  return (await import('./library-days.ts')).openLibraryDays(location, options);
}

/** The noise of a brake from files on disk, see `noise-files.ts`. */
export async function noiseOfFiles(
  files: NoiseFiles,
  onProgress?: (progress: { stage: string; fraction: number }) => void,
): Promise<BrakeNoiseFinding> {
  return (await import('./noise-files.ts')).noiseOfFiles(files, onProgress);
}

/** The invented demo day: its sheet and its recordings as files. */
export async function demoDay(): Promise<{
  sheet: string;
  files: { file: string; bytes: Uint8Array }[];
}> {
  return (await import('./demo.ts')).demoDay();
}

/** Readings and wheel sheets of the demo day's invented wheels, as files. */
export async function demoBenchFiles(): Promise<{ file: string; text: string }[]> {
  return (await import('./demo-bench.ts')).demoBenchFiles();
}

/** The invented howl of the demo, as files: sounds, wheel sheet and ride. */
export async function demoNoiseFiles(): Promise<{ file: string; bytes: Uint8Array }[]> {
  return (await import('./demo-noise.ts')).demoNoise().files;
}

/** Makes a folder and those above it; throws the system's error where it cannot be. */
export async function makeFolder(folder: string): Promise<void> {
  (await import('../library/index.ts')).makeFolder(folder);
}
