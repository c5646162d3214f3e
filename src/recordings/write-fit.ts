import type { FitDevInfo } from '@markw65/fit-file-writer';
import { FitWriter } from '@markw65/fit-file-writer';
import type { ChannelName, Span } from '../core/evidence/index.ts';
import { degToRad } from '../core/units/index.ts';

/** A recording to be written as a FIT file. */
export interface FitToWrite {
  /** Clock time of `timeS` = 0, seconds since 1970-01-01 UTC; FIT keeps whole seconds. */
  startEpochS: number;
  /** Increasing, s. FIT records have whole seconds: times are rounded, so write at 1 Hz or slower. */
  timeS: ArrayLike<number>;
  /** Missing values as NaN. */
  channels: Partial<Record<ChannelName, ArrayLike<number>>>;
  /** Times at which the lap button was pressed. */
  lapMarksS?: ArrayLike<number>;
  /** Stretches with the timer stopped. */
  pauses?: readonly Span[];
}

/** Channels written as fields of the FIT profile, with the scale and offset of that field. */
const nativeFields = {
  speedMps: { field: 'enhanced_speed', scale: 1000, offset: 0 },
  powerW: { field: 'power', scale: 1, offset: 0 },
  altitudeM: { field: 'enhanced_altitude', scale: 5, offset: 500 },
  distanceM: { field: 'distance', scale: 100, offset: 0 },
  cadenceRpm: { field: 'cadence', scale: 1, offset: 0 },
} as const;

/** Channels the profile has no fine enough field for: developer fields, 32-bit floats. */
const developerFields = [
  { channel: 'airspeedMps', name: 'airspeed', units: 'm/s' },
  { channel: 'yawDeg', name: 'yaw', units: 'deg' },
  { channel: 'dynamicPressurePa', name: 'dynamic_pressure', units: 'Pa' },
  { channel: 'temperatureC', name: 'air_temperature', units: 'degC' },
  { channel: 'pressureHPa', name: 'air_pressure', units: 'hPa' },
  { channel: 'humidityPercent', name: 'humidity', units: '%' },
] as const satisfies readonly { channel: ChannelName; name: string; units: string }[];

const applicationId = Array.from({ length: 16 }, (_, i) => 0x4c + i);

/**
 * Writes a FIT activity through @markw65/fit-file-writer (other software than the reader's): records with
 * developer fields, laps, timer events, a session. Resolution is that of the format: 1 s, 1 mm/s, 1 W,
 * 0.2 m of altitude, 1 cm of distance, 1 rpm.
 *
 * @throws RangeError when there is no sample or the columns differ in length.
 */
export function writeFit(ride: FitToWrite): Uint8Array {
  const { timeS, channels } = ride;
  const n = timeS.length;
  if (n === 0) throw new RangeError('a FIT file needs at least one sample');
  for (const [name, column] of Object.entries(channels)) {
    if (column.length !== n)
      throw new RangeError(`${name} has ${column.length} values for ${n} times`);
  }
  const writer = new FitWriter({ noCompressedTimestamps: true });
  const fitTime = (atS: number): number => writer.time((ride.startEpochS + atS) * 1000);
  const endS = timeS[n - 1];
  const endTime = fitTime(endS);
  const used = developerFields.filter(({ channel }) => channels[channel] !== undefined);

  writer.writeMessage(
    'file_id',
    { type: 'activity', manufacturer: 'development', product: 1, time_created: fitTime(timeS[0]) },
    null,
    true,
  );
  if (used.length > 0) describeDeveloperFields(writer, used);
  timerEvent(writer, fitTime(timeS[0]), 'start');

  const marks = Array.from(ride.lapMarksS ?? []);
  const happenings = [
    ...marks.map((atS) => ({ atS, write: () => lap.end(atS, 'manual') })),
    ...(ride.pauses ?? []).flatMap(({ fromS, toS }) => [
      { atS: fromS, write: () => timerEvent(writer, fitTime(fromS), 'stop_all') },
      { atS: toS, write: () => timerEvent(writer, fitTime(toS), 'start') },
    ]),
  ].sort((a, b) => a.atS - b.atS);
  const lap = lapWriter(writer, fitTime, timeS[0]);

  let next = 0;
  for (let i = 0; i < n; i += 1) {
    for (; next < happenings.length && happenings[next].atS <= timeS[i]; next += 1)
      happenings[next].write();
    writeRecord(writer, fitTime(timeS[i]), channels, used, i);
  }
  for (; next < happenings.length; next += 1) happenings[next].write();
  timerEvent(writer, endTime, 'stop_all');
  lap.end(endS, 'session_end');
  const total = endS - timeS[0];
  writer.writeMessage(
    'session',
    {
      timestamp: endTime,
      start_time: fitTime(timeS[0]),
      sport: 'cycling',
      total_elapsed_time: total,
      total_timer_time: total,
      first_lap_index: 0,
      num_laps: marks.length + 1,
      event: 'session',
      event_type: 'stop',
    },
    null,
    true,
  );
  writer.writeMessage(
    'activity',
    {
      timestamp: endTime,
      total_timer_time: total,
      num_sessions: 1,
      type: 'manual',
      event: 'activity',
      event_type: 'stop',
    },
    null,
    true,
  );
  const view = writer.finish();
  return new Uint8Array(
    view.buffer.slice(view.byteOffset, view.byteOffset + view.byteLength) as ArrayBuffer,
  );
}

