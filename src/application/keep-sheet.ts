/** Keeping a day that lies in a folder: sheet, recordings and finding go in whole, or not at all. */
import { LapbenchError } from '../core/units/index.ts';
import { readDaySheet } from '../sheets/index.ts';
import type { DayEdit, FieldDragFinding } from './contract.ts';
import type { DayStore } from './day-store.ts';
import { headline } from './describe-finding.ts';
import { sha256, type ReadFile } from './edges.ts';
import { freeName, plainFileName } from './file-name.ts';
import { findingKey } from './reductions.ts';
import { editSheet, sheetFacts } from './sheet.ts';
import type { Workbench } from './workbench.ts';

export interface KeptDay {
  id: string;
  finding: FieldDragFinding;
  recordings: number;
  /** The same sheet with the same recordings was in the library already. */
  again: boolean;
}

/**
 * Reduces a sheet with the recordings beside it and stores all of it. A recording that is not there
 * or cannot be read is left out as in `reduceDaySheet`; one that is there is stored, readable or not.
 * Recordings in folders are stored under their plain names, and the stored sheet says so.
 */
export async function keepDaySheet(
  edges: { store: DayStore; workbench: Workbench },
  text: string,
  sheetFile: string,
  readFile: ReadFile,
): Promise<KeptDay> {
  const { store, workbench } = edges;
  const { day } = readDaySheet(text, sheetFile);
  const found = readThere([...new Set(day.runs.map((run) => run.file))], readFile);
  const { sheet, files } = withPlainNames(
    text,
    sheetFile,
    day.runs.map((run) => run.file),
    found,
  );
  const bytesOf = new Map(files.map((one) => [one.sha256, one.bytes]));
  const refs = files.map(({ file, sha256: hash }) => ({ file, sha256: hash }));
  const finding = await workbench.reduce(sheet, refs, (hash) => bytesOf.get(hash)!);
  const key = findingKey({ sheet, files: refs });
  const kept = { finding, key, headline: headline(finding), sheet };

  const same = store
    .list(false)
    .find(
      (one) =>
        one.sheet === sheet && findingKey({ sheet: one.sheet, files: one.files }) === kept.key,
    );
  const toStore = { sheet: { text: sheet, facts: sheetFacts(sheet) }, files, kept };
  const id = same?.id ?? store.create(toStore);
  if (same) store.keep(id, kept);
  return { id, finding, recordings: files.length, again: same !== undefined };
}

interface FoundFile {
  file: string;
  sha256: string;
  bytes: Uint8Array;
}

function readThere(names: string[], readFile: ReadFile): Map<string, Uint8Array> {
  const found = new Map<string, Uint8Array>();
  const refusals: LapbenchError[] = [];
  for (const name of names) {
    try {
      found.set(name, readFile(name));
    } catch (error) {
      if (!(error instanceof LapbenchError)) throw error;
      refusals.push(error);
    }
  }
  if (found.size === 0) throw new LapbenchError(refusals.flatMap((error) => error.problems));
  return found;
}

function withPlainNames(
  text: string,
  sheetFile: string,
  runFiles: string[],
  found: Map<string, Uint8Array>,
): { sheet: string; files: FoundFile[] } {
  const plain = new Map<string, string>();
  const taken = new Set<string>();
  for (const name of new Set(runFiles)) {
    const free = freeName(plainFileName(name), taken);
    taken.add(free);
    plain.set(name, free);
  }
  const edits = runFiles.flatMap((name, index): DayEdit[] =>
    plain.get(name) === name
      ? []
      : [{ op: 'set', path: `runs.${index}.file`, value: plain.get(name) }],
  );
  return {
    sheet: edits.length > 0 ? editSheet(text, sheetFile, edits) : text,
    files: [...found].map(([name, bytes]) => ({
      file: plain.get(name)!,
      sha256: sha256(bytes),
      bytes,
    })),
  };
}
