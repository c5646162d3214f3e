/** A gears sheet, or chainrings and sprockets as typed, in; a table of gears and climbs out. Nothing is stored. */
import type { GearsSetup } from '../core/evidence/index.ts';
import { estimateGears, steepestStretches } from '../core/methods/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { gearsJsonSchema, readGearsSheet } from '../sheets/index.ts';
import type { NamedText } from './bench-text.ts';
import type { GearsFinding } from './contract.ts';
import { sha256, type ReadFile } from './edges.ts';
import { readCourse } from './read-course.ts';
import { placedBy } from './reduce-tyres.ts';

/** The JSON Schema that a gears sheet is checked against. */
export const gearsSheetSchema = gearsJsonSchema;

/**
 * Throws `LapbenchError` when the sheet or its course is wrong. `readFile` gives the recording that the
 * sheet names.
 */
export function reduceGears(sheet: NamedText, readFile: ReadFile): GearsFinding {
  const { setup, placeOf } = readGearsSheet(sheet.text, sheet.file);
  const own = { file: sheet.file, sha256: sha256(sheet.text) };
  const ridden = climbsOfCourse(setup, readFile);
  return placedBy(sheet.file, placeOf, () => {
    const finding = estimateGears({
      setup: { ...setup, climbs: [...setup.climbs, ...ridden.climbs] },
      inputs: [own, ...ridden.inputs],
    });
    return { ...finding, warnings: [...ridden.warnings, ...finding.warnings] };
  });
}

/** What the options of the command say. */
export interface TypedGears {
  chainrings: number[];
  cassette: number[];
  /** An ETRTO designation, or a circumference in mm. */
  tyre: string;
  cadenceRpm?: number;
}

/** The table without a sheet, checked as a sheet would be; throws `LapbenchError` `usage`. */
export function reduceTypedGears({ tyre, ...rest }: TypedGears): GearsFinding {
  const size = /^[\d.]+$/.test(tyre) ? { circumferenceMm: Number(tyre) } : { designation: tyre };
  const text = JSON.stringify({ ...rest, tyre: size });
  try {
    return estimateGears({ setup: readGearsSheet(text, '').setup, inputs: [] });
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    // There is no sheet whose lines could be named.
    throw new LapbenchError(
      error.problems.map(({ message, remedy }) => ({ code: 'usage', message, remedy })),
    );
  }
}

interface Ridden {
  climbs: GearsSetup['climbs'];
  inputs: GearsFinding['inputs'];
  warnings: Problem[];
}

function climbsOfCourse({ course }: GearsSetup, readFile: ReadFile): Ridden {
  if (course === null) return { climbs: [], inputs: [], warnings: [] };
  // A loop ridden twice has the same steepest part as once.
  const read = readCourse(course.file, readFile, { laps: 'all' });
  return {
    climbs: steepestStretches(read.course, course.steepestM),
    inputs: [read.input],
    warnings: read.course.warnings,
  };
}
