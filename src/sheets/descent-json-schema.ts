import { z } from 'zod';
import { descentSheetSchema } from './descent-schema.ts';

/** The published JSON Schema of a descent sheet (draft 2020-12), made from the schema that checks it. */
export function descentJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(descentSheetSchema, { io: 'input', target: 'draft-2020-12' });
  const { $schema, ...rest } = schema as Record<string, unknown>;
  const { course } = rest.properties as { course: Record<string, unknown> };
  course.oneOf = [{ required: ['lengthM', 'gradientPercent'] }, { required: ['file'] }];
  return { $schema, title: 'Lapbench descent sheet', ...rest };
}

/** The text of schemas/descent.schema.json. */
export function descentJsonSchemaText(): string {
  return `${JSON.stringify(descentJsonSchema(), null, 2)}\n`;
}
