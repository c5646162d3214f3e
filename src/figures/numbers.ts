/** Numbers as people quote them: no more digits than the interval can bear, a true minus sign. */

const minus = '\u2212';

/** Narrow no-break space between number and unit, so that neither strays to the next line. */
export const thin = '\u202f';

/**
 * Decimals that show an uncertainty with two significant digits when it begins with 1 or 2, else with one,
 * so that rounding never moves a value by more than about a sixth of it. At most 6, at least 0.
 */
export function decimalsFor(uncertainty: number): number {
  const size = Math.abs(uncertainty);
  if (!Number.isFinite(size) || size === 0) return 4;
  const exponent = Math.floor(Math.log10(size));
  const leading = size / 10 ** exponent;
  const digits = leading < 2.95 ? 1 : 0;
  return Math.min(6, Math.max(0, digits - exponent));
}

/**
 * Decimals for a value with its uncertainty beside it: one more where rounding would make the two alike
 * although the value is the larger, as 0.0041 ± 0.0035 would read 0.004 ± 0.004, as if it might be nothing.
 */
export function decimalsBeside(value: number, uncertainty: number): number {
  const decimals = decimalsFor(uncertainty);
  const [size, half] = [Math.abs(value), Math.abs(uncertainty)];
  const alike = size > half && size.toFixed(decimals) === half.toFixed(decimals);
  return alike ? Math.min(6, decimals + 1) : decimals;
}

/** Fixed decimals with a true minus; a value that rounds to nothing loses its sign. */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `${minus}${text}` : text;
}

/** As `fixed`, with a plus before what is above zero: for differences. */
export function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** Half the width of an interval. */
export const halfWidth = ([low, high]: readonly [number, number]): number => (high - low) / 2;

/** `0.0029 to 0.0075`, both ends with the decimals that the width of the interval bears. */
export function range(ends: readonly [number, number], sign = false): string {
  const decimals = decimalsFor(halfWidth(ends));
  const show = sign ? signed : fixed;
  return `${show(ends[0], decimals)} to ${show(ends[1], decimals)}`;
}

/** `4:05` or `1:02:33`. */
export function clock(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds));
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const s = String(whole % 60).padStart(2, '0');
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${s}` : `${m}:${s}`;
}

/** Round times in seconds (one minute to half a day apart) from 0 to `lastS`, about `count` of them. */
export function timeTicks(lastS: number, count: number): number[] {
  const steps = [60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600];
  const step = steps.find((size) => lastS / size <= count) ?? 43200;
  return Array.from({ length: Math.floor(lastS / step) + 1 }, (_, k) => k * step);
}

/** Hours and minutes, `1:30 h`; under an hour, minutes: `25 min`. */
export function hours(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (minutes === 0) return '0';
  if (minutes < 60) return `${minutes}${thin}min`;
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}${thin}h`;
}
