/**
 * Never more digits than the interval supports: half the interval's width shown with two digits at
 * most (GUM, JCGM 100:2008, 7.2.6), and the value to the same place.
 */

/** Decimal places for a value with this interval; from 0 to 9. Four where the interval has no width. */
export function intervalDigits([low, high]: readonly [number, number]): number {
  const half = Math.abs(high - low) / 2;
  if (!Number.isFinite(half) || half === 0) return 4;
  // Rounded first: a half-width of 0.0996 reads 0.10, not 0.100.
  const rounded = Number(half.toPrecision(2));
  return Math.min(9, Math.max(0, 1 - Math.floor(Math.log10(rounded))));
}

/** With that many decimals; never "-0.00". */
export function plain(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '-';
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

/** As `plain`, with a plus sign before what is above zero. */
export function signed(value: number, digits: number): string {
  const text = plain(value, digits);
  return Number(text) > 0 ? `+${text}` : text;
}
