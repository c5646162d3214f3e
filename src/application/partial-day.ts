/**
 * A day with some of its runs taken out (their files could not be read), and the way back: the
 * method numbers the runs that it is given, a person counts the runs of the sheet.
 */
import type { Day } from '../core/evidence/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import type { FieldDragFinding } from './contract.ts';

/** The day with only the runs at `kept` (positions from 0, increasing). Overrules go along. */
export function onlyRuns(day: Day, kept: number[]): Day {
  const inPart = new Map(kept.map((position, index) => [position, index]));
  return {
    ...day,
    runs: kept.map((position) => day.runs[position]),
    overrules: day.overrules
      .filter((overrule) => inPart.has(overrule.run - 1))
      .map((overrule) => ({ ...overrule, run: inPart.get(overrule.run - 1)! + 1 })),
    placeOf: (field) => day.placeOf(inSheetField(field, kept)),
  };
}

/** The finding of a partial day with its runs numbered as in the sheet. */
export function asInSheet(finding: FieldDragFinding, kept: number[]): FieldDragFinding {
  const inSheet = (run: number): number => kept[run - 1] + 1;
  return {
    ...finding,
    laps: finding.laps.map((lap) => ({ ...lap, run: inSheet(lap.run) })),
    residuals: {
      ...finding.residuals,
      rows: finding.residuals.rows.map((row) => ({ ...row, run: inSheet(row.run) })),
    },
    warnings: finding.warnings.map((warning) => problemAsInSheet(warning, kept)),
  };
}

/** A problem about a partial day, its run numbered as in the sheet. */
export function problemAsInSheet(problem: Problem, kept: number[]): Problem {
  const inSheet = (run: number): number => (kept[run - 1] ?? run - 1) + 1;
  const { place, message, remedy } = problem;
  const moved: Place | undefined =
    place?.run === undefined ? place : { ...place, run: inSheet(place.run) };
  // The method's sentences name runs by number as well.
  const words = (text: string): string =>
    text.replace(
      /\b(runs?) (\d+)\b(?!\.\w)/gi,
      (_, word: string, run: string) => `${word} ${inSheet(Number(run))}`,
    );
  return {
    ...problem,
    ...(moved && { place: moved }),
    message: words(message),
    ...(remedy !== undefined && { remedy: words(remedy) }),
  };
}

function inSheetField(field: string, kept: number[]): string {
  return field.replace(/^runs\.(\d+)/, (whole, position: string) => {
    const inSheet = kept[Number(position)];
    return inSheet === undefined ? whole : `runs.${inSheet}`;
  });
}
