/** The one place that knows the FFT library (fft.js). */
import FFT from 'fft.js';

export interface RealFft {
  /** Samples of a frame: a power of two, 4 at least. */
  readonly size: number;
  /**
   * Reads `frame` (`size` reals) and fills `spectrum` (`size + 2` numbers: real and imaginary parts of bins
   * 0 … size/2), X_k = Σ x_j e^(−2πi jk/size). Both may be used again for the next frame.
   */
  transform(frame: Float64Array, spectrum: Float64Array): void;
}

/** Whether `size` is a length that the transform takes. */
export function isTransformSize(size: number): boolean {
  return Number.isInteger(size) && size >= 4 && 2 ** Math.round(Math.log2(size)) === size;
}

/**
 * A transform of real frames of one length. Two neighbouring samples go in as one complex number, so that the
 * library's complex transform runs at half the length; the halves are parted afterwards by the symmetry of a
 * real signal's spectrum (Press et al., Numerical Recipes, section "FFT of single real function": from memory).
 * Throws RangeError unless the size is a power of two.
 */
export function realFft(size: number): RealFft {
  if (!isTransformSize(size)) throw new RangeError(`an FFT of ${size} samples: not a power of two`);
  const half = size / 2;
  const fft = new FFT(half);
  const packed = new Float64Array(size);
  const cosine = new Float64Array(half / 2 + 1);
  const sine = new Float64Array(half / 2 + 1);
  for (let k = 0; k <= half / 2; k++) {
    cosine[k] = Math.cos((2 * Math.PI * k) / size);
    sine[k] = Math.sin((2 * Math.PI * k) / size);
  }
  return {
    size,
    transform(frame, spectrum) {
      fft.transform(packed, frame);
      spectrum[0] = packed[0] + packed[1];
      spectrum[1] = 0;
      spectrum[size] = packed[0] - packed[1];
      spectrum[size + 1] = 0;
      for (let k = 1; k <= half / 2; k++) {
        const a = 2 * k;
        const b = size - a;
        const evenRe = (packed[a] + packed[b]) / 2;
        const evenIm = (packed[a + 1] - packed[b + 1]) / 2;
        const oddRe = (packed[a + 1] + packed[b + 1]) / 2;
        const oddIm = (packed[b] - packed[a]) / 2;
        const turnRe = oddRe * cosine[k] + oddIm * sine[k];
        const turnIm = oddIm * cosine[k] - oddRe * sine[k];
        spectrum[a] = evenRe + turnRe;
        spectrum[a + 1] = evenIm + turnIm;
        spectrum[b] = evenRe - turnRe;
        spectrum[b + 1] = turnIm - evenIm;
      }
    },
  };
}
