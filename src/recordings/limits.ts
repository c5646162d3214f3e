/** How large a recording may be before it is refused unread. */
export interface RecordingLimits {
  /** Size of the file, bytes. */
  maxBytes: number;
  /** Rows, track points or records in the file. */
  maxSamples: number;
  /** Records, laps and events in a FIT file: decoding them takes some microseconds each. */
  maxFitMessages: number;
}

/** A day of ten hours at 100 Hz has 3.6 million samples; a million FIT records are eleven days at 1 Hz. */
export const defaultLimits: RecordingLimits = {
  maxBytes: 256 * 1024 * 1024,
  maxSamples: 5_000_000,
  maxFitMessages: 1_000_000,
};
