import {
  daySheetSchema,
  descentSheetSchema,
  gearsSheetSchema,
  LapbenchError,
  raceSheetSchema,
  tyresSheetSchema,
  wheelSheetSchema,
} from '../../application/index.ts';
import type { Io } from '../io.ts';

const schemas: Record<string, () => Record<string, unknown>> = {
  day: daySheetSchema,
  wheel: wheelSheetSchema,
  race: raceSheetSchema,
  descent: descentSheetSchema,
  tyres: tyresSheetSchema,
  gears: gearsSheetSchema,
};

/** `lapbench schema day` and so on. */
export function schema(io: Io, kind: string): void {
  if (!Object.hasOwn(schemas, kind)) {
    throw new LapbenchError({
      code: 'usage',
      message: `There is no schema of the kind ${JSON.stringify(kind)}.`,
      remedy: `The kinds are: ${Object.keys(schemas).join(', ')}.`,
    });
  }
  io.out(`${JSON.stringify(schemas[kind](), null, 2)}\n`);
}
