import { z } from 'zod';
import { daySheetSchema } from './schema.ts';

/** The published JSON Schema of a day sheet (draft 2020-12), made from the schema that checks it. */
export function dayJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(daySheetSchema, { io: 'input', target: 'draft-2020-12' });
  const { $schema, ...rest } = schema as Record<string, unknown>;
  return { $schema, title: 'Lapbench day sheet', ...rest };
}

/** The text of schemas/day.schema.json. */
export function dayJsonSchemaText(): string {
  return `${JSON.stringify(dayJsonSchema(), null, 2)}\n`;
}
