import type { ChannelName } from '../core/evidence/index.ts';

/** Values outside are taken for faults of a sensor or a file: no ride has them. Common practice, no source. */
export const plausibleRange: Record<ChannelName, readonly [low: number, high: number]> = {
  speedMps: [0, 45],
  powerW: [0, 4000],
  altitudeM: [-500, 9000],
  distanceM: [0, 5_000_000],
  latDeg: [-90, 90],
  lonDeg: [-180, 180],
  airspeedMps: [-5, 60],
  yawDeg: [-180, 180],
  dynamicPressurePa: [-500, 3000],
  temperatureC: [-50, 70],
  pressureHPa: [300, 1100],
  humidityPercent: [0, 100],
  cadenceRpm: [0, 300],
};

/** What each channel is called in messages. */
export const channelTitle: Record<ChannelName, string> = {
  speedMps: 'speed',
  powerW: 'power',
  altitudeM: 'altitude',
  distanceM: 'distance',
  latDeg: 'latitude',
  lonDeg: 'longitude',
  airspeedMps: 'airspeed',
  yawDeg: 'yaw',
  dynamicPressurePa: 'dynamic pressure',
  temperatureC: 'temperature',
  pressureHPa: 'air pressure',
  humidityPercent: 'humidity',
  cadenceRpm: 'cadence',
};

export const channelUnit: Record<ChannelName, string> = {
  speedMps: 'm/s',
  powerW: 'W',
  altitudeM: 'm',
  distanceM: 'm',
  latDeg: '°',
  lonDeg: '°',
  airspeedMps: 'm/s',
  yawDeg: '°',
  dynamicPressurePa: 'Pa',
  temperatureC: '°C',
  pressureHPa: 'hPa',
  humidityPercent: '%',
  cadenceRpm: 'rpm',
};
