/** The grid of frames on which a recording is looked at. */
import type { SoundPart } from './analysis.ts';

/**
 * Frame length and hop in samples: the power of two nearest 0.17 s, so that a tone gliding at 50 Hz/s stays
 * within about two bins (6 Hz each at 48 kHz), and a hop of half a frame.
 */
export function frameGrid(sampleRateHz: number): { frameSamples: number; hopSamples: number } {
  if (!(sampleRateHz >= 1000 && sampleRateHz <= 1e6))
    throw new RangeError(`a sampling rate of ${sampleRateHz} Hz`);
  const frameSamples = 2 ** Math.round(Math.log2(0.17 * sampleRateHz));
  return { frameSamples, hopSamples: frameSamples / 2 };
}

/** Seconds before a part's first counted frame in which the noise floor settles. */
const leadS = 40;

/**
 * Cuts a recording into `parts` pieces of about equal length for as many workers; join what they find with
 * `mergeAnalyses`, in order. Recordings too short to be worth it give fewer pieces.
 */
export function splitSound(
  lengthSamples: number,
  sampleRateHz: number,
  parts: number,
): SoundPart[] {
  const { frameSamples, hopSamples } = frameGrid(sampleRateHz);
  const lead = Math.ceil((leadS * sampleRateHz) / hopSamples);
  const frames = Math.max(1, Math.floor((lengthSamples - frameSamples) / hopSamples) + 1);
  const pieces = Math.max(1, Math.min(Math.floor(parts), Math.floor(frames / (2.5 * lead))));
  return Array.from({ length: pieces }, (_, i) => {
    const first = Math.floor((frames * i) / pieces);
    const end = Math.floor((frames * (i + 1)) / pieces);
    const last = i === pieces - 1;
    return {
      readFromSample: Math.max(0, first - lead) * hopSamples,
      readToSample: last ? lengthSamples : (end - 1) * hopSamples + frameSamples,
      countFromSample: first * hopSamples,
      countToSample: last ? lengthSamples : end * hopSamples,
    };
  });
}
