export { openLibrary } from './open.ts';
export { makeFolder } from './make-folder.ts';
export type { LibraryOptions } from './open.ts';
export type { Library } from './library.ts';
export type { Verification } from './maintenance.ts';
export type { BenchItemChange, BenchItems } from './bench-items.ts';
export type {
  BenchItemRecord,
  DayRecord,
  FindingRecord,
  NewBenchItem,
  NewDay,
  NewFinding,
  RecordingRef,
  SheetFacts,
  SheetRecord,
} from './records.ts';
