export { readDaySheet, daySheetData } from './read.ts';
export { editDaySheet } from './edit.ts';
export type { SheetEdit } from './edit.ts';
export { editWheelSheet, wheelSheetData } from './edit-wheel.ts';
export type { WheelSheetEdit } from './edit-wheel.ts';
export { draftDaySheet, draftMass } from './draft.ts';
export type { DraftFacts, DraftRun } from './draft.ts';
export { writeDaySheet } from './write.ts';
export { dayDefaults, daySheetSchema } from './schema.ts';
export type { DaySheet } from './schema.ts';
export {
  dayJsonSchema,
  dayJsonSchemaText,
  wheelJsonSchema,
  wheelJsonSchemaText,
} from './json-schema.ts';
export { readWheelSheet } from './wheel-read.ts';
export type { ReadWheel, SectionNumbers, SectionOf } from './wheel-read.ts';
export { daySheetReference } from './reference.ts';
export { sheetLimits } from './parse.ts';
