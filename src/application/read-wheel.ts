/** Wheel sheets, with their rim sections worked out. */
import { sectionFromOutline } from '../core/structure/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { readWheelSheet, wheelJsonSchema, type ReadWheel } from '../sheets/index.ts';
import type { NamedText } from './bench-text.ts';

/** The JSON Schema that a wheel sheet is checked against. */
export const wheelSheetSchema = wheelJsonSchema;

/** Reads and checks a wheel sheet; throws `LapbenchError` with every problem and its line. */
export function readWheel({ text, file }: NamedText): ReadWheel {
  return readWheelSheet(text, file, sectionFromOutline);
}

/** Puts file and line to a problem that names a field of the sheet. */
export function placedInSheet(
  problem: Problem,
  file: string,
  placeOf: (field: string) => Place,
): Problem {
  const field = problem.place?.field;
  if (problem.file !== undefined || field === undefined) return problem;
  return { ...problem, file, place: problem.place?.line ? problem.place : placeOf(field) };
}
