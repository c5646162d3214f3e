import { kmhToMps, mphToMps, radToDeg, zeroCelsiusK } from '../core/units/index.ts';

/** From a unit written in a file or a column map to the unit its channel has in a recording. */
const conversions: Record<string, (value: number) => number> = {
  // speed, to m/s
  'm/s': same,
  mps: same,
  'ms-1': same,
  'km/h': kmhToMps,
  kmh: kmhToMps,
  kph: kmhToMps,
  mph: mphToMps,
  // power, to W
  w: same,
  watt: same,
  watts: same,
  kw: (kW) => kW * 1000,
  // length, to m
  m: same,
  meter: same,
  meters: same,
  metres: same,
  km: (km) => km * 1000,
  ft: (ft) => ft * 0.3048,
  mi: (mi) => mi * 1609.344,
  // time, to s
  s: same,
  ms: (ms) => ms / 1000,
  min: (min) => min * 60,
  h: (h) => h * 3600,
  // angle, to degrees
  deg: same,
  degree: same,
  degrees: same,
  '°': same,
  rad: radToDeg,
  // temperature, to °C
  '°c': same,
  c: same,
  degc: same,
  celsius: same,
  '°f': fahrenheitToC,
  f: fahrenheitToC,
  degf: fahrenheitToC,
  k: (kelvin) => kelvin - zeroCelsiusK,
  kelvin: (kelvin) => kelvin - zeroCelsiusK,
  // the rest
  '%': same,
  percent: same,
  '1': same,
  rpm: same,
};

/** Pressure units, to Pa; the channel's own unit is divided out by the caller. */
const pascals: Record<string, number> = { pa: 1, hpa: 100, mbar: 100, kpa: 1000, bar: 100_000 };

function same(value: number): number {
  return value;
}

/** Exact: (°F − 32) · 5/9. */
function fahrenheitToC(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9;
}

/**
 * The conversion from a written unit to a channel's unit, or null when the unit is not known.
 * `target` tells pressures kept in Pa from those kept in hPa, and makes a fraction of humidity (`1`) percent.
 */
export function unitConversion(
  unit: string,
  target: 'Pa' | 'hPa' | '%' | 'other' = 'other',
): ((value: number) => number) | null {
  const key = unit.trim().toLowerCase();
  if (target === 'Pa' || target === 'hPa') {
    const factor = pascals[key];
    if (factor === undefined) return null;
    const targetPa = target === 'Pa' ? 1 : 100;
    return factor === targetPa ? same : (value) => (value * factor) / targetPa;
  }
  if (target === '%' && key === '1') return (fraction) => fraction * 100;
  return Object.hasOwn(conversions, key) ? conversions[key] : null;
}
