import type { BenchKind } from '../../application/contract.ts';
import { decimalsFor, fixed, halfWidth, thin } from '../../figures/index.ts';

export const kindNames: Record<BenchKind, string> = {
  stiffness: 'Stiffness readings',
  tension: 'Spoke tensions',
  wheel: 'Wheel sheet',
};

/** A value with its 95 % interval, both with the digits that the interval bears. */
export function withInterval(
  value: number,
  ends: readonly [number, number] | null,
  unit: string,
): string {
  if (ends === null) return `${fixed(value, 2)}${thin}${unit}`;
  const decimals = decimalsFor(halfWidth(ends));
  return `${fixed(value, decimals)}${thin}${unit} (${fixed(ends[0], decimals)} to ${fixed(ends[1], decimals)})`;
}

const quarters = ['', '¼', '½', '¾'];

/** `1¼ turns`, `½ turn`: as a person counts them with the key in hand. */
export function turnsWord(quarterTurns: number): string {
  const count = Math.abs(Math.round(quarterTurns));
  const whole = Math.floor(count / 4);
  const part = quarters[count % 4];
  return `${whole > 0 || part === '' ? whole : ''}${part} ${count > 4 ? 'turns' : 'turn'}`;
}
