import { FitWriter } from '@markw65/fit-file-writer';
import type { ChannelName, Recording } from '../../src/core/evidence/index.ts';
import type { ProblemCode } from '../../src/core/units/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import type { ReadOptions } from '../../src/recordings/index.ts';
import { readRecording, writeFit } from '../../src/recordings/index.ts';

/** An invented start: 2026-05-17 08:00 UTC. */
export const startEpochS = Date.UTC(2026, 4, 17, 8) / 1000;

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

export function readCsvText(text: string, options?: ReadOptions): Recording {
  return readRecording(bytesOf(text), 'run.csv', options);
}

/** A CSV with the usual columns from rows of numbers. */
export function csv(header: string, rows: readonly (readonly (number | string)[])[]): string {
  return [header, ...rows.map((row) => row.join(','))].join('\n') + '\n';
}

/** Rows of an even ride at 1 Hz at the times given. */
export function evenRide(timesS: readonly number[]): string {
  return csv(
    'time_s,speed_mps,power_w',
    timesS.map((t) => [t, 10, 250]),
  );
}

export const seconds = (n: number, from = 0): number[] =>
  Array.from({ length: n }, (_, i) => from + i);

export const codes = (recording: Recording): ProblemCode[] =>
  recording.warnings.map(({ code }) => code);

/** The problem that reading throws; fails the test when it reads. */
export function refusal(read: () => unknown): LapbenchError['problems'][number] {
  try {
    read();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems[0];
    throw error;
  }
  throw new Error('was read, and should have been refused');
}

/** A FIT file of an even ride on which every channel has a value that the format keeps exactly. */
export function smallFit(
  n = 60,
  more: { lapMarksS?: number[]; pauses?: { fromS: number; toS: number }[]; timeS?: number[] } = {},
): Uint8Array {
  const timeS = more.timeS ?? seconds(n);
  const every = (f: (t: number) => number): number[] => timeS.map(f);
  const channels: Partial<Record<ChannelName, number[]>> = {
    speedMps: every((t) => 10 + (t % 5) / 8),
    powerW: every((t) => 250 + (t % 7)),
    altitudeM: every((t) => 100 + (t % 4) / 5),
    distanceM: every((t) => 10 * t),
    latDeg: every((t) => 1 + t * 1e-4),
    lonDeg: every((t) => 2 + t * 1e-4),
    airspeedMps: every((t) => 11 + (t % 3) / 4),
  };
  return writeFit({ startEpochS, timeS, channels, lapMarksS: more.lapMarksS, pauses: more.pauses });
}

/** A FIT file of lap messages alone, begin and length of each in seconds from the start of `smallFit`. */
export function fitLaps(laps: readonly { fromS: number; lengthS: number }[]): Uint8Array {
  const writer = new FitWriter();
  for (const { fromS, lengthS } of laps) {
    const start = writer.time((startEpochS + fromS) * 1000);
    writer.writeMessage('lap', {
      timestamp: start + Math.round(lengthS),
      start_time: start,
      total_elapsed_time: lengthS,
      total_timer_time: lengthS,
    });
  }
  const view = writer.finish();
  return new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
}

/** Files one after the other, as software that joins recordings leaves them. */
export function joined(...parts: Uint8Array[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => [...part]));
}

/** A TCX file with one lap for each list of times. */
export function tcx(
  laps: readonly (readonly number[])[],
  extra: (t: number) => string = () => '',
): string {
  const at = (t: number): string => new Date((startEpochS + t) * 1000).toISOString();
  const point = (t: number): string =>
    `<Trackpoint><Time>${at(t)}</Time><Position><LatitudeDegrees>${1 + t * 1e-4}</LatitudeDegrees><LongitudeDegrees>2</LongitudeDegrees></Position><AltitudeMeters>${100 + (t % 3)}</AltitudeMeters><DistanceMeters>${10 * t}</DistanceMeters><HeartRateBpm><Value>140</Value></HeartRateBpm><Extensions><x:TPX xmlns:x="urn:extension"><x:Speed>10.5</x:Speed><x:Watts>${250 + (t % 7)}</x:Watts>${extra(t)}</x:TPX></Extensions></Trackpoint>`;
  const lap = (times: readonly number[]): string =>
    `<Lap StartTime="${at(times[0])}"><DistanceMeters>999</DistanceMeters><Track>${times.map(point).join('\n')}</Track></Lap>`;
  return `<?xml version="1.0" encoding="UTF-8"?>\n<TrainingCenterDatabase xmlns="urn:tcx"><Activities><Activity Sport="Biking"><Id>${at(0)}</Id>${laps.map(lap).join('\n')}</Activity></Activities></TrainingCenterDatabase>\n`;
}

/** A GPX file with one segment for each list of times. */
export function gpx(
  segments: readonly (readonly number[])[],
  extra: (t: number) => string = () => '',
): string {
  const at = (t: number): string => new Date((startEpochS + t) * 1000).toISOString();
  const point = (t: number): string =>
    `<trkpt lat="${(1 + t * 9e-5).toFixed(7)}" lon="2"><ele>${100 + (t % 3)}</ele><time>${at(t)}</time><extensions><power>${250 + (t % 7)}</power>${extra(t)}</extensions></trkpt>`;
  const segment = (times: readonly number[]): string =>
    `<trkseg>${times.map(point).join('\n')}</trkseg>`;
  return `<?xml version="1.0"?>\n<gpx version="1.1" creator="test" xmlns="urn:gpx"><trk>${segments.map(segment).join('')}</trk></gpx>\n`;
}
