/** What a recording holds, for lists and drawings. */
import type { ChannelName, Recording } from '../core/evidence/index.ts';
import type { RecordingTrace, StoredRecording } from './contract.ts';

/** Points in a trace at most: more than a wide screen has columns. */
export const maximumTracePoints = 2000;

/** One line's worth of a recording. */
export function summarise(recording: Recording): NonNullable<StoredRecording['summary']> {
  const { timeS, channels } = recording;
  return {
    startEpochS: recording.startEpochS,
    durationS: timeS.length === 0 ? 0 : timeS[timeS.length - 1],
    samples: timeS.length,
    channels: Object.keys(channels),
    lapMarks: recording.lapMarksS.length,
    meanPowerW: meanOf(channels.powerW, 0, timeS.length),
    meanSpeedMps: meanOf(channels.speedMps, 0, timeS.length),
  };
}

/**
 * Track and traces thinned to `points` at most: equal groups of neighbouring samples, each channel
 * the mean of the values it has in the group, a position the group's first. A group without a value
 * is null, so that a dropout stays visible.
 */
export function traceOf(recording: Recording, points = maximumTracePoints): RecordingTrace {
  const { timeS, channels } = recording;
  const size = Math.max(1, Math.ceil(timeS.length / points));
  const starts = Array.from({ length: Math.ceil(timeS.length / size) }, (_, index) => index * size);
  const means = (name: ChannelName): (number | null)[] =>
    starts.map((start) => meanOf(channels[name], start, start + size));
  const firsts = (name: ChannelName): (number | null)[] =>
    starts.map((start) => firstOf(channels[name], start, start + size));
  return {
    file: recording.file,
    timeS: starts.map((start) => timeS[start]),
    speedMps: means('speedMps'),
    powerW: means('powerW'),
    altitudeM: means('altitudeM'),
    airspeedMps: means('airspeedMps'),
    latDeg: firsts('latDeg'),
    lonDeg: firsts('lonDeg'),
    lapMarksS: [...recording.lapMarksS],
  };
}

function meanOf(values: Float64Array | undefined, from: number, to: number): number | null {
  if (!values) return null;
  let sum = 0;
  let count = 0;
  for (let index = from; index < Math.min(to, values.length); index++) {
    if (Number.isNaN(values[index])) continue;
    sum += values[index];
    count++;
  }
  return count === 0 ? null : sum / count;
}

function firstOf(values: Float64Array | undefined, from: number, to: number): number | null {
  if (!values) return null;
  const found = values.subarray(from, to).find((value) => !Number.isNaN(value));
  return found ?? null;
}
