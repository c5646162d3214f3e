/** What a finding of field drag says together of its setups, as one covariance. */

/** 95 % of a normal distribution lies within this many standard deviations. */
export const normal95 = 1.959964;

/** Half of a 95 % interval as a standard deviation, so that the interval itself is kept. */
export const sdOf = ([low, high]: readonly [number, number]): number => (high - low) / 2 / normal95;

/**
 * Covariance of setups from their own intervals and those of their differences to control:
 * cov(c, i) = (var c + var i − var(i − c)) / 2. Between two that are not control it is what control explains of
 * both, cov(c, i)·cov(c, j)/var c: no less than that is known, and it never makes a difference look sharper than it is.
 *
 * @param sd by setup, m²
 * @param control place of the control among them
 * @param differenceSd of each setup less control, m²; unused at the control's own place
 * @returns k × k, row by row, never indefinite
 */
export function covarianceOf(
  sd: readonly number[],
  control: number,
  differenceSd: readonly number[],
): Float64Array {
  const k = sd.length;
  const toControl = sd.map((own, i) => {
    if (i === control) return own * own;
    const shared = 0.5 * (sd[control] ** 2 + own * own - differenceSd[i] ** 2);
    const most = sd[control] * own;
    return Math.min(most, Math.max(-most, shared));
  });
  const out = new Float64Array(k * k);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const through = sd[control] > 0 ? (toControl[i] * toControl[j]) / sd[control] ** 2 : 0;
      out[i * k + j] = i === j ? sd[i] ** 2 : through;
    }
  }
  return out;
}

/** Lower triangle L with L·Lᵀ = A for a covariance that may be singular; a direction without spread stays without. */
export function rootOf(a: Float64Array, k: number): Float64Array {
  const l = new Float64Array(k * k);
  for (let j = 0; j < k; j++) {
    let pivot = a[j * k + j];
    for (let m = 0; m < j; m++) pivot -= l[j * k + m] ** 2;
    const own = pivot > 1e-12 * a[j * k + j] ? Math.sqrt(pivot) : 0;
    l[j * k + j] = own;
    for (let i = j + 1; i < k; i++) {
      let sum = a[i * k + j];
      for (let m = 0; m < j; m++) sum -= l[i * k + m] * l[j * k + m];
      l[i * k + j] = own > 0 ? sum / own : 0;
    }
  }
  return l;
}
