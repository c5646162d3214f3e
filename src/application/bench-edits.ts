import { LapbenchError } from '../core/units/index.ts';
import { editWheelSheet } from '../sheets/index.ts';
import type { BenchChange, BenchKind } from './contract.ts';

/** The input of an item after a change; only a wheel sheet has single values to edit. */
export function changedInput(
  item: { kind: BenchKind; input: string },
  { input = item.input, edits = [] }: BenchChange,
): string {
  if (edits.length === 0) return input;
  if (item.kind === 'wheel') return editWheelSheet(input, edits, 'wheel sheet');
  throw new LapbenchError({
    code: 'usage',
    place: { field: 'edits' },
    message: `This bench item holds ${item.kind} readings; single values are edited in a wheel sheet only.`,
    remedy: 'Send the readings whole, as input.',
  });
}
