/** A sound that is open: what is known of it, and its samples in pieces. */
import type { SoundFormat } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';

/** A part of a sound, in seconds from its first sample: from `fromS` on, up to but without `toS`. */
export interface SoundPart {
  fromS?: number;
  toS?: number;
  /** The arrays of a block need hold only until the next one is asked for: an hour then needs the memory of a moment. */
  passing?: boolean;
}

export interface Sound {
  format: SoundFormat;
  /**
   * What is wrong with the file and did not keep it from being read. Some faults are met only while reading: the
   * list is whole once `blocks` has run to its end.
   */
  warnings: Problem[];
  /**
   * The samples of a part, full scale = 1, one array a channel, at most `blockSamples` at a time. The arrays of a
   * block belong to the reader, unless `passing`. Can be called again, from any place. Throws LapbenchError where reading cannot go on.
   */
  blocks(part?: SoundPart): AsyncIterable<Float32Array[]>;
}

/** Longest block in samples of one channel. */
export const blockSamples = 65_536;

/** What a sound may be, so that a damaged header cannot ask for all memory. */
export const limits = {
  lowestRateHz: 8_000,
  highestRateHz: 768_000,
  channels: 32,
};

/** Throws unless rate and number of channels are ones that a recorder makes. */
export function requireLayout(sampleRateHz: number, channels: number, file: string): void {
  const problems: Problem[] = [];
  if (!(channels >= 1 && channels <= limits.channels)) {
    problems.push({
      code: 'sound-limits',
      file,
      message: `The file says that it has ${channels} channels; 1 to ${limits.channels} are read.`,
      remedy:
        channels === 0
          ? 'The header is damaged: save the sound again with a sound editor, as WAV.'
          : 'Export the channels that matter from a sound editor, as WAV.',
    });
  }
  if (!(sampleRateHz >= limits.lowestRateHz && sampleRateHz <= limits.highestRateHz)) {
    problems.push({
      code: 'sound-limits',
      file,
      message: `The file says that it has ${sampleRateHz} samples a second; ${limits.lowestRateHz} to ${limits.highestRateHz} are read.`,
      remedy: 'Record at 44 100 or 48 000 Hz, or convert the file with a sound editor.',
    });
  }
  if (problems.length > 0) throw new LapbenchError(problems);
}

/** First sample of a part and the one after its last; the end is Infinity where the length is not known. */
export function samplesOf(
  part: SoundPart,
  sampleRateHz: number,
  lengthSamples: number | null,
): { from: number; to: number } {
  const { fromS = 0, toS = Infinity } = part;
  if (Number.isNaN(fromS) || Number.isNaN(toS)) throw new RangeError('a part needs numbers');
  const end = lengthSamples ?? Infinity;
  const at = (s: number): number => Math.min(end, Math.max(0, Math.round(s * sampleRateHz)));
  const from = at(fromS);
  return { from, to: Math.max(from, at(toS)) };
}
