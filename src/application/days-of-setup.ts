import { belongsTo } from './bench-setups.ts';
import type { DaySummary } from './contract.ts';
import type { Days } from './days-contract.ts';

/** The days on which a setup was ridden, by its id or name as a bench item writes it; newest first. */
export function daysOfSetup(days: Pick<Days, 'list' | 'setups'>, written: string): DaySummary[] {
  return days.list().filter(({ id }) => days.setups(id).some((setup) => belongsTo(written, setup)));
}
