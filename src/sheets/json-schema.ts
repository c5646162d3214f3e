import { z } from 'zod';
import { daySheetSchema } from './schema.ts';
import { wheelSheetSchema } from './wheel-schema.ts';

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

/** The published JSON Schema of a wheel sheet; that a rim gives four numbers or a section is said there too. */
export function wheelJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(wheelSheetSchema, { io: 'input', target: 'draft-2020-12' });
  const { $schema, ...rest } = schema as Record<string, unknown>;
  const { rim } = rest.properties as { rim: Record<string, unknown> };
  rim.oneOf = [
    { required: ['areaM2', 'iRadialM4', 'iLateralM4', 'torsionM4'] },
    { required: ['section'] },
  ];
  return { $schema, title: 'Lapbench wheel sheet', ...rest };
}

/** The text of schemas/wheel.schema.json. */
export function wheelJsonSchemaText(): string {
  return `${JSON.stringify(wheelJsonSchema(), null, 2)}\n`;
}
