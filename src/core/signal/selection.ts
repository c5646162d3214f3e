/** Medians without sorting or copying, for inner loops. */

/** Median of the first `n` values; reorders them. The lower of the two middle ones when n is even. */
export function medianOf(values: Float64Array, n: number): number {
  return kthOf(values, n, (n - 1) >> 1);
}

/** The k-th smallest (from 0) of the first `n` values; reorders them (Hoare's quickselect, 1961). */
export function kthOf(values: Float64Array, n: number, k: number): number {
  let low = 0;
  let high = n - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1];
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i <= j) {
        const x = values[i];
        values[i] = values[j];
        values[j] = x;
        i++;
        j--;
      }
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return values[k];
}
