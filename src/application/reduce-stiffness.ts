/** Bench readings in, stiffness out. */
import { estimateStiffness, type LoadUnit } from '../core/methods/index.ts';
import { readDeflections } from '../recordings/index.ts';
import type { StiffnessFinding } from './contract.ts';
import { inFile, type NamedText } from './bench-text.ts';
import { sha256 } from './edges.ts';

/** Over which range the stiffness is asked for, and what the loads are in when somebody said so. */
export interface StiffnessRange {
  preloadN: number;
  loadN: number;
  loadUnit?: LoadUnit | null;
}

/** Reduces a table of readings; throws `LapbenchError` with lines when it is wrong or tells nothing. */
export function reduceStiffness(readings: NamedText, range: StiffnessRange): StiffnessFinding {
  const { text, file } = readings;
  return inFile(file, () =>
    estimateStiffness({
      readings: readDeflections(text, file),
      preloadN: range.preloadN,
      loadN: range.loadN,
      loadUnit: range.loadUnit ?? null,
      inputs: [{ file, sha256: sha256(text) }],
    }),
  );
}
