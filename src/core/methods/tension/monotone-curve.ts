/**
 * A curve through points that never turns back between them: piecewise cubic Hermite after Fritsch & Carlson
 * (1980), SIAM J. Numer. Anal. 17:238, with the slopes of Fritsch & Butland (1984), SIAM J. Sci. Stat. Comput.
 * 5:300, inside and one-sided ones, held in shape, at the ends. What SciPy calls PCHIP.
 */

export interface MonotoneCurve {
  /** Least and greatest x; beyond them there is no value. */
  from: number;
  to: number;
  /** Null outside the points. */
  at(x: number): { value: number; slope: number } | null;
}

/** Two points or more with x strictly rising. */
export function monotoneCurve(x: readonly number[], y: readonly number[]): MonotoneCurve {
  const n = x.length;
  const h = Array.from({ length: n - 1 }, (_, i) => x[i + 1] - x[i]);
  const chord = h.map((step, i) => (y[i + 1] - y[i]) / step);
  const slopes = x.map((_, i) => {
    if (n === 2) return chord[0];
    if (i === 0) return endSlope(h[0], h[1], chord[0], chord[1]);
    if (i === n - 1) return endSlope(h[n - 2], h[n - 3], chord[n - 2], chord[n - 3]);
    const [before, after] = [chord[i - 1], chord[i]];
    if (before * after <= 0) return 0;
    const [w1, w2] = [2 * h[i] + h[i - 1], h[i] + 2 * h[i - 1]];
    return (w1 + w2) / (w1 / before + w2 / after);
  });
  return {
    from: x[0],
    to: x[n - 1],
    at(at) {
      if (!(at >= x[0] && at <= x[n - 1])) return null;
      let i = n - 2;
      while (i > 0 && at < x[i]) i--;
      const t = (at - x[i]) / h[i];
      const [c, d] = [slopes[i], slopes[i + 1]];
      // In powers of t: y + h·c·t + …
      const square = (3 * chord[i] - 2 * c - d) * h[i];
      const cube = (c + d - 2 * chord[i]) * h[i];
      return {
        value: y[i] + t * (h[i] * c + t * (square + t * cube)),
        slope: c + (t * (2 * square + 3 * t * cube)) / h[i],
      };
    },
  };
}

function endSlope(h0: number, h1: number, chord0: number, chord1: number): number {
  const slope = ((2 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
  if (slope * chord0 <= 0) return 0;
  if (chord0 * chord1 <= 0 && Math.abs(slope) > 3 * Math.abs(chord0)) return 3 * chord0;
  return slope;
}
