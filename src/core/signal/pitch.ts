/** Which partial is the pitch. */

export interface Harmonicity {
  /** Position in the list given. */
  fundamental: number;
  /** Stretch B of a stiff string, f_n ∝ n√(1 + Bn²) (Fletcher 1964, J. Acoust. Soc. Am. 36:203: from memory). */
  stretch: number;
  /** Share of the partials' weight that fits. */
  fits: number;
  /** The fundamental as its second to fifth partials would have it, by that stretch. */
  fromSeriesHz: number[];
}

/** None, then in steps of a tenth up to a short thick wire: a step moves the fifth partial by 1 % at most. */
const stretches = [0, ...Array.from({ length: 61 }, (_, k) => 2e-4 * 1.1 ** k)];
const tolerance = 0.012;
const highest = 16;

/**
 * The partial whose series, stretched as far as the best-fitting stiffness asks, explains the partials best. A series must not want
 * partials that are missing among its first six: that keeps an octave below from being taken. Weight of a partial: square root of its
 * amplitude; a loud one is a little more likely to be the pitch, so that a beat beside it is not.
 */
export function harmonicity(partials: readonly { hz: number; amplitude: number }[]): Harmonicity {
  const weight = partials.map(({ amplitude }) => Math.sqrt(amplitude));
  const all = weight.reduce((sum, w) => sum + w, 0);
  const loudest = Math.max(...weight);
  const top = Math.max(...partials.map(({ hz }) => hz));
  let best: Harmonicity = { fundamental: 0, stretch: 0, fits: 0, fromSeriesHz: [] };
  let bestScore = -Infinity;
  partials.forEach(({ hz }, candidate) => {
    for (const stretch of stretches) {
      let explained = 0;
      const present = new Set<number>();
      const fromSeriesHz: number[] = [];
      partials.forEach((other, i) => {
        for (let n = 1; n <= highest; n++) {
          const expected = hz * n * Math.sqrt((1 + stretch * n * n) / (1 + stretch));
          if (expected > other.hz * (1 + tolerance)) break;
          if (Math.abs(other.hz - expected) <= tolerance * other.hz) {
            explained += weight[i];
            present.add(n);
            if (n >= 2 && n <= 5) fromSeriesHz.push((hz * other.hz) / expected);
            break;
          }
        }
      });
      let wanted = 0;
      for (let n = 2; n <= 6 && n * hz < top * 1.05; n++) wanted += present.has(n) ? 0 : 1;
      const score =
        explained / all - 0.12 * wanted - stretch + (0.15 * weight[candidate]) / loudest;
      if (score > bestScore + 1e-9) {
        bestScore = score;
        best = { fundamental: candidate, stretch, fits: explained / all, fromSeriesHz };
      }
    }
  });
  return best;
}
