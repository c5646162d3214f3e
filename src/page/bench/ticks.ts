import type { NippleTurn } from '../../application/contract.ts';

/** What the steps of a plan come to: another plan has another name, and its steps are not yet turned. */
export const nameOfPlan = (turns: readonly NippleTurn[]): string =>
  turns.map(({ spoke, quarterTurns }) => `${spoke}:${quarterTurns}`).join(' ');

/** Steps ticked and kept as text; null when there is nothing to keep. */
export const textOfTicks = (plan: string, done: readonly number[]): string | null =>
  done.length === 0 ? null : JSON.stringify({ plan, done });

/** The spokes ticked in this plan; ticks of another plan, and text that is none of ours, are none. */
export function ticksOf(text: string | null, plan: string): number[] {
  try {
    const kept = JSON.parse(text ?? '') as { plan?: unknown; done?: unknown };
    if (kept.plan !== plan || !Array.isArray(kept.done)) return [];
    return kept.done.filter((one): one is number => Number.isInteger(one));
  } catch {
    return [];
  }
}
