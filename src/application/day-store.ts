/**
 * What the use cases need from wherever days are stored. The library is one such place
 * (`library-store.ts`); each call is one transaction: done whole, or not at all.
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

export interface DayStore {
  list(removed: boolean): StoredDay[];
  /** Null when there is no day of this id. Removed days are found. */
  day(id: string): StoredDay | null;
  /** Stores a new day whole. Answers its id. */
  create(day: NewDay, now: string): string;
  /** Stores the sheet and makes the day a draft. */
  saveSheet(id: string, sheet: SheetToStore, now: string): void;
  /** Stores a recording and the sheet that goes with it. */
  addFile(id: string, file: FileRef, bytes: Uint8Array, sheet: SheetToStore, now: string): void;
  removeFile(id: string, file: string, sheet: SheetToStore, now: string): void;
  bytes(sha256: string): Uint8Array;
  /** The finding last kept, or null. */
  kept(id: string): KeptFinding | null;
  keep(id: string, kept: KeptFinding, headline: string, now: string): void;
  remove(id: string, now: string): void;
  restore(id: string, now: string): void;
  close(): void;
}

/** A day as it comes in: a sheet, and for a kept one also its recordings and its finding. */
export interface NewDay {
  sheet: SheetToStore;
  files?: (FileRef & { bytes: Uint8Array })[];
  kept?: KeptFinding & { headline: string };
}

export interface SheetToStore {
  text: string;
  facts: SheetFacts;
}
