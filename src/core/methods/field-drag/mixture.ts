import { normalCdf, tQuantile } from '../../statistics/index.ts';

/** Half-width h with P(|x − centre| ≤ h) = 0.95 for a mixture of normals. */
export function mixtureHalfWidth(
  weights: number[],
  means: number[],
  variances: number[],
  centre: number,
): number {
  const sds = variances.map(Math.sqrt);
  const inside = (h: number): number =>
    weights.reduce(
      (sum, w, k) =>
        sum +
        w *
          (normalCdf((centre + h - means[k]) / sds[k]) -
            normalCdf((centre - h - means[k]) / sds[k])),
      0,
    );
  let low = 0;
  let high = 8 * Math.max(...sds.map((sd, k) => sd + Math.abs(means[k] - centre)));
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (inside(middle) < 0.95) low = middle;
    else high = middle;
    if (high - low < 1e-9 * high) break;
  }
  return 0.5 * (low + high);
}

/** Degrees of freedom at which Student's 97.5 % quantile is `ratio`. */
export function equivalentDegrees(ratio: number): number {
  if (!(ratio > 1.965)) return 400;
  let low = 1;
  let high = 400;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    if (tQuantile(0.975, middle) > ratio) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}
