// Writes the published JSON Schemas and the page on the day sheet from the code that checks with them. Needs a Node that runs TypeScript.
import fs from 'node:fs';
import path from 'node:path';
import { format } from 'prettier';
import { root } from './runtime.mjs';
const {
  dayJsonSchemaText,
  descentJsonSchemaText,
  daySheetReference,
  gearsJsonSchemaText,
  raceJsonSchemaText,
  tyresJsonSchemaText,
  wheelJsonSchemaText,
} = await import('../src/sheets/index.ts');
fs.writeFileSync(path.join(root, 'schemas', 'day.schema.json'), dayJsonSchemaText());
fs.writeFileSync(path.join(root, 'schemas', 'race.schema.json'), raceJsonSchemaText());
fs.writeFileSync(path.join(root, 'schemas', 'descent.schema.json'), descentJsonSchemaText());
fs.writeFileSync(path.join(root, 'schemas', 'wheel.schema.json'), wheelJsonSchemaText());
fs.writeFileSync(path.join(root, 'schemas', 'tyres.schema.json'), tyresJsonSchemaText());
fs.writeFileSync(path.join(root, 'schemas', 'gears.schema.json'), gearsJsonSchemaText());
fs.writeFileSync(
  path.join(root, 'docs', 'day-sheet.md'),
  await format(daySheetReference(), { parser: 'markdown', printWidth: 100, singleQuote: true }),
);
