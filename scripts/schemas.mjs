// Writes the published JSON Schemas from the code that checks with them. Needs a Node that runs TypeScript.
import fs from 'node:fs';
import path from 'node:path';
import { root } from './runtime.mjs';
const { dayJsonSchemaText } = await import('../src/sheets/index.ts');
fs.writeFileSync(path.join(root, 'schemas', 'day.schema.json'), dayJsonSchemaText());
