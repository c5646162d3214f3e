/**
 * Sums and products carried in twice the working precision (Dekker 1971, Numer Math 18:224; Knuth's
 * two-sum): for residuals, where the digits that matter cancel.
 */
const splitter = 134217729; // 2^27 + 1

/** Running sum with its rounding error beside it. */
export class PreciseSum {
  #high = 0;
  #low = 0;

  /** Adds one number. */
  add(value: number): void {
    const sum = this.#high + value;
    const part = sum - this.#high;
    this.#low += this.#high - (sum - part) + (value - part);
    this.#high = sum;
  }

  /** Adds a·b without rounding the product. */
  addProduct(a: number, b: number): void {
    const product = a * b;
    const aBig = splitter * a;
    const aHigh = aBig - (aBig - a);
    const aLow = a - aHigh;
    const bBig = splitter * b;
    const bHigh = bBig - (bBig - b);
    const bLow = b - bHigh;
    this.add(product);
    this.#low += aLow * bLow - (product - aHigh * bHigh - aLow * bHigh - aHigh * bLow);
  }

  value(): number {
    return this.#high + this.#low;
  }
}

/** Sum in twice the working precision. */
export function preciseSum(values: ArrayLike<number>): number {
  const sum = new PreciseSum();
  for (let i = 0; i < values.length; i++) sum.add(values[i]);
  return sum.value();
}
