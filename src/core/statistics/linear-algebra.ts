/**
 * Dense algebra on row-major Float64Array, for symmetric positive definite systems of up to several
 * hundred unknowns. Loops run along rows, so that memory is read in order.
 */

/** Thrown when a matrix that must be positive definite is not; `pivot` counts from 0. */
export class NotPositiveDefiniteError extends RangeError {
  readonly pivot: number;

  constructor(pivot: number, n: number) {
    super(`the ${n} × ${n} matrix is not positive definite: it fails at row ${pivot + 1}`);
    this.name = 'NotPositiveDefiniteError';
    this.pivot = pivot;
  }
}

function checkSize(a: Float64Array, size: number): void {
  if (a.length !== size) throw new RangeError(`expected ${size} numbers, got ${a.length}`);
}

/**
 * Lower Cholesky factor L of A = L·Lᵀ, n × n; only the lower triangle of A is read. Throws
 * NotPositiveDefiniteError where a pivot is not above rounding of its own diagonal element.
 */
export function cholesky(a: Float64Array, n: number): Float64Array {
  checkSize(a, n * n);
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const rowI = i * n;
    for (let j = 0; j < i; j++) {
      const rowJ = j * n;
      let sum = a[rowI + j];
      for (let m = 0; m < j; m++) sum -= l[rowI + m] * l[rowJ + m];
      l[rowI + j] = sum / l[rowJ + j];
    }
    let pivot = a[rowI + i];
    for (let m = 0; m < i; m++) pivot -= l[rowI + m] * l[rowI + m];
    if (!(pivot > 1e-15 * Math.abs(a[rowI + i]))) throw new NotPositiveDefiniteError(i, n);
    l[rowI + i] = Math.sqrt(pivot);
  }
  return l;
}

/** Solves L·Z = B for n × m row-major B (m = 1: a vector). */
export function solveLower(l: Float64Array, n: number, b: Float64Array, m = 1): Float64Array {
  checkSize(b, n * m);
  const z = b.slice();
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) {
      const factor = l[i * n + k];
      if (factor === 0) continue;
      for (let c = 0; c < m; c++) z[i * m + c] -= factor * z[k * m + c];
    }
    const pivot = l[i * n + i];
    for (let c = 0; c < m; c++) z[i * m + c] /= pivot;
  }
  return z;
}

/** Solves Lᵀ·Z = B for n × m row-major B. */
export function solveLowerTransposed(
  l: Float64Array,
  n: number,
  b: Float64Array,
  m = 1,
): Float64Array {
  checkSize(b, n * m);
  const z = b.slice();
  for (let i = n - 1; i >= 0; i--) {
    const pivot = l[i * n + i];
    for (let c = 0; c < m; c++) z[i * m + c] /= pivot;
    for (let k = 0; k < i; k++) {
      const factor = l[i * n + k];
      if (factor === 0) continue;
      for (let c = 0; c < m; c++) z[k * m + c] -= factor * z[i * m + c];
    }
  }
  return z;
}

/** Solves A·Z = B from the Cholesky factor of A, for n × m row-major B. */
export function choleskySolve(l: Float64Array, n: number, b: Float64Array, m = 1): Float64Array {
  return solveLowerTransposed(l, n, solveLower(l, n, b, m), m);
}

/** A⁻¹, n × n, from the Cholesky factor of A. */
export function choleskyInverse(l: Float64Array, n: number): Float64Array {
  // Rows of W = L⁻¹ are built in place; A⁻¹ = Wᵀ·W, accumulated row by row.
  const w = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let k = 0; k < i; k++) {
      const factor = l[row + k];
      if (factor === 0) continue;
      const rowK = k * n;
      for (let c = 0; c <= k; c++) w[row + c] -= factor * w[rowK + c];
    }
    const pivot = l[row + i];
    for (let c = 0; c < i; c++) w[row + c] /= pivot;
    w[row + i] = 1 / pivot;
  }
  const inverse = new Float64Array(n * n);
  for (let k = 0; k < n; k++) {
    const row = k * n;
    for (let i = 0; i <= k; i++) {
      const factor = w[row + i];
      if (factor === 0) continue;
      const target = i * n;
      for (let j = i; j <= k; j++) inverse[target + j] += factor * w[row + j];
    }
  }
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) inverse[i * n + j] = inverse[j * n + i];
  }
  return inverse;
}

/** ln det A from the Cholesky factor of A. */
export function choleskyLogDet(l: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.log(l[i * n + i]);
  return 2 * sum;
}

/** A·B for A n × k and B k × m, row-major. */
export function multiply(
  a: Float64Array,
  b: Float64Array,
  n: number,
  k: number,
  m: number,
): Float64Array {
  checkSize(a, n * k);
  checkSize(b, k * m);
  const c = new Float64Array(n * m);
  for (let i = 0; i < n; i++) {
    for (let q = 0; q < k; q++) {
      const factor = a[i * k + q];
      if (factor === 0) continue;
      for (let j = 0; j < m; j++) c[i * m + j] += factor * b[q * m + j];
    }
  }
  return c;
}

/** Aᵀ·B for A n × k and B n × m, row-major. */
export function multiplyTransposed(
  a: Float64Array,
  b: Float64Array,
  n: number,
  k: number,
  m: number,
): Float64Array {
  checkSize(a, n * k);
  checkSize(b, n * m);
  const c = new Float64Array(k * m);
  for (let i = 0; i < n; i++) {
    for (let q = 0; q < k; q++) {
      const factor = a[i * k + q];
      if (factor === 0) continue;
      for (let j = 0; j < m; j++) c[q * m + j] += factor * b[i * m + j];
    }
  }
  return c;
}

/** aᵀ·b. */
export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
