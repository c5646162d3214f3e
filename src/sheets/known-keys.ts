import type { z } from 'zod';

interface Definition {
  type: string;
  shape?: Record<string, z.core.$ZodType>;
  element?: z.core.$ZodType;
  innerType?: z.core.$ZodType;
}

/** Keys that may stand at a path of a sheet, in the order of its schema; none where no keys belong. */
export function knownKeys(path: readonly PropertyKey[], schema: z.core.$ZodType): string[] {
  let definition = unwrap(schema);
  for (const part of path) {
    const next = typeof part === 'number' ? definition.element : definition.shape?.[String(part)];
    if (!next) return [];
    definition = unwrap(next);
  }
  return Object.keys(definition.shape ?? {});
}

function unwrap(schema: z.core.$ZodType): Definition {
  let definition = schema._zod.def as unknown as Definition;
  while (definition.innerType) definition = definition.innerType._zod.def as unknown as Definition;
  return definition;
}
