import { z } from 'zod';
import { gearsSheetSchema } from './gears-schema.ts';
import { tyresSheetSchema } from './tyres-schema.ts';

type Json = Record<string, unknown>;

const titled = (schema: z.core.$ZodType, title: string): Json => {
  const { $schema, ...rest } = z.toJSONSchema(schema, {
    io: 'input',
    target: 'draft-2020-12',
  }) as Json;
  return { $schema, title, ...rest };
};

const propertiesOf = (schema: Json): Record<string, Json> =>
  schema.properties as Record<string, Json>;

/** The published JSON Schema of a tyres sheet; that a tyre gives one maximum, in bar or psi, is said there too. */
export function tyresJsonSchema(): Json {
  const schema = titled(tyresSheetSchema, 'Lapbench tyres sheet');
  for (const end of ['front', 'rear']) {
    propertiesOf(propertiesOf(schema)[end]).tyre.oneOf = [
      { required: ['maximumBar'] },
      { required: ['maximumPsi'] },
    ];
  }
  return schema;
}

/** The text of schemas/tyres.schema.json. */
export const tyresJsonSchemaText = (): string => `${JSON.stringify(tyresJsonSchema(), null, 2)}\n`;

/** The published JSON Schema of a gears sheet; that a tyre says its size one way or the other is said there too. */
export function gearsJsonSchema(): Json {
  const schema = titled(gearsSheetSchema, 'Lapbench gears sheet');
  propertiesOf(schema).tyre.anyOf = [
    { required: ['designation'] },
    { required: ['circumferenceMm'] },
  ];
  return schema;
}

/** The text of schemas/gears.schema.json. */
export const gearsJsonSchemaText = (): string => `${JSON.stringify(gearsJsonSchema(), null, 2)}\n`;
