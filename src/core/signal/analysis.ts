/** What the analyser of a whole recording gives, and how it is told what to look for. */
import type { SoundLevels, ToneTrack } from '../evidence/index.ts';
import type { Ticking } from './ticking.ts';
import type { TrackRecord } from './track-record.ts';
import type { Voice } from './voices.ts';

export interface AnalyserOptions {
  /** Tones are looked for from here … Hz, default 80 … */
  lowestHz?: number;
  /** … to here; default 12 kHz or 0.45 of the sampling rate, whichever is less. */
  highestHz?: number;
  /** A tone that glides faster is lost; default 60 Hz/s. */
  mostDriftHzPerS?: number;
  /** A tone may be gone this long and still be the same, default 0.45 s. */
  longestGapS?: number;
  /** Tracks that the result keeps, most certain first; default 400. */
  mostTracks?: number;
  /** A sample at or above this counts as clipped where its neighbour does too; default 0.999 of full scale. */
  clippingLevel?: number;
  /** Only this piece of a longer recording, see `splitSound`; times stay those of the recording. */
  part?: SoundPart;
}

/** A piece of a recording for one worker: samples to hand in, and those of them that count. */
export interface SoundPart {
  /** First sample to push; earlier than `countFromSample` so that the noise floor is known when counting begins. */
  readFromSample: number;
  /** Where pushing ends (this sample is not read any more). */
  readToSample: number;
  countFromSample: number;
  countToSample: number;
}

/** The loudest there was in each cell of time and frequency, small enough to draw whatever the length. */
export interface Overview {
  /** Middle of each column, s; columns are equally wide (`columnS`). */
  timeS: Float64Array;
  columnS: number;
  /** Middle of each row, Hz, and the edges between rows (one more); about equally wide by ratio, one bin at least. */
  hz: Float64Array;
  edgesHz: Float64Array;
  /**
   * Column after column, each from the lowest row up. `decibelsOf` gives dB below full scale of a tone
   * that would fill the strongest bin; half-decibel steps.
   */
  levelDb: Uint8Array;
}

/** Plain data (may be posted between threads): what one part contributes before parts are joined. */
export interface AnalysisPart {
  sampleRateHz: number;
  frameSamples: number;
  hopSamples: number;
  /** Number of the first frame that counts, on the recording's grid, and how many count. */
  firstFrame: number;
  frames: number;
  countedSamples: number;
  peak: number;
  sumOfSquares: number;
  clippedSamples: number;
  clippedAtS: number[];
  silentSamples: number;
  /** Sum over frames of |X|², one-sided density once divided by `frames`. */
  psdSum: Float64Array;
  overview: { framesPerColumn: number; edges: Int32Array; firstColumn: number; cells: Uint8Array };
  tracks: TrackRecord[];
  /** Tracks of the deep band, on the grid of `deepGrid`. */
  deepTracks: TrackRecord[];
  tracksLeftOut: number;
  mostTracks: number;
}

export interface SoundAnalysis {
  levels: SoundLevels;
  /** By time of start. */
  tracks: ToneTrack[];
  /** Regular ticking that would have looked like many tones; taken out of `tracks`. */
  ticking: Ticking[];
  /** Voices and horns, taken out of `tracks` too. */
  voices: Voice[];
  /** Found but not kept, because there were more than `mostTracks`. */
  tracksLeftOut: number;
  /** One-sided mean power density over the whole recording, full scale²/Hz. */
  spectrum: { hz: Float64Array; psd: Float64Array };
  overview: Overview;
  /** Length of a frame and step between frames, s: the grain of everything above. */
  frameS: number;
  hopS: number;
}

/** dB below full scale for a cell of the overview; 0 is the quietest there is to tell, −127.5 dB. */
export function decibelsOf(cell: number): number {
  return cell / 2 - 127.5;
}
