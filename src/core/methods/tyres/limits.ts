/** What no wish may pass: the lowest of the maxima of tyre, rim and bead. */
import type { TyreOnRim } from '../../evidence/index.ts';
import { barToPa } from '../../units/index.ts';

/** Straight-sided rims of road width: 5 bar whatever the tyre says (ETRTO, as quoted on a tyre maker's technical page). */
export const hooklessMaximumPa = barToPa(5);

/** Whose maximum it is. */
export type LimitOf = 'tyre' | 'rim' | 'hookless rim';

/** One maximum, Pa. */
export interface PressureLimit {
  of: LimitOf;
  pressurePa: number;
}

/** Every maximum that is known, the lowest first. */
export function limitsOf(wheel: TyreOnRim): PressureLimit[] {
  const known: PressureLimit[] = [{ of: 'tyre', pressurePa: wheel.tyreMaximumPa }];
  if (wheel.rimMaximumPa !== null) known.push({ of: 'rim', pressurePa: wheel.rimMaximumPa });
  if (wheel.hookless) known.push({ of: 'hookless rim', pressurePa: hooklessMaximumPa });
  return known.sort((a, b) => a.pressurePa - b.pressurePa);
}

/**
 * Least pressure by use that an older edition of ISO 5775-1 is said to mark (secondary source): 300 kPa
 * for sections of up to 25 mm, 200 kPa on the road, 150 kPa off it.
 */
export function usualMinimumPa(designatedWidthM: number, offRoad: boolean): number {
  if (offRoad) return 150e3;
  return designatedWidthM <= 0.025 ? 300e3 : 200e3;
}
