import { useEffect, useState } from 'preact/hooks';
import { readSchema } from '../api.ts';

/** What the published schema says of one field of the sheet. */
export interface FieldFacts {
  description: string | null;
  /** Taken when the field is left out, as text. */
  usual: string | null;
}

interface SchemaNode {
  properties?: Record<string, SchemaNode>;
  description?: string;
  default?: unknown;
}

/** Finds a field by its dotted path of names; nothing known is an answer too. */
export function factsOf(schema: unknown, path: string): FieldFacts {
  let node = schema as SchemaNode | undefined;
  for (const key of path.split('.')) node = node?.properties?.[key];
  const usual = node?.default;
  return {
    description: node?.description ?? null,
    usual: typeof usual === 'number' || typeof usual === 'string' ? String(usual) : null,
  };
}

let loading: Promise<unknown> | null = null;

/** The schema of the day sheet, asked for once: its words and usual values stand beside the fields. */
export function useSheetSchema(): unknown {
  const [schema, setSchema] = useState<unknown>(null);
  useEffect(() => {
    loading ??= readSchema();
    loading.then(setSchema, () => {
      loading = null; // Without it the fields still work; asked again next time.
    });
  }, []);
  return schema;
}
