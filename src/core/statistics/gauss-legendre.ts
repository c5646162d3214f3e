/** Gauss–Legendre rule on [−1, 1] (Golub & Welsch 1969 for the rule; nodes here by Newton's method). */
export interface GaussRule {
  nodes: Float64Array;
  weights: Float64Array;
}

/** The rule with `count` nodes, exact for polynomials up to degree 2·count − 1. */
export function gaussLegendre(count: number): GaussRule {
  const nodes = new Float64Array(count);
  const weights = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
    let slope = 0;
    for (let pass = 0; pass < 20; pass++) {
      let before = 1;
      let value = x;
      for (let n = 2; n <= count; n++) {
        [before, value] = [value, ((2 * n - 1) * x * value - (n - 1) * before) / n];
      }
      if (count === 1) [before, value] = [1, x];
      slope = (count * (x * value - before)) / (x * x - 1);
      const change = value / slope;
      x -= change;
      if (Math.abs(change) < 1e-15) break;
    }
    nodes[i] = x;
    weights[i] = 2 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}
