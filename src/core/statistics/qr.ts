/**
 * Householder QR with column scaling and column pivoting (Businger & Golub 1965, Numer Math 7:269):
 * A·D·Π = Q·R, D making the columns of unit length.
 */
export interface QrFactor {
  n: number;
  p: number;
  /** Columns one after another (column-major); below the diagonal the Householder vectors. */
  a: Float64Array;
  /** Diagonal of R. */
  diagonal: Float64Array;
  beta: Float64Array;
  /** Column of A that stands at each place. */
  pivot: Int32Array;
  /** 1 / length of each column of A, by place. */
  scale: Float64Array;
  rank: number;
}

/** Factors an n × p row-major matrix, n ≥ p. `rankTolerance` against the largest diagonal of R. */
export function qrFactor(x: Float64Array, n: number, p: number, rankTolerance = 1e-14): QrFactor {
  const a = new Float64Array(n * p);
  const pivot = new Int32Array(p);
  const scale = new Float64Array(p);
  for (let j = 0; j < p; j++) {
    let length = 0;
    for (let i = 0; i < n; i++) length = Math.hypot(length, x[i * p + j]);
    pivot[j] = j;
    // A power of two, so that scaling rounds nothing.
    scale[j] = length > 0 ? 2 ** -Math.round(Math.log2(length)) : 1;
    for (let i = 0; i < n; i++) a[j * n + i] = x[i * p + j] * scale[j];
  }
  const diagonal = new Float64Array(p);
  const beta = new Float64Array(p);
  let rank = p;
  for (let k = 0; k < p; k++) {
    let best = k;
    let bestLength = -1;
    for (let j = k; j < p; j++) {
      let sum = 0;
      for (let i = k; i < n; i++) sum += a[j * n + i] ** 2;
      if (sum > bestLength) {
        bestLength = sum;
        best = j;
      }
    }
    if (best !== k) swapColumns(a, n, pivot, scale, k, best);
    const column = a.subarray(k * n, (k + 1) * n);
    const length = Math.sqrt(bestLength);
    if (!(length > rankTolerance * (k === 0 ? 1 : Math.abs(diagonal[0]))) || length === 0) {
      rank = k;
      break;
    }
    const head = column[k];
    diagonal[k] = head > 0 ? -length : length;
    column[k] = head - diagonal[k];
    beta[k] = 1 / (length * (length + Math.abs(head)));
    for (let j = k + 1; j < p; j++) reflect(column, beta[k], k, a.subarray(j * n, (j + 1) * n));
  }
  return { n, p, a, diagonal, beta, pivot, scale, rank };
}

function swapColumns(
  a: Float64Array,
  n: number,
  pivot: Int32Array,
  scale: Float64Array,
  j: number,
  k: number,
): void {
  for (let i = 0; i < n; i++) {
    [a[j * n + i], a[k * n + i]] = [a[k * n + i], a[j * n + i]];
  }
  [pivot[j], pivot[k]] = [pivot[k], pivot[j]];
  [scale[j], scale[k]] = [scale[k], scale[j]];
}

function reflect(v: Float64Array, beta: number, k: number, target: Float64Array): void {
  let sum = 0;
  for (let i = k; i < target.length; i++) sum += v[i] * target[i];
  sum *= beta;
  if (sum !== 0) for (let i = k; i < target.length; i++) target[i] -= sum * v[i];
}

/** Qᵀ·b, in place. */
export function applyQTransposed({ n, a, beta, rank }: QrFactor, b: Float64Array): Float64Array {
  for (let k = 0; k < rank; k++) reflect(a.subarray(k * n, (k + 1) * n), beta[k], k, b);
  return b;
}

/** Q·b, in place. */
export function applyQ({ n, a, beta, rank }: QrFactor, b: Float64Array): Float64Array {
  for (let k = rank - 1; k >= 0; k--) reflect(a.subarray(k * n, (k + 1) * n), beta[k], k, b);
  return b;
}

/** Solves R·z = b (first p numbers of b), in the pivoted and scaled order. */
export function solveR({ n, p, a, diagonal }: QrFactor, b: Float64Array): Float64Array {
  const z = b.slice(0, p);
  for (let i = p - 1; i >= 0; i--) {
    for (let j = i + 1; j < p; j++) z[i] -= a[j * n + i] * z[j];
    z[i] /= diagonal[i];
  }
  return z;
}

/** Solves Rᵀ·z = b. */
export function solveRTransposed({ n, p, a, diagonal }: QrFactor, b: Float64Array): Float64Array {
  const z = b.slice(0, p);
  for (let i = 0; i < p; i++) {
    for (let j = 0; j < i; j++) z[i] -= a[i * n + j] * z[j];
    z[i] /= diagonal[i];
  }
  return z;
}

/** (AᵀA)⁻¹, p × p row-major, in the order and scale of A. */
export function inverseNormal(qr: QrFactor): Float64Array {
  const { p, pivot, scale } = qr;
  const columns = Array.from({ length: p }, (_, k) => {
    const unit = new Float64Array(p);
    unit[k] = 1;
    return solveR(qr, solveRTransposed(qr, unit));
  });
  const inverse = new Float64Array(p * p);
  for (let j = 0; j < p; j++) {
    for (let i = 0; i < p; i++) {
      inverse[pivot[i] * p + pivot[j]] = columns[j][i] * scale[i] * scale[j];
    }
  }
  return inverse;
}