function describeDeveloperFields(
  writer: FitWriter,
  used: readonly (typeof developerFields)[number][],
): void {
  writer.writeMessage(
    'developer_data_id',
    { application_id: applicationId, developer_data_index: 0, application_version: 1 },
    null,
    true,
  );
  for (const field of used) {
    writer.writeMessage('field_description', {
      developer_data_index: 0,
      field_definition_number: developerFields.indexOf(field),
      fit_base_type_id: 'float32',
      field_name: field.name,
      units: field.units,
    });
  }
}

function timerEvent(writer: FitWriter, timestamp: number, kind: 'start' | 'stop_all'): void {
  writer.writeMessage('event', { timestamp, event: 'timer', event_type: kind, event_group: 0 });
}

function lapWriter(
  writer: FitWriter,
  fitTime: (atS: number) => number,
  firstS: number,
): { end: (atS: number, trigger: 'manual' | 'session_end') => void } {
  let startS = firstS;
  let index = 0;
  return {
    end(atS, trigger) {
      const elapsed = whole(atS - startS, 1000, 0);
      writer.writeMessage('lap', {
        timestamp: fitTime(atS),
        start_time: fitTime(startS),
        total_elapsed_time: elapsed,
        total_timer_time: elapsed,
        message_index: { value: index },
        event: 'lap',
        event_type: 'stop',
        lap_trigger: trigger,
      });
      startS = atS;
      index += 1;
    },
  };
}

function writeRecord(
  writer: FitWriter,
  timestamp: number,
  channels: FitToWrite['channels'],
  used: readonly (typeof developerFields)[number][],
  i: number,
): void {
  const fields: Record<string, number> = { timestamp };
  for (const [channel, { field, scale, offset }] of Object.entries(nativeFields)) {
    const value = channels[channel as keyof typeof nativeFields]?.[i] ?? NaN;
    if (Number.isFinite(value)) fields[field] = whole(value, scale, offset);
  }
  const lat = channels.latDeg?.[i] ?? NaN;
  const lon = channels.lonDeg?.[i] ?? NaN;
  if (Number.isFinite(lat) && Number.isFinite(lon)) {
    fields.position_lat = writer.latlng(degToRad(lat));
    fields.position_long = writer.latlng(degToRad(lon));
  }
  const developer: FitDevInfo[] = [];
  for (const field of used) {
    const value = channels[field.channel]?.[i] ?? NaN;
    if (Number.isFinite(value))
      developer.push({ field_num: developerFields.indexOf(field), value });
  }
  writer.writeMessage('record', fields as { timestamp: number }, developer);
}

/**
 * The value a little beyond the nearest step of the field, away from zero: the writer cuts off decimals,
 * which would lose a step where the product with the scale falls just short.
 */
function whole(value: number, scale: number, offset: number): number {
  const steps = Math.round((value + offset) * scale);
  return (steps + (steps < 0 ? -0.25 : 0.25)) / scale - offset;
}
