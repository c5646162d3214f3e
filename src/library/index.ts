export { openLibrary } from './open.ts';
export type { LibraryOptions } from './open.ts';
export type { Library } from './library.ts';
export type { Verification } from './maintenance.ts';
export type {
  DayRecord,
  FindingRecord,
  NewDay,
  NewFinding,
  RecordingRef,
  SheetFacts,
  SheetRecord,
} from './records.ts';
