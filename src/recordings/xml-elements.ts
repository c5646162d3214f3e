import type { ChannelName } from '../core/evidence/index.ts';

/**
 * Elements of track points that fill a channel, by local name in lower case, whatever their namespace:
 * the same names are used by several makers' extensions. Units are those of the formats: m, m/s, W, °C.
 */
const channelElements: Record<string, ChannelName> = {
  ele: 'altitudeM',
  altitudemeters: 'altitudeM',
  altitude: 'altitudeM',
  distancemeters: 'distanceM',
  distance: 'distanceM',
  latitudedegrees: 'latDeg',
  longitudedegrees: 'lonDeg',
  speed: 'speedMps',
  watts: 'powerW',
  power: 'powerW',
  powerinwatts: 'powerW',
  airspeed: 'airspeedMps',
  air_speed: 'airspeedMps',
  yaw: 'yawDeg',
  yawangle: 'yawDeg',
  yaw_angle: 'yawDeg',
  dynamicpressure: 'dynamicPressurePa',
  dynamic_pressure: 'dynamicPressurePa',
  atemp: 'temperatureC',
  temp: 'temperatureC',
  temperature: 'temperatureC',
  airtemperature: 'temperatureC',
  air_temperature: 'temperatureC',
  pressure: 'pressureHPa',
  airpressure: 'pressureHPa',
  air_pressure: 'pressureHPa',
  humidity: 'humidityPercent',
  cad: 'cadenceRpm',
  cadence: 'cadenceRpm',
};

/** The channel an element fills, or undefined. */
export function channelOfElement(localName: string): ChannelName | undefined {
  const key = localName.toLowerCase();
  return Object.hasOwn(channelElements, key) ? channelElements[key] : undefined;
}
