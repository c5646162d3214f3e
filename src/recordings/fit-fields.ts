import type { ChannelName } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { unitConversion } from './text-units.ts';

/** One field of a FIT record that can fill a channel. */
export interface FitSource {
  /** Name under which the library gives the value. */
  field: string;
  channel: ChannelName;
  convert: ((value: number) => number) | null;
}

/** A developer field as the file describes it. */
export interface FieldDescription {
  field_name?: unknown;
  units?: unknown;
}

/** Fields of the published profile, the better one of a pair first. Units as the library gives them. */
const nativeSources: readonly FitSource[] = [
  { field: 'enhanced_speed', channel: 'speedMps', convert: null },
  { field: 'speed', channel: 'speedMps', convert: null },
  { field: 'power', channel: 'powerW', convert: null },
  { field: 'enhanced_altitude', channel: 'altitudeM', convert: null },
  { field: 'altitude', channel: 'altitudeM', convert: null },
  { field: 'distance', channel: 'distanceM', convert: null },
  { field: 'position_lat', channel: 'latDeg', convert: null },
  { field: 'position_long', channel: 'lonDeg', convert: null },
  { field: 'temperature', channel: 'temperatureC', convert: null },
  { field: 'absolute_pressure', channel: 'pressureHPa', convert: (pascal) => pascal / 100 },
  { field: 'cadence', channel: 'cadenceRpm', convert: null },
];

/** What developer fields are called, letters and digits only; units where the file names none. */
const developerNames: readonly { channel: ChannelName; names: readonly string[]; unit: string }[] =
  [
    {
      channel: 'airspeedMps',
      names: [
        'airspeed',
        'airvelocity',
        'relativeairspeed',
        'apparentwindspeed',
        'relativewindspeed',
      ],
      unit: 'm/s',
    },
    {
      channel: 'dynamicPressurePa',
      names: [
        'dynamicpressure',
        'dynpressure',
        'differentialpressure',
        'diffpressure',
        'pitotpressure',
      ],
      unit: 'Pa',
    },
    {
      channel: 'yawDeg',
      names: ['yaw', 'yawangle', 'windyaw', 'airyaw', 'apparentwindangle'],
      unit: 'deg',
    },
    {
      channel: 'temperatureC',
      names: ['airtemperature', 'ambienttemperature', 'temperature', 'airtemp', 'temp'],
      unit: '°C',
    },
    {
      channel: 'pressureHPa',
      names: [
        'airpressure',
        'barometricpressure',
        'ambientpressure',
        'absolutepressure',
        'staticpressure',
        'barometer',
        'pressure',
      ],
      unit: 'hPa',
    },
    {
      channel: 'humidityPercent',
      names: ['humidity', 'relativehumidity', 'airhumidity', 'rh'],
      unit: '%',
    },
  ];

/**
 * Which fields fill which channel, in order of preference: developer fields for air before those of the
 * device, since a sensor made for it is the reason they are there.
 */
export function fitSources(
  descriptions: readonly FieldDescription[],
  file: string,
): { sources: FitSource[]; warnings: Problem[] } {
  const developer: (FitSource & { rank: number })[] = [];
  const warnings: Problem[] = [];
  for (const { field_name: name, units } of descriptions) {
    if (typeof name !== 'string') continue;
    const plain = name.toLowerCase().replace(/[^a-z0-9]/g, '');
    for (const { channel, names, unit } of developerNames) {
      const rank = names.indexOf(plain);
      if (rank === -1) continue;
      const written = typeof units === 'string' && units.trim() !== '' ? units : unit;
      const target =
        channel === 'dynamicPressurePa'
          ? 'Pa'
          : channel === 'pressureHPa'
            ? 'hPa'
            : channel === 'humidityPercent'
              ? '%'
              : 'other';
      const convert = unitConversion(written, target);
      if (convert === null) {
        warnings.push({
          code: 'value-invalid',
          file,
          message: `The developer field "${name}" has the unit "${written}", which is not known; it is left out.`,
          remedy: `Have the sensor write it in ${unit}.`,
        });
      } else developer.push({ field: name, channel, convert, rank });
    }
  }
  developer.sort((a, b) => a.rank - b.rank);
  const taken = new Set(developer.map(({ field }) => field));
  return {
    sources: [...developer, ...nativeSources.filter(({ field }) => !taken.has(field))],
    warnings,
  };
}
