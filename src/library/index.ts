export { openLibrary } from './open.ts';
export { makeFolder } from './make-folder.ts';
export type { LibraryOptions } from './open.ts';
export type { Library } from './library.ts';
export type { Verification } from './maintenance.ts';
export type { BenchItemChange, BenchItems } from './bench-items.ts';
export type { MadeOfSound, SoundRecordChange, Sounds, SoundStanding } from './sounds.ts';
export type { SoundFileRecord, SoundFiles } from './sound-files.ts';
export type {
  BenchItemRecord,
  DayRecord,
  FindingRecord,
  NewBenchItem,
  NewDay,
  NewFinding,
  NewSoundItem,
  RecordingRef,
  SheetFacts,
  SheetRecord,
  SoundRecord,
} from './records.ts';
