/** Values on a polyline or an even table, and where a growing column reaches a value. */

/** Value of `y` at `x` on the polyline through (xs, ys), xs not decreasing. */
export function interpolate(xs: ArrayLike<number>, ys: ArrayLike<number>, x: number): number {
  let low = 0;
  let high = xs.length - 1;
  if (x <= xs[low]) return ys[low];
  if (x >= xs[high]) return ys[high];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= x) low = middle;
    else high = middle;
  }
  const width = xs[high] - xs[low];
  return width > 0 ? ys[low] + ((x - xs[low]) / width) * (ys[high] - ys[low]) : ys[low];
}

/** Table lookup with straight lines between the points; clamped at the ends. */
export function lookup(table: Float64Array, stepM: number, positionM: number): number {
  const x = positionM / stepM;
  if (x <= 0) return table[0];
  const last = table.length - 1;
  if (x >= last) return table[last];
  const i = x | 0;
  return table[i] + (x - i) * (table[i + 1] - table[i]);
}

/** First index whose path is not below `path`. */
export function firstAt(pathM: Float64Array, path: number): number {
  let low = 0;
  let high = pathM.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (pathM[middle] < path) low = middle + 1;
    else high = middle;
  }
  return low;
}
