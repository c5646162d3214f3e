/** A wheel sheet in, its numbers out; compared with another and fitted to the bench where asked. */
import { estimateWheel } from '../core/methods/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { inFile, type NamedText } from './bench-text.ts';
import type { WheelFinding } from './contract.ts';
import { sha256 } from './edges.ts';
import { placedInSheet, readWheel } from './read-wheel.ts';

export interface WheelQuestions {
  /** Sheet of another wheel to compare with. */
  compare?: NamedText | null;
  /** Lateral stiffness from the bench, slop taken off, N/mm. */
  benchLateralNPerMm?: number | null;
}

/** Throws `LapbenchError` when a sheet is wrong or a wheel cannot stand. */
export function reduceWheel(sheet: NamedText, questions: WheelQuestions = {}): WheelFinding {
  const { wheel, invented, placeOf } = readWheel(sheet);
  const { compare = null } = questions;
  const other = compare === null ? null : readWheel(compare).wheel;
  try {
    return inFile(sheet.file, () => {
      const finding = estimateWheel({
        wheel,
        invented,
        other,
        benchLateralNPerMm: questions.benchLateralNPerMm ?? null,
        inputs: [sheet, ...(compare ? [compare] : [])].map(({ file, text }) => ({
          file,
          sha256: sha256(text),
        })),
      });
      const warnings = finding.warnings.map((one) => placedInSheet(one, sheet.file, placeOf));
      return { ...finding, warnings };
    });
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    throw new LapbenchError(
      error.problems.map((problem) =>
        problem.file === sheet.file && problem.place?.field !== undefined && !problem.place.line
          ? { ...problem, place: placeOf(problem.place.field) }
          : problem,
      ),
    );
  }
}
