import { daySheetSchema, LapbenchError } from '../../application/index.ts';
import type { Io } from '../io.ts';

/** `lapbench schema day`. */
export function schema(io: Io, kind: string): void {
  if (kind !== 'day') {
    throw new LapbenchError({
      code: 'usage',
      message: `There is no schema of the kind ${JSON.stringify(kind)}.`,
      remedy: 'The only kind is "day".',
    });
  }
  io.out(`${JSON.stringify(daySheetSchema(), null, 2)}\n`);
}
