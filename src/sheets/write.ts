import { Document, Scalar, isMap, isScalar, isSeq, visit } from 'yaml';
import type { ToStringOptions } from 'yaml';
import { knownKeys } from './known-keys.ts';
import { daySheetSchema } from './schema.ts';
import { yamlOptions } from './parse.ts';
import type { DaySheet } from './schema.ts';

/**
 * A day sheet as YAML: keys in the order of the schema, one setup, run or overrule a line, so that
 * the same data always gives the same text. `readDaySheet` reads it back to the same day.
 */
export function writeDaySheet(data: DaySheet): string {
  const document = new Document(ordered(data, []), yamlOptions);
  visit(document, {
    Map: (_, node, path) => {
      // Three ancestors: document, top map, pair. Below that, one line for each group.
      if (path.length >= 3) node.flow = true;
    },
  });
  quoteClocks(document);
  return render(document, { flowCollectionPadding: false });
}

/** Text of a document, never folded: a long line in a sheet is a person's choice. */
export function render(document: Document, options: ToStringOptions): string {
  return document.toString({ lineWidth: 0, ...options });
}

/** Puts `from` and `to` in quotes: other YAML readers take 00:21:10 for a number to base 60. */
export function quoteClocks(document: Document): void {
  const runs = document.get('runs');
  if (!isSeq(runs)) return;
  for (const run of runs.items) {
    if (!isMap(run)) continue;
    for (const key of ['from', 'to']) {
      const value = run.get(key, true);
      if (isScalar(value) && typeof value.value === 'string') value.type = Scalar.QUOTE_DOUBLE;
    }
  }
}

/** Plain data with keys in the order of the schema, then any others, and nothing undefined. */
export function ordered(data: unknown, path: PropertyKey[]): unknown {
  if (Array.isArray(data)) return data.map((item, i) => ordered(item, [...path, i]));
  if (typeof data !== 'object' || data === null) return data;
  const given = data as Record<string, unknown>;
  const known = knownKeys(path, daySheetSchema).filter((key) => key in given);
  const others = Object.keys(given)
    .filter((key) => !known.includes(key))
    .sort();
  return Object.fromEntries(
    [...known, ...others]
      .filter((key) => given[key] !== undefined)
      .map((key) => [key, ordered(given[key], [...path, key])]),
  );
}
