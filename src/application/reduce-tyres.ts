/** A tyres sheet in, ranges of pressure out. Nothing is stored. */
import { estimateTyres } from '../core/methods/index.ts';
import { LapbenchError, type Place, type Problem } from '../core/units/index.ts';
import { readTyresSheet, tyresJsonSchema } from '../sheets/index.ts';
import { inFile, type NamedText } from './bench-text.ts';
import type { TyresFinding } from './contract.ts';
import { sha256 } from './edges.ts';
import { placedInSheet } from './read-wheel.ts';

/** The JSON Schema that a tyres sheet is checked against. */
export const tyresSheetSchema = tyresJsonSchema;

/** Throws `LapbenchError` when the sheet is wrong or a tyre holds more than it may. */
export function reduceTyres(sheet: NamedText): TyresFinding {
  const { setup, placeOf } = readTyresSheet(sheet.text, sheet.file);
  const inputs = [{ file: sheet.file, sha256: sha256(sheet.text) }];
  return placedBy(sheet.file, placeOf, () => estimateTyres({ setup, inputs }));
}

/** Puts file and line to what a method says of a sheet, thrown or returned. */
export function placedBy<Finding extends { warnings: Problem[] }>(
  file: string,
  placeOf: (field: string) => Place,
  make: () => Finding,
): Finding {
  const placed = (problem: Problem): Problem => placedInSheet(problem, file, placeOf);
  return inFile(file, () => {
    try {
      const made = make();
      return { ...made, warnings: made.warnings.map(placed) };
    } catch (error) {
      if (error instanceof LapbenchError) throw new LapbenchError(error.problems.map(placed));
      throw error;
    }
  });
}
