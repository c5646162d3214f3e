/**
 * What the use cases need from wherever days are stored. The library is one such place
 * (`library-store.ts`); each call is one transaction: done whole, or not at all. The store dates
 * every change, and no two changes of a day alike.
 */
import type { DayState, FieldDragFinding } from './contract.ts';
import type { FileRef } from './workbench.ts';

/** What can be told of a sheet without judging it, kept beside it for listings. */
export interface SheetFacts {
  title: string;
  date: string;
  invented: boolean;
  setups: number;
  runs: number;
}

export interface SheetToStore {
  text: string;
  facts: SheetFacts;
}

export interface StoredDay extends SheetFacts {
  id: string;
  state: DayState;
  removed: boolean;
  changedAt: string;
  sheet: string;
  files: (FileRef & { bytes: number })[];
  headline: string;
}

export interface KeptFinding {
  finding: FieldDragFinding;
  /** What it was made from: see `findingKey`. */
  key: string;
}

/** A finding about to be kept, with the sentence that listings show. */
export interface FindingToKeep extends KeptFinding {
  headline: string;
  /** The sheet it was made from. */
  sheet: string;
}

/** A day as it comes in: a sheet, and for a kept one also its recordings and its finding. */
export interface NewDay {
  sheet: SheetToStore;
  files?: { file: string; bytes: Uint8Array }[];
  kept?: FindingToKeep;
  /** Shown in listings while there is no finding. */
  headline?: string;
}

export interface DayStore {
  /** Newest change first. */
  list(removed: boolean): StoredDay[];
  /** Null when there is no day of this id. Removed days are found. */
  day(id: string): StoredDay | null;
  /** Stores a new day whole. Answers its id. */
  create(day: NewDay): string;
  /** Stores the sheet and makes the day a draft. */
  saveSheet(id: string, sheet: SheetToStore): void;
  /** Stores a recording and the sheet that goes with it; makes the day a draft. */
  addFile(id: string, file: string, bytes: Uint8Array, sheet: SheetToStore): void;
  removeFile(id: string, file: string, sheet: SheetToStore): void;
  bytes(sha256: string): Uint8Array;
  /** The finding last kept, or null. */
  kept(id: string): KeptFinding | null;
  /** Keeps a finding beside those kept before; the day is then kept. */
  keep(id: string, kept: FindingToKeep): void;
  remove(id: string): void;
  restore(id: string): void;
  close(): void;
}
