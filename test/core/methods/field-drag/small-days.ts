import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import type { FieldDragFinding } from '../../../../src/core/methods/field-drag/index.ts';
import {
  simulateDay,
  type ConditionsInput,
  type SimulatedDay,
} from '../../../../src/simulation/index.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';

const small: ConditionsInput = { seed: 61, setups: 2, runsPerSetup: 2, lapsPerRun: 3 };
/** Each day is ridden once; every test gets evidence of its own over the same columns. */
const daysRidden = new Map<string, SimulatedDay>();
export function dayOf(more: ConditionsInput = {}): SimulatedDay {
  const key = JSON.stringify(more);
  if (!daysRidden.has(key)) daysRidden.set(key, simulateDay({ ...small, ...more }));
  return daysRidden.get(key)!;
}
export const evidenceFor = (more: ConditionsInput = {}): DayEvidence => evidenceOf(dayOf(more));

/** Codes of a finding's warnings. */
export const codes = (finding: FieldDragFinding) => finding.warnings.map(({ code }) => code);
