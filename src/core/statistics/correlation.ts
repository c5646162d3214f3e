/** Correlation matrices of comparisons: checks, Cholesky factor, nearest one-factor form. */

/**
 * Lower Cholesky factor, row-major k × k. Throws RangeError unless the matrix is square, symmetric,
 * with ones on its diagonal and positive definite.
 */
export function choleskyOfCorrelation(correlation: readonly (readonly number[])[]): Float64Array {
  const k = correlation.length;
  if (k === 0) throw new RangeError('no comparisons: the correlation matrix is empty');
  for (let i = 0; i < k; i++) {
    if (correlation[i].length !== k) throw new RangeError('the correlation matrix is not square');
    if (!(Math.abs(correlation[i][i] - 1) < 1e-9)) {
      throw new RangeError(`correlation of comparison ${i + 1} with itself is not 1`);
    }
    for (let j = 0; j < i; j++) {
      if (!(Math.abs(correlation[i][j] - correlation[j][i]) < 1e-9)) {
        throw new RangeError(`correlations ${i + 1},${j + 1} and ${j + 1},${i + 1} differ`);
      }
    }
  }
  const factor = new Float64Array(k * k);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = i === j ? 1 : correlation[i][j];
      for (let m = 0; m < j; m++) sum -= factor[i * k + m] * factor[j * k + m];
      if (i !== j) factor[i * k + j] = sum / factor[j * k + j];
      else if (sum > 1e-12) factor[i * k + i] = Math.sqrt(sum);
      else {
        throw new RangeError(
          `the correlation matrix is not positive definite at comparison ${i + 1}: two comparisons say the same`,
        );
      }
    }
  }
  return factor;
}

/**
 * Loadings λ with ρ_ij ≈ λ_i·λ_j off the diagonal, by least squares (alternating), and the worst
 * misfit. Exact one-factor matrices come back to rounding.
 */
export function nearestProductStructure(correlation: readonly (readonly number[])[]): {
  loadings: number[];
  worst: number;
} {
  const k = correlation.length;
  if (k === 1) return { loadings: [0], worst: 0 };
  if (k === 2) {
    const size = Math.sqrt(Math.abs(correlation[0][1]));
    return { loadings: [size, correlation[0][1] < 0 ? -size : size], worst: 0 };
  }
  let loadings = startLoadings(correlation);
  const cap = 1 - 1e-6;
  const misfit = (values: readonly number[]): number => {
    let worst = 0;
    for (let i = 0; i < k; i++) {
      for (let j = 0; j < i; j++) {
        worst = Math.max(worst, Math.abs(correlation[i][j] - values[i] * values[j]));
      }
    }
    return worst;
  };
  for (let pass = 0; pass < 200 && misfit(loadings) > 1e-13; pass++) {
    const before = [...loadings];
    for (let i = 0; i < k; i++) {
      let top = 0;
      let bottom = 0;
      for (let j = 0; j < k; j++) {
        if (j === i) continue;
        top += correlation[i][j] * loadings[j];
        bottom += loadings[j] * loadings[j];
      }
      loadings[i] = bottom > 0 ? Math.max(-cap, Math.min(cap, top / bottom)) : 0;
    }
    if (loadings.every((value, i) => Math.abs(value - before[i]) < 1e-14)) break;
  }
  const flat = new Array<number>(k).fill(0);
  if (misfit(flat) < misfit(loadings)) loadings = flat;
  return { loadings, worst: misfit(loadings) };
}

/** λ_i² = ρ_ij·ρ_im/ρ_jm over the pair with the largest product: exact when one factor holds. */
function startLoadings(correlation: readonly (readonly number[])[]): number[] {
  const k = correlation.length;
  let anchor = 0;
  let strongest = -1;
  for (let i = 0; i < k; i++) {
    const strength = correlation[i].reduce((sum, r, j) => sum + (i === j ? 0 : Math.abs(r)), 0);
    if (strength > strongest) {
      strongest = strength;
      anchor = i;
    }
  }
  if (strongest === 0) return new Array<number>(k).fill(0);
  return correlation.map((row, i) => {
    let best = 0;
    let square = 0;
    for (let j = 0; j < k; j++) {
      for (let m = 0; m < j; m++) {
        if (i === j || i === m || correlation[j][m] === 0) continue;
        const weight = Math.abs(row[j] * row[m]);
        if (weight > best) {
          best = weight;
          square = (row[j] * row[m]) / correlation[j][m];
        }
      }
    }
    const size = Math.sqrt(Math.min(0.999, Math.max(0, square)));
    return i === anchor || correlation[anchor][i] >= 0 ? size : -size;
  });
}
