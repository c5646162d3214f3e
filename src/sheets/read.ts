import type { ColumnMap, Day } from '../core/evidence/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import type { Problem } from '../core/units/index.ts';
import { readClock } from './clock.ts';
import { explainIssue } from './explain.ts';
import { inOrder, parseSheet } from './parse.ts';
import type { ParsedSheet } from './parse.ts';
import { checkRules } from './rules.ts';
import { daySheetSchema } from './schema.ts';
import type { FilledDaySheet } from './schema.ts';

/**
 * Reads a day sheet, YAML or JSON, and checks all of it.
 *
 * @param text The sheet.
 * @param file Its name, for messages.
 * @returns The day with its defaults filled in, SI inside, and what a person should know.
 * `day.placeOf('runs.0.setup')` finds the line of a value; list places count from 0.
 * @throws LapbenchError with every problem found, in the order of the lines (at most
 * `sheetLimits.problems`).
 */
export function readDaySheet(text: string, file: string): { day: Day; warnings: Problem[] } {
  const sheet = parseSheet(text, file);
  const checked = daySheetSchema.safeParse(sheet.data);
  const fieldErrors = checked.success
    ? []
    : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file));
  const rules = checkRules(sheet, file);
  const errors = [...fieldErrors, ...rules.errors];
  if (!checked.success || errors.length > 0) throw new LapbenchError(inOrder(errors, file));
  const warnings = [...rules.warnings, ...assumptions(sheet, file)];
  return { day: toDay(checked.data, sheet), warnings };
}

/** The sheet as plain data for forms, whatever is wrong with its values; null when it cannot be read at all. */
export function daySheetData(text: string): unknown {
  try {
    return JSON.parse(JSON.stringify(parseSheet(text, '').data)) as unknown;
  } catch (error) {
    if (error instanceof LapbenchError) return null;
    throw error;
  }
}

/** What was assumed that could turn the answer round, and should not pass in silence. */
function assumptions(sheet: ParsedSheet, file: string): Problem[] {
  const course = (sheet.data as { course?: { kind?: unknown } }).course;
  if (course?.kind !== undefined) return [];
  return [
    {
      code: 'sheet-field',
      file,
      place: sheet.placeOf('course'),
      message: 'The sheet does not say what kind of course it was; a loop is assumed.',
      remedy: 'Add "course: {kind: loop}" or "course: {kind: out-and-back}".',
    },
  ];
}

function toDay(sheet: FilledDaySheet, { placeOf }: ParsedSheet): Day {
  return {
    title: sheet.title,
    date: sheet.date,
    invented: sheet.invented,
    system: sheet.system,
    constants: sheet.constants,
    weather: sheet.weather ?? null,
    course: {
      kind: sheet.course.kind,
      lapLengthM: sheet.course.lapLengthM ?? null,
      gate: sheet.course.gate ?? null,
    },
    setups: sheet.setups.map((setup) => ({
      ...setup,
      name: setup.name ?? setup.id,
      crr: setup.crr ?? null,
    })),
    control: sheet.control ?? sheet.setups[0].id,
    runs: sheet.runs.map((run) => ({
      setup: run.setup,
      file: run.file,
      fromS: run.from === undefined ? null : readClock(run.from),
      toS: run.to === undefined ? null : readClock(run.to),
      remark: run.remark ?? null,
    })),
    overrules: sheet.laps.map((lap) => ({ ...lap, reason: lap.reason ?? null })),
    csvColumns: sheet.csv ? (sheet.csv.columns as ColumnMap) : null,
    reference: sheet.reference,
    placeOf,
  };
}
