/** A descent sheet in, the heat of both brakes out. Nothing is stored. */
import { estimateDescent } from '../core/methods/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { descentJsonSchema, readDescentSheet } from '../sheets/index.ts';
import type { NamedText } from './bench-text.ts';
import type { DescentFinding } from './contract.ts';
import { descentWay } from './descent-way.ts';
import { sha256, type ReadFile } from './edges.ts';
import { placedInSheet } from './read-wheel.ts';

/** The JSON Schema that a descent sheet is checked against. */
export const descentSheetSchema = descentJsonSchema;

/**
 * Throws `LapbenchError` when the sheet or a recording is wrong.
 *
 * @param readFile Gives the recordings that the sheet names, from beside it
 */
export function reduceDescent(sheet: NamedText, readFile: ReadFile): DescentFinding {
  const { descent, placeOf } = readDescentSheet(sheet.text, sheet.file);
  const way = descentWay(descent, readFile);
  const placed = (problem: Parameters<typeof placedInSheet>[0]) =>
    placedInSheet(problem, sheet.file, placeOf);
  try {
    const finding = estimateDescent({
      sheet: descent,
      ...way,
      inputs: [{ file: sheet.file, sha256: sha256(sheet.text) }, ...way.inputs],
    });
    return { ...finding, warnings: finding.warnings.map(placed) };
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    throw new LapbenchError(error.problems.map(placed));
  }
}
