/** What is known of a sound before its samples are looked at. */
export interface SoundFormat {
  sampleRateHz: number;
  channels: number;
  /** Samples of one channel; null where the file does not say and the end must be found. */
  lengthSamples: number | null;
  /** Such as `WAV, 16-bit PCM` or `MP3`, for people. */
  encoding: string;
  /**
   * When the recording began by the recorder's own clock, s since 1970-01-01T00:00; null or absent: the file does
   * not say. With `startClock` 'local' the file gives a time of day without a zone: it is counted as if that were
   * UTC, and the zone's offset has to be taken off.
   */
  startEpochS?: number | null;
  startClock?: 'utc' | 'local' | null;
  /** What the start is worth, for people: where it comes from, how fine it is, what recorders do with it. */
  startNote?: string | null;
}

/** How loud a sound is and whether the recorder ran out of range. */
export interface SoundLevels {
  durationS: number;
  /** Largest sample and root mean square, dB below full scale. */
  peakDbfs: number;
  rmsDbfs: number;
  /** Share of samples that sit at the recorder's limit, and the moments where they do. */
  clippedShare: number;
  clippedAtS: number[];
  /** Share of the time that is digital silence. */
  silentShare: number;
}

/** A tone followed over time, before anyone asks what made it. All in the sound's own clock. */
export interface ToneTrack {
  startS: number;
  endS: number;
  /** Power-weighted mean frequency, and its standard uncertainty. */
  hz: number;
  standardUncertaintyHz: number;
  /** Least-squares drift over the track. */
  driftHzPerS: number;
  /** Root mean square of the tone, dB below full scale, and above the noise in its own critical band. */
  levelDb: number;
  toneToNoiseDb: number;
  /** The frames of the track: time, frequency, level. At most some hundreds; thinned for long tracks. */
  timeS: number[];
  frequencyHz: number[];
  frameLevelDb: number[];
  /** Position in the list of tracks of the fundamental of which this is harmonic `harmonic`; null: none found. */
  harmonicOf: number | null;
  harmonic: number | null;
}

/** One pluck found in a recording of many. */
export interface PluckSound {
  atS: number;
  /** Until where it was analysed. */
  endS: number;
  /** Partials, strongest first: frequency with standard uncertainty, level, and Q where the decay shows it. */
  partials: {
    hz: number;
    standardUncertaintyHz: number;
    levelDb: number;
    q: number | null;
    /** Exponential decay time of the amplitude, s. */
    decayS: number | null;
  }[];
  /** Position in `partials` of the one that a listener would call the pitch. */
  fundamental: number;
  /** 0 to 1: how far it rings like a pluck; a tap or knock is near 0. */
  ringing: number;
  /** Why it should not be trusted, in words; empty: nothing against it. */
  doubts: string[];
}
