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

/** Frames of the deep band are this many times as long. */
const deepTimes = 2;
/** Up to here spokes sound and lie close together, Hz. */
const deepHighestHz = 1200;

/**
 * Frames for deep tones, twice as long, of the recording slowed down by `factor` (a power of two that leaves 4 kHz): tones some 6 Hz
 * apart are parted and weak ones stand out more, while what glides fast is better seen in short frames. Samples are those of the slower recording.
 */
export function deepGrid(sampleRateHz: number): {
  factor: number;
  frameSamples: number;
  hopSamples: number;
  highestHz: number;
} {
  const factor = 2 ** Math.max(0, Math.floor(Math.log2(sampleRateHz / 4000)));
  const frameSamples = (deepTimes * frameGrid(sampleRateHz).frameSamples) / factor;
  const highestHz = Math.min(deepHighestHz, (0.3 * sampleRateHz) / factor);
  return { factor, frameSamples, hopSamples: frameSamples / 2, highestHz };
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
      // On the grid of the long frames too.
      readFromSample: Math.max(0, deepTimes * Math.floor((first - lead) / deepTimes)) * hopSamples,
      readToSample: last ? lengthSamples : (end - 1) * hopSamples + frameSamples,
      countFromSample: first * hopSamples,
      countToSample: last ? lengthSamples : end * hopSamples,
    };
  });
}
