/** Share of the values in a window that are present, 0 to 1. */
export function coverage(values: Float64Array | undefined, from: number, to: number): number {
  if (!values || to <= from) return 0;
  let present = 0;
  for (let i = from; i < to; i++) if (Number.isFinite(values[i])) present++;
  return present / (to - from);
}
