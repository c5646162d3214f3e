/** A wheel sheet in, its numbers out; compared with another and fitted to the bench where asked. */
import { estimateWheel } from '../core/methods/index.ts';
import { LapbenchError, type Interval } from '../core/units/index.ts';
import { inFile, type NamedText } from './bench-text.ts';
import type { WheelFinding, WheelLoadCase } from './contract.ts';
import { sha256 } from './edges.ts';
import { placedInSheet, readWheel } from './read-wheel.ts';

export interface WheelQuestions {
  /** Sheet of another wheel to compare with. */
  compare?: NamedText | null;
  /** Lateral stiffness from the bench, slop taken off, N/mm. */
  benchLateralNPerMm?: number | null;
  /** The bench's 95 % interval of it. */
  benchLateralCi95?: Interval | null;
  /** A load to put on the wheel. */
  load?: WheelLoadCase | null;
  /** Whether to give what one turn of each nipple does. */
  influence?: boolean;
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
        benchLateralCi95: questions.benchLateralCi95 ?? null,
        load: questions.load ?? null,
        influence: questions.influence ?? false,
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
