export { readDaySheet, daySheetData } from './read.ts';
export { dayDefaults, daySheetSchema } from './schema.ts';
export type { DaySheet } from './schema.ts';
export { dayJsonSchema, dayJsonSchemaText } from './json-schema.ts';
export { sheetLimits } from './parse.ts';
