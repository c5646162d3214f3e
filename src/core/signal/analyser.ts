/** A recording read once from front to back, whatever its length, in little memory. */
import type { AnalyserOptions, AnalysisPart, SoundAnalysis } from './analysis.ts';
import { decimator } from './decimator.ts';
import { deepGrid, frameGrid } from './frames.ts';
import { levelMeter } from './levels.ts';
import { mergeAnalyses } from './merge.ts';
import { overviewBuilder, rowEdges } from './overview.ts';
import { toneBand } from './tone-band.ts';

export interface SoundAnalyser {
  /** The next samples of one channel, ±1 being full scale; any number. They are not kept. */
  push(mono: Float32Array): void;
  /** The result when the whole recording went through one analyser. */
  finish(): SoundAnalysis;
  /** The contribution of one part, for `mergeAnalyses`. */
  finishPart(): AnalysisPart;
}

/** Deep tones do not glide faster than this by what is looked for in long frames, Hz/s. */
const mostDeepDrift = 30;

/**
 * Streams a recording: push its samples, then ask. Finds levels, tone tracks, mean spectrum and a picture. Memory does
 * not grow with length. Throws RangeError for a sampling rate outside 1 kHz to 1 MHz or limits that leave no band.
 */
export function soundAnalyser(sampleRateHz: number, options: AnalyserOptions = {}): SoundAnalyser {
  const { frameSamples: n, hopSamples: hop } = frameGrid(sampleRateHz);
  const deep = deepGrid(sampleRateHz);
  const binHz = sampleRateHz / n;
  const lowestHz = options.lowestHz ?? 80;
  const highestHz = options.highestHz ?? Math.min(12000, 0.45 * sampleRateHz);
  const from = Math.max(4, Math.ceil(lowestHz / binHz));
  const to = Math.min(n / 2 - 4, Math.floor(highestHz / binHz));
  if (to - from < 64)
    throw new RangeError(`no band to look at between ${lowestHz} and ${highestHz} Hz`);
  const { part } = options;
  const readFrom = part?.readFromSample ?? 0;
  const deepHop = deep.hopSamples * deep.factor;
  if (readFrom % deepHop !== 0) throw new RangeError(`a part may not start at sample ${readFrom}`);
  const countFrom = part?.countFromSample ?? 0;
  const countTo = part?.countToSample ?? Infinity;

  // Σw² = 3n/8, Σw = n/2 for a Hann window.
  const peakToMeanSquare = 2 / ((n / 2) * (n / 2));
  const toDensity = 2 / (sampleRateHz * ((3 * n) / 8));
  const psdSum = new Float64Array(n / 2 + 1);
  let position = readFrom;
  let firstFrame = -1;
  let frames = 0;

  const meter = levelMeter(sampleRateHz, options.clippingLevel);
  const overview = overviewBuilder(rowEdges(from, to), peakToMeanSquare);
  const wide = toneBand({
    sampleRateHz,
    frameSamples: n,
    from,
    to,
    readFrom,
    countFrom,
    countTo,
    mostDriftHzPerS: options.mostDriftHzPerS ?? 60,
    longestGapS: options.longestGapS,
    onFrame(frame, power) {
      if (firstFrame < 0) firstFrame = frame;
      frames++;
      for (let k = 0; k <= n / 2; k++) psdSum[k] += power[k];
      overview.add(frame, power);
    },
  });
  const slower = decimator(deep.factor);
  const deepBinHz = sampleRateHz / deep.factor / deep.frameSamples;
  const deepFrom = Math.max(8, Math.ceil(lowestHz / deepBinHz));
  const deepTo = Math.floor(Math.min(deep.highestHz, highestHz) / deepBinHz);
  const low =
    deepTo - deepFrom < 64
      ? null
      : toneBand({
          sampleRateHz: sampleRateHz / deep.factor,
          frameSamples: deep.frameSamples,
          from: deepFrom,
          to: deepTo,
          readFrom: readFrom / deep.factor,
          countFrom: countFrom / deep.factor,
          countTo: countTo / deep.factor,
          mostDriftHzPerS: Math.min(mostDeepDrift, options.mostDriftHzPerS ?? Infinity),
          longestGapS: options.longestGapS,
        });

  function push(mono: Float32Array): void {
    const a = Math.min(mono.length, Math.max(0, countFrom - position));
    const b = Math.min(mono.length, Math.max(0, countTo - position));
    if (b > a) meter.push(mono, a, b, position + a);
    wide.push(mono);
    low?.push(slower.push(mono));
    position += mono.length;
  }

  function finishPart(): AnalysisPart {
    // A recording shorter than a frame is looked at with silence behind it.
    if (part === undefined) wide.completeShort();
    const found = wide.finish();
    const deepFound = low?.finish() ?? { tracks: [], leftOut: 0 };
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
      deepTracks: deepFound.tracks,
      tracksLeftOut: found.leftOut + deepFound.leftOut,
      mostTracks: options.mostTracks ?? 400,
    };
  }

  return { push, finishPart, finish: () => mergeAnalyses([finishPart()]) };
}
