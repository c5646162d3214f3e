import { isMap, isScalar, parseDocument } from 'yaml';
import type { Document } from 'yaml';
import { yamlOptions } from './parse.ts';
import { render, writeDaySheet } from './write.ts';
import type { DaySheet } from './schema.ts';

/** A recording for a first draft. */
export type DraftRun = DaySheet['runs'][number];

/** What is known when a person has dropped files and written nothing yet. */
export interface DraftFacts {
  title: string;
  /** YYYY-MM-DD. */
  date: string;
  /** Recordings in the order of riding: names, or runs of which more is known. */
  files: (string | (Omit<DraftRun, 'setup'> & { setup?: string }))[];
  /** Weighed mass, when it is known. */
  massKg?: number;
  kind?: 'loop' | 'out-and-back';
}

/**
 * Mass taken while nobody has said one, with an uncertainty that covers most riders, so that a
 * draft gives honest, wide absolute values at once (common practice, no source).
 */
export const draftMass = { massKg: 85, massStandardUncertaintyKg: 8 };

/** A first day sheet for some files: all runs on one setup, what is assumed said in comments. */
export function draftDaySheet({ title, date, files, massKg, kind = 'loop' }: DraftFacts): string {
  const text = writeDaySheet({
    title,
    date,
    system: massKg === undefined ? draftMass : { massKg },
    course: { kind },
    setups: [{ id: 'control', name: 'Control' }],
    control: 'control',
    runs: files.map((file) => ({
      setup: 'control',
      ...(typeof file === 'string' ? { file } : file),
    })),
  });
  const document = parseOwn(text);
  const comments: Record<string, string> = {
    course: ' loop | out-and-back',
    ...(massKg === undefined
      ? {
          system: ' ASSUMED: weigh rider, bicycle and all that is carried, and write the mass here',
        }
      : {}),
  };
  for (const [key, comment] of Object.entries(comments)) {
    const node = document.get(key, true);
    if (isMap(node) || isScalar(node)) node.comment = comment;
  }
  return render(document, { flowCollectionPadding: false });
}

function parseOwn(text: string): Document {
  return parseDocument(text, yamlOptions) as Document;
}
