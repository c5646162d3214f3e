/** Least value of a smooth function of three numbers, without derivatives: Nelder and Mead (1965), Computer J. 7:308. */

interface Corner {
  x: number[];
  value: number;
}

/** The place of the least value found from `start` with first steps of size `step`. */
export function nelderMead3(
  cost: (x: readonly number[]) => number,
  start: readonly number[],
  step: number,
  mostSteps = 120,
): number[] {
  const corner = (x: number[]): Corner => ({ x, value: cost(x) });
  const simplex = [
    corner([...start]),
    ...start.map((_, i) => corner(start.map((v, j) => (i === j ? v + step : v)))),
  ];
  for (let turn = 0; turn < mostSteps; turn++) {
    simplex.sort((a, b) => a.value - b.value);
    const worst = simplex[simplex.length - 1];
    if (worst.value - simplex[0].value < 1e-3) break;
    const others = simplex.slice(0, -1);
    const centre = start.map((_, j) => others.reduce((s, one) => s + one.x[j], 0) / others.length);
    const along = (t: number): Corner => corner(centre.map((c, j) => c + t * (worst.x[j] - c)));
    const reflected = along(-1);
    if (reflected.value < simplex[0].value) {
      const further = along(-2);
      simplex[simplex.length - 1] = further.value < reflected.value ? further : reflected;
    } else if (reflected.value < others[others.length - 1].value) {
      simplex[simplex.length - 1] = reflected;
    } else {
      const nearer = reflected.value < worst.value ? along(-0.5) : along(0.5);
      if (nearer.value < Math.min(worst.value, reflected.value)) {
        simplex[simplex.length - 1] = nearer;
      } else {
        const [best] = simplex;
        for (let i = 1; i < simplex.length; i++) {
          simplex[i] = corner(simplex[i].x.map((v, j) => 0.5 * (v + best.x[j])));
        }
      }
    }
  }
  return simplex.sort((a, b) => a.value - b.value)[0].x;
}
