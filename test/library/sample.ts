import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { TestContext } from 'node:test';
import { openLibrary } from '../../src/library/index.ts';
import type { Library, NewBenchItem, NewFinding, SheetRecord } from '../../src/library/index.ts';

/** A folder of its own for one test, gone afterwards. */
export function folderOf(t: TestContext): string {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-library-'));
  t.after(() => fs.rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A clock that moves one second at each look, and ids that count. */
export function edges(): { now: () => string; newId: () => string } {
  let seconds = 0;
  let days = 0;
  return {
    now: () => new Date(Date.UTC(2026, 4, 17, 12, 0, seconds++)).toISOString(),
    newId: () => `day-${++days}`,
  };
}

export function openIn(t: TestContext, folder: string): Library {
  const library = openLibrary(path.join(folder, 'test.lapbench'), edges());
  t.after(() => library.close());
  return library;
}

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

export function sheetOf(title: string): SheetRecord {
  return {
    text: `title: ${title}\n`,
    facts: { title, date: '2026-05-17', invented: true, setups: 2, runs: 1 },
  };
}

export function findingOf(
  sheet: string,
  inputs: { file: string; sha256: string }[],
  value = 0.23,
): NewFinding {
  return {
    method: 'field-drag 1',
    sheet,
    inputs,
    result: { setups: [{ id: 'deep', cdaM2: value }] },
    key: `key ${value}`,
    headline: `CdA ${value} m²`,
  };
}

export const benchItem: NewBenchItem = {
  kind: 'stiffness',
  title: 'Deep front on the bench',
  date: '2026-05-17',
  setup: 'deep',
  input: 'remount,position_deg,direction,load_n,deflection_mm\n1,0,load,30,0.42\n',
  options: { preloadN: 30, loadN: 196.1 },
  result: null,
  method: '',
  headline: 'Too few readings yet',
};
