/** Power spectra by averaging over windowed, overlapping segments: P. D. Welch (1967), IEEE Trans. Audio Electroacoust. 15:70. */
import { isTransformSize, realFft } from './fft.ts';
import { windowOf, type WindowKind } from './window.ts';

export interface WelchOptions {
  /** Samples of a segment, a power of two; default 8192, or what fits. */
  segment?: number;
  /** Samples that neighbouring segments share; default half a segment. */
  overlap?: number;
  window?: WindowKind;
  /** Taken off each segment first; default the mean. */
  detrend?: 'constant' | 'none';
  /** Density per Hz (noise), or the mean square of a sine at its bin (tones). Default density. */
  scaling?: 'density' | 'spectrum';
}

export interface Spectrum {
  /** Centre of each bin, 0 to half the sampling rate. */
  hz: Float64Array;
  /** One-sided: units²/Hz (density) or units² (spectrum). */
  psd: Float64Array;
  /** Segments that were averaged. */
  segments: number;
}

/**
 * One-sided power spectrum of real samples, scaled as `scipy.signal.welch` scales (density: |X|²/(fs·Σw²);
 * spectrum: |X|²/(Σw)²; twice that but at 0 and at half the sampling rate). Samples after the last whole segment are
 * left out. Throws RangeError when the segment is no power of two, the overlap does not fit, or the samples
 * are fewer than one segment.
 */
export function welch(
  samples: ArrayLike<number>,
  sampleRateHz: number,
  options: WelchOptions = {},
): Spectrum {
  const fitting = 2 ** Math.floor(Math.log2(Math.max(1, samples.length)));
  const segment = options.segment ?? Math.min(8192, fitting);
  if (!isTransformSize(segment))
    throw new RangeError(`a segment of ${segment} samples: not a power of two`);
  const overlap = options.overlap ?? segment / 2;
  if (!(Number.isInteger(overlap) && overlap >= 0 && overlap < segment))
    throw new RangeError(`an overlap of ${overlap} does not fit a segment of ${segment} samples`);
  if (samples.length < segment)
    throw new RangeError(`${samples.length} samples are fewer than a segment of ${segment}`);
  if (!(sampleRateHz > 0)) throw new RangeError(`a sampling rate of ${sampleRateHz} Hz`);

  const window = windowOf(options.window ?? 'hann', segment);
  const fft = realFft(segment);
  const frame = new Float64Array(segment);
  const spectrum = new Float64Array(segment + 2);
  const psd = new Float64Array(segment / 2 + 1);
  let segments = 0;
  for (let start = 0; start + segment <= samples.length; start += segment - overlap) {
    let mean = 0;
    if (options.detrend !== 'none') {
      for (let i = 0; i < segment; i++) mean += samples[start + i];
      mean /= segment;
    }
    for (let i = 0; i < segment; i++) frame[i] = (samples[start + i] - mean) * window[i];
    fft.transform(frame, spectrum);
    for (let k = 0; k < psd.length; k++) psd[k] += spectrum[2 * k] ** 2 + spectrum[2 * k + 1] ** 2;
    segments++;
  }
  let sum = 0;
  let squares = 0;
  for (const w of window) {
    sum += w;
    squares += w * w;
  }
  const whole = (options.scaling === 'spectrum' ? sum * sum : sampleRateHz * squares) * segments;
  for (let k = 0; k < psd.length; k++) psd[k] *= (k === 0 || k === segment / 2 ? 1 : 2) / whole;
  const hz = Float64Array.from(psd, (_, k) => (k * sampleRateHz) / segment);
  return { hz, psd, segments };
}
