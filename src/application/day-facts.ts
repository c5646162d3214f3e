/** What is read off a stored day and its sheet, and what is said when one is not as asked for. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { NamedSetup } from './bench-setups.ts';
import type { DaySummary, FieldDragFinding } from './contract.ts';
import type { FindingToKeep, SheetToStore, StoredDay } from './day-store.ts';
import { headline } from './describe-finding.ts';
import type { ReductionInput } from './reductions.ts';
import { editSheet, sheetData, sheetFacts, storedSheetName } from './sheet.ts';

/** What the finding of a day depends on: its sheet, and those of its recordings that runs name. */
export function inputOf(day: StoredDay): ReductionInput {
  const named = new Set(runFiles(day.sheet));
  const files = day.files.filter(({ file }) => named.has(file));
  return {
    sheet: day.sheet,
    files: files.map(({ file, sha256: hash }) => ({ file, sha256: hash })),
  };
}

/** Headline of a day without a kept finding. */
export const noFindingYet = 'No finding is kept yet.';

export function toKeep(day: StoredDay, finding: FieldDragFinding, key: string): FindingToKeep {
  return { finding, key, headline: headline(finding), sheet: day.sheet };
}

export function toStore(sheet: string): SheetToStore {
  return { text: sheet, facts: sheetFacts(sheet) };
}

export function summaryOf(day: StoredDay): DaySummary {
  const { id, title, date, state, invented, setups, runs, changedAt } = day;
  const recordings = day.files.length;
  const stale = state === 'draft' && day.headline !== noFindingYet;
  const said = stale ? `Before the last change: ${day.headline}` : day.headline;
  return { id, title, date, state, invented, setups, runs, recordings, changedAt, headline: said };
}

/** The files that the runs of a sheet name, in their order; '' where a run names none. */
export function runFiles(sheet: string): string[] {
  const data = sheetData(sheet) as { runs?: unknown } | null;
  if (!Array.isArray(data?.runs)) return [];
  return data.runs.map((run: { file?: unknown } | null) =>
    typeof run?.file === 'string' ? run.file : '',
  );
}

/** The setups that a sheet lists; one without an id, in a draft, is passed over. */
export function setupsOf(sheet: string): NamedSetup[] {
  const data = sheetData(sheet) as { setups?: unknown } | null;
  if (!Array.isArray(data?.setups)) return [];
  return data.setups.flatMap((setup: { id?: unknown; name?: unknown } | null) => {
    if (typeof setup?.id !== 'string') return [];
    return [{ id: setup.id, name: typeof setup.name === 'string' ? setup.name : setup.id }];
  });
}

/** The sheet with a run for the file; as it is when its text cannot be edited. */
export function withRun(sheet: string, file: string): string {
  try {
    return editSheet(sheet, storedSheetName, [{ op: 'add-run', run: { file } }]);
  } catch (error) {
    if (error instanceof LapbenchError) return sheet;
    throw error;
  }
}

export function unknownDay(id: string): Problem {
  return {
    code: 'day-unknown',
    message: `The library holds no day ${JSON.stringify(id.slice(0, 60))}.`,
    remedy: 'List the days to see what there is.',
  };
}

export function nameTaken(file: string): Problem {
  return {
    code: 'name-taken',
    file,
    message: 'The day already holds another recording of this name.',
    remedy: 'Rename the file, or remove the other recording first.',
  };
}
