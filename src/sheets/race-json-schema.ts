import { z } from 'zod';
import { raceSheetSchema } from './race-schema.ts';

/** The published JSON Schema of a race sheet (draft 2020-12), made from the schema that checks it. */
export function raceJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(raceSheetSchema, { io: 'input', target: 'draft-2020-12' });
  const { $schema, ...rest } = schema as Record<string, unknown>;
  return { $schema, title: 'Lapbench race sheet', ...rest };
}

/** The text of schemas/race.schema.json. */
export function raceJsonSchemaText(): string {
  return `${JSON.stringify(raceJsonSchema(), null, 2)}\n`;
}
