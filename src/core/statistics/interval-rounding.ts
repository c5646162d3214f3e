/**
 * Printing a value with its interval: never more digits than the interval supports. The half-width
 * keeps two significant digits (GUM 7.2.6) and the value the same last place.
 */

/** Decimal places that a half-width supports; negative for tens, hundreds … Infinity for a zero width. */
export function supportedDecimals(halfWidth: number): number {
  if (!(halfWidth >= 0)) throw new RangeError(`a half-width cannot be ${halfWidth}`);
  if (halfWidth === 0) return Infinity;
  if (halfWidth === Infinity) return -Infinity;
  // toExponential rounds first, so that 0.0996 counts as 0.10.
  return 1 - Number(halfWidth.toExponential(1).split('e')[1]);
}

/** Rounds half away from zero at a decimal place; negative places round to tens and so on. */
export function roundAt(value: number, decimals: number): number {
  if (decimals === Infinity || !Number.isFinite(value)) return value;
  if (decimals === -Infinity) return 0;
  // Through the shortest decimal text, so that 1.005 rounds as it reads.
  const [digits, exponent = '0'] = String(Math.abs(value)).split('e');
  const whole = Math.round(Number(`${digits}e${Number(exponent) + decimals}`));
  const [d, e = '0'] = String(whole).split('e');
  const rounded = Number(`${d}e${Number(e) - decimals}`);
  return value < 0 && rounded !== 0 ? -rounded : rounded;
}

export interface RoundedEstimate {
  value: number;
  low: number;
  high: number;
  /** Decimal places kept; Infinity when the interval has no width. */
  decimals: number;
}

/** Rounds a value and its interval together. An interval of unequal sides is judged by its wider side. */
export function roundToInterval(
  value: number,
  [low, high]: readonly [low: number, high: number],
): RoundedEstimate {
  if (!(low <= value && value <= high)) {
    throw new RangeError(`the interval ${low} to ${high} does not hold the value ${value}`);
  }
  const decimals = supportedDecimals(Math.max(high - value, value - low));
  return {
    value: roundAt(value, decimals),
    low: roundAt(low, decimals),
    high: roundAt(high, decimals),
    decimals,
  };
}

/** A number as text with fixed decimals, a true minus sign and no negative zero. */
export function formatFixed(value: number, decimals: number, minus = '−'): string {
  if (!Number.isFinite(value)) return 'not known';
  const rounded = roundAt(value, decimals);
  const text =
    decimals === Infinity
      ? String(Math.abs(rounded))
      : Math.abs(rounded).toFixed(Math.max(0, decimals));
  return rounded < 0 ? `${minus}${text}` : text;
}

export interface FormattedEstimate {
  value: string;
  low: string;
  high: string;
  /** e.g. `−0.0052 m² (−0.0075 to −0.0029)`. */
  text: string;
}

/**
 * A value with its interval as text. `minus`: sign to print, default U+2212. An interval without bound
 * says `not known`: it supports no digit.
 */
export function formatEstimate(
  value: number,
  interval: readonly [low: number, high: number],
  { unit = '', minus = '−' }: { unit?: string; minus?: string } = {},
): FormattedEstimate {
  const suffix = unit ? ` ${unit}` : '';
  if (![value, ...interval].every(Number.isFinite)) {
    return { value: 'not known', low: 'not known', high: 'not known', text: 'not known' };
  }
  const { decimals } = roundToInterval(value, interval);
  const [v, low, high] = [value, ...interval].map((one) => formatFixed(one, decimals, minus));
  return { value: v, low, high, text: `${v}${suffix} (${low} to ${high})` };
}
