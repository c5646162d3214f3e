/** A recording read once from front to back, whatever its length, in little memory. */
import type { AnalyserOptions, AnalysisPart, SoundAnalysis } from './analysis.ts';
import { criticalBandHz } from './critical-band.ts';
import { realFft } from './fft.ts';
import { frameGrid } from './frames.ts';
import { levelMeter } from './levels.ts';
import { linker } from './linking.ts';
import { mergeAnalyses } from './merge.ts';
import { noiseFloor } from './noise-floor.ts';
import { overviewBuilder, rowEdges } from './overview.ts';
import { findPeaks, peakList } from './peaks.ts';
import { windowOf } from './window.ts';

export interface SoundAnalyser {
  /** The next samples of one channel, ±1 being full scale; any number. They are not kept. */
  push(mono: Float32Array): void;
  /** The result when the whole recording went through one analyser. */
  finish(): SoundAnalysis;
  /** The contribution of one part, for `mergeAnalyses`. */
  finishPart(): AnalysisPart;
}

/** A peak is looked at from this many times the noise's mean power on (7.8 dB). */
const leastExcess = 6;

/**
 * Streams a recording: push its samples, then ask. Finds levels, tone tracks, mean spectrum and a picture. Memory does
 * not grow with length. Throws RangeError for a sampling rate outside 1 kHz to 1 MHz or limits that leave no band.
 */
export function soundAnalyser(sampleRateHz: number, options: AnalyserOptions = {}): SoundAnalyser {
  const { frameSamples: n, hopSamples: hop } = frameGrid(sampleRateHz);
  const binHz = sampleRateHz / n;
  const highestHz = options.highestHz ?? Math.min(12000, 0.45 * sampleRateHz);
  const from = Math.max(4, Math.ceil((options.lowestHz ?? 80) / binHz));
  const to = Math.min(n / 2 - 4, Math.floor(highestHz / binHz));
  if (to - from < 64)
    throw new RangeError(
      `no band to look at between ${options.lowestHz ?? 80} and ${highestHz} Hz`,
    );
  const { part } = options;
  const readFrom = part?.readFromSample ?? 0;
  if (readFrom % hop !== 0) throw new RangeError(`a part may not start at sample ${readFrom}`);
  const countFrom = part?.countFromSample ?? 0;
  const countTo = part?.countToSample ?? Infinity;

  const window = windowOf('hann', n);
  // Σw² = 3n/8, Σw = n/2 for a Hann window.
  const peakToMeanSquare = 2 / ((n / 2) * (n / 2));
  const sumToMeanSquare = peakToMeanSquare / 1.5;
  const toDensity = 2 / (sampleRateHz * ((3 * n) / 8));
  const fft = realFft(n);
  const frame = new Float64Array(n);
  const spectrum = new Float64Array(n + 2);
  const power = new Float64Array(n / 2 + 1);
  const psdSum = new Float64Array(n / 2 + 1);
  const held = new Float32Array(n);
  let filled = 0;
  let position = readFrom;
  let frameNumber = readFrom / hop;
  let firstFrame = -1;
  let frames = 0;

  const meter = levelMeter(sampleRateHz, options.clippingLevel);
  const noise = noiseFloor(from, to, n / 2 + 1);
  const peaks = peakList(to - from);
  const overview = overviewBuilder(rowEdges(from, to), peakToMeanSquare);
  const tracks = linker(
    {
      binHz,
      hopS: hop / sampleRateHz,
      frameSamples: n,
      mostDriftHzPerS: options.mostDriftHzPerS ?? 60,
      longestGapS: options.longestGapS ?? 0.45,
      criticalNoise: (hz, floor) => floor * toDensity * criticalBandHz(hz),
    },
    n / 2 + 1,
  );

  function analyse(): void {
    for (let i = 0; i < n; i++) frame[i] = held[i] * window[i];
    fft.transform(frame, spectrum);
    for (let k = 0; k <= n / 2; k++) {
      const re = spectrum[2 * k];
      const im = spectrum[2 * k + 1];
      power[k] = re * re + im * im;
    }
    noise.update(power);
    findPeaks(power, noise.floor, from, to, leastExcess, sumToMeanSquare, peaks);
    const counts = frameNumber * hop >= countFrom && frameNumber * hop < countTo;
    if (frameNumber * hop < countTo) tracks.step(frameNumber, peaks, noise.mean, counts);
    if (counts) {
      if (firstFrame < 0) firstFrame = frameNumber;
      frames++;
      for (let k = 0; k <= n / 2; k++) psdSum[k] += power[k];
      overview.add(frameNumber, power);
    }
    frameNumber++;
  }

  function push(mono: Float32Array): void {
    const a = Math.min(mono.length, Math.max(0, countFrom - position));
    const b = Math.min(mono.length, Math.max(0, countTo - position));
    if (b > a) meter.push(mono, a, b, position + a);
    for (let i = 0; i < mono.length;) {
      const take = Math.min(n - filled, mono.length - i);
      held.set(i === 0 && take === mono.length ? mono : mono.subarray(i, i + take), filled);
      filled += take;
      i += take;
      if (filled === n) {
        analyse();
        held.copyWithin(0, hop);
        filled = n - hop;
      }
    }
    position += mono.length;
  }

  function finishPart(): AnalysisPart {
    // A recording shorter than a frame is looked at with silence behind it.
    if (frames === 0 && filled > 0 && part === undefined) {
      held.fill(0, filled);
      analyse();
    }
    const found = tracks.finish();
    for (let k = 0; k <= n / 2; k++) psdSum[k] *= toDensity * (k === 0 || k === n / 2 ? 0.5 : 1);
    return {
      sampleRateHz,
      frameSamples: n,
      hopSamples: hop,
      firstFrame: Math.max(0, firstFrame),
      frames,
      countedSamples: meter.countedSamples,
      peak: meter.peak,
      sumOfSquares: meter.sumOfSquares,
      clippedSamples: meter.clippedSamples,
      clippedAtS: meter.clippedAtS,
      silentSamples: meter.silentSamples,
      psdSum,
      overview: overview.finish(),
      tracks: found.tracks,
      tracksLeftOut: found.leftOut,
      mostTracks: options.mostTracks ?? 400,
    };
  }

  return { push, finishPart, finish: () => mergeAnalyses([finishPart()]) };
}
