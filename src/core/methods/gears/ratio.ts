/** Ratios of teeth as whole numbers: two gears are alike or not, without a rounding between. */

/** A positive fraction in lowest terms. */
export interface Ratio {
  numerator: number;
  denominator: number;
}

/** Lowest terms. Throws RangeError unless both are whole, above zero, and small enough to stay exact. */
export function ratio(numerator: number, denominator: number): Ratio {
  for (const part of [numerator, denominator]) {
    if (!Number.isSafeInteger(part) || part <= 0)
      throw new RangeError(`${numerator} by ${denominator} is no ratio of whole numbers`);
  }
  const divisor = commonDivisor(numerator, denominator);
  return { numerator: numerator / divisor, denominator: denominator / divisor };
}

/** a·b, exactly. Throws RangeError where whole numbers no longer are. */
export function times(a: Ratio, b: Ratio): Ratio {
  // Shortened crosswise first, so that the products stay small.
  const one = ratio(a.numerator, b.denominator);
  const other = ratio(b.numerator, a.denominator);
  return ratio(one.numerator * other.numerator, one.denominator * other.denominator);
}

/** a/b, exactly. */
export function over(a: Ratio, b: Ratio): Ratio {
  return times(a, { numerator: b.denominator, denominator: b.numerator });
}

/** Below zero where a < b, zero where they are alike. */
export function compare(a: Ratio, b: Ratio): number {
  return a.numerator * b.denominator - b.numerator * a.denominator;
}

export const valueOf = ({ numerator, denominator }: Ratio): number => numerator / denominator;

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}
