/** Day sheets as the use cases need them: judged, looked into, and edited as text. */
import type { ColumnMap, Day } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import {
  daySheetData,
  dayJsonSchema,
  draftDaySheet,
  editDaySheet,
  readDaySheet,
} from '../sheets/index.ts';
import type { DayEdit } from './contract.ts';
import type { SheetFacts } from './day-store.ts';
import { readFileBounded } from './edges.ts';

/** Sheets in the library have no path of their own; messages call them by this name. */
export const storedSheetName = 'day.yaml';

/** The sheet as plain data, whatever is wrong with its values; null when it cannot be read. */
export const sheetData = remembering(daySheetData);

/** The JSON Schema that a day sheet is checked against. */
export const daySheetSchema = dayJsonSchema;

/** What is wrong with a stored sheet; nothing when it is sound. */
export function checkSheet(text: string): Problem[] {
  const { problems } = judged(text);
  return problems;
}

/** How the sheet's CSV files name their columns; null where it does not say, or not soundly. */
export function columnMapOf(text: string): ColumnMap | null {
  const { day } = judged(text);
  return day ? day.csvColumns : columnMapOfDraft(text);
}

const judged = remembering((text: string): { day: Day | null; problems: Problem[] } => {
  try {
    return { day: readDaySheet(text, storedSheetName).day, problems: [] };
  } catch (error) {
    if (error instanceof LapbenchError) return { day: null, problems: [...error.problems] };
    throw error;
  }
});

/** A draft with other mistakes may still name its columns well: its files should be readable. */
function columnMapOfDraft(text: string): ColumnMap | null {
  const data = sheetData(text) as { csv?: { columns?: unknown } } | null;
  const columns = data?.csv?.columns;
  if (typeof columns !== 'object' || columns === null) return null;
  const wellFormed = Object.values(columns).every(
    (entry: { column?: unknown } | null) => typeof entry?.column === 'string',
  );
  return wellFormed ? (columns as ColumnMap) : null;
}

/** What a listing says of a sheet, as far as it can be read. */
export function sheetFacts(text: string): SheetFacts {
  const data = (sheetData(text) ?? {}) as Record<string, unknown>;
  const words = (value: unknown): string => (typeof value === 'string' ? value : '');
  const count = (value: unknown): number => (Array.isArray(value) ? value.length : 0);
  return {
    title: words(data.title) || 'A day without a title',
    date: words(data.date),
    invented: data.invented === true,
    setups: count(data.setups),
    runs: count(data.runs),
  };
}

/** Reads a sheet file; throws `LapbenchError` when it is missing, too large or not text. */
export function readSheetFile(location: string, name: string): string {
  const bytes = readFileBounded(location, name);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new LapbenchError({
      code: 'sheet-syntax',
      file: name,
      message: 'The day sheet is not UTF-8 text.',
      remedy: 'Name the day sheet itself (.yaml or .json), saved as UTF-8.',
    });
  }
}

/** A draft for a day of which only title and date are known: one setup, no runs yet. */
export function draftSheet(facts: { title?: string; date?: string }, today: string): string {
  return draftDaySheet({
    title: facts.title?.trim() || 'New test day',
    date: facts.date ?? today,
    files: [],
  });
}

/** The sheet's text after the edits, comments kept; throws `LapbenchError` when one does not fit. */
export function editSheet(text: string, file: string, edits: readonly DayEdit[]): string {
  return editDaySheet(text, edits, file);
}

/** One view asks the same of a sheet several times; the last few answers are at hand. */
function remembering<Answer>(ask: (text: string) => Answer): (text: string) => Answer {
  const answers = new Map<string, Answer>();
  return (text) => {
    const known = answers.get(text);
    if (known !== undefined) return known;
    const answer = ask(text);
    answers.set(text, answer);
    if (answers.size > 8) answers.delete(answers.keys().next().value!);
    return answer;
  };
}
