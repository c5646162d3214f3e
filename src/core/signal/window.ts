/** Windows for spectra, and what they do to level and resolution. */

export type WindowKind =
  'rectangular' | 'hann' | 'blackman-harris' | 'flat-top' | { kaiser: number };

/**
 * A window of `n` weights with its largest at n/2, periodic: the weight that would close the period is left
 * out, as spectra want it. Cosine sums: Hann; 4-term minimum Blackman-Harris and the definitions as in F. J. Harris
 * (1978), Proc. IEEE 66:51; flat top with the five terms that SciPy documents (`scipy.signal.windows.flattop`);
 * Kaiser by its Bessel function with the given beta. Throws RangeError for n below 1.
 */
export function windowOf(kind: WindowKind, n: number): Float64Array {
  if (!(Number.isInteger(n) && n >= 1)) throw new RangeError(`a window of ${n} samples`);
  const weights = new Float64Array(n);
  if (n === 1) return weights.fill(1);
  if (typeof kind === 'object') {
    const top = besselI0(kind.kaiser);
    for (let i = 0; i < n; i++) {
      const x = (2 * i) / n - 1;
      weights[i] = besselI0(kind.kaiser * Math.sqrt(Math.max(0, 1 - x * x))) / top;
    }
    return weights;
  }
  const terms = cosineTerms[kind];
  for (let i = 0; i < n; i++) {
    let sum = 0;
    terms.forEach((a, j) => (sum += (j % 2 ? -a : a) * Math.cos((2 * Math.PI * j * i) / n)));
    weights[i] = sum;
  }
  return weights;
}

const cosineTerms = {
  rectangular: [1],
  hann: [0.5, 0.5],
  'blackman-harris': [0.35875, 0.48829, 0.14128, 0.01168],
  'flat-top': [0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368],
};

/** Modified Bessel function of the first kind, order 0, by its power series (all terms positive: no cancellation). */
function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return sum;
}

/** Noise bandwidth in bins, n·Σw²/(Σw)²: 1.5 for Hann (Harris 1978, table 1). */
export function noiseBandwidthBins(window: Float64Array): number {
  let sum = 0;
  let squares = 0;
  for (const w of window) {
    sum += w;
    squares += w * w;
  }
  return (window.length * squares) / (sum * sum);
}
