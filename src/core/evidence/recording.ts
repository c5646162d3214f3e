import type { Problem } from '../units/index.ts';

/** Channels a ride recording may carry, SI units in the names but degrees and hPa where the trade uses them. */
export const channelNames = [
  'speedMps',
  'powerW',
  'altitudeM',
  'distanceM',
  'latDeg',
  'lonDeg',
  'airspeedMps',
  'yawDeg',
  'dynamicPressurePa',
  'temperatureC',
  'pressureHPa',
  'humidityPercent',
  'cadenceRpm',
] as const;

export type ChannelName = (typeof channelNames)[number];

/** A stretch of time within a recording, seconds from its first sample. */
export interface Span {
  fromS: number;
  toS: number;
}

/**
 * One ride recording, whatever file it came from. Columns share one clock; a missing value is NaN.
 */
export interface Recording {
  /** File name as the person knows it, for messages. */
  file: string;
  format: 'fit' | 'tcx' | 'gpx' | 'csv';
  /** Seconds from the first sample; strictly increasing, finite, first value 0. */
  timeS: Float64Array;
  /** Clock time of the first sample, seconds since 1970-01-01 UTC; null when the file has no clock. */
  startEpochS: number | null;
  /**
   * What the file's own clock showed at the first sample, s, when that clock is no calendar clock: runs
   * whose clocks go on from file to file can be put in order by it. Absent or null: unknown.
   */
  startClockS?: number | null;
  /** Only channels of which the file has at least one value. Each as long as `timeS`. */
  channels: Partial<Record<ChannelName, Float64Array>>;
  /**
   * Times at which a lap begins or ends, seconds, increasing. A file with n lap marks pressed has
   * n + 1 stretches: before the first, between each two, after the last.
   */
  lapMarksS: Float64Array;
  /** Stretches in which the device was paused (timer stopped), or recorded nothing for over 5 s. */
  pauses: Span[];
  /** What a person should know about this file. */
  warnings: Problem[];
}
