/**
 * Every number of a descent sheet: its bounds, and the wrong units in which it is most often written. The bounds
 * are common practice, no source.
 */
import type { Quantity, WrongUnit } from './quantities.ts';
import { quantities } from './quantities.ts';

const to6 = (value: number): number => Number(value.toPrecision(6));

const slip = (
  from: number,
  to: number,
  looksLike: string,
  convert: number | ((value: number) => number),
): WrongUnit => ({
  from,
  to,
  looksLike,
  convert: typeof convert === 'number' ? (value) => to6(value * convert) : convert,
});

const quantity = (
  name: string,
  unit: string,
  min: number,
  max: number,
  ...wrongUnits: WrongUnit[]
): Quantity => ({ name, unit, min, max, wrongUnits });

const fahrenheit = (value: number): number => Number(((value - 32) / 1.8).toFixed(1));

const speed = (name: string, min: number, max: number): Quantity =>
  quantity(name, 'km/h', min, max);

/** Lengths in millimetres that are often written in metres or centimetres. */
const millimetres = (name: string, min: number, max: number): Quantity =>
  quantity(name, 'mm', min, max, slip(min / 1000, max / 1000, 'metres', 1000));

const brake = (at: string): Record<string, Quantity> => ({
  [`brakes.${at}.rotorMm`]: quantity(
    `the diameter of the ${at} rotor`,
    'mm',
    140,
    203,
    slip(0.1, 0.3, 'metres', 1000),
    slip(5, 9, 'inches', (value) => Math.round(value * 25.4)),
    slip(9.01, 30, 'centimetres', 10),
  ),
  [`brakes.${at}.trackWidthMm`]: millimetres('the radial width of the braking track', 8, 30),
  [`brakes.${at}.trackThicknessMm`]: millimetres('the thickness of the braking track', 1, 4),
  [`brakes.${at}.trackMassG`]: quantity(
    'the mass of the braking track',
    'g',
    15,
    300,
    slip(0.015, 0.3, 'kilograms', 1000),
  ),
  [`brakes.${at}.carrierMassG`]: quantity(
    'the mass of the carrier, arms or spider',
    'g',
    10,
    300,
    slip(0.01, 0.3, 'kilograms', 1000),
  ),
  [`brakes.${at}.padDepthMm`]: millimetres('the friction material left on a pad', 0.3, 6),
});

/** By path in the sheet, list places written `*`. */
export const descentQuantities: Record<string, Quantity> = {
  'course.lengthM': quantity(
    'the length of the descent along the road',
    'm',
    20,
    100_000,
    slip(0.05, 19.999, 'kilometres', 1000),
  ),
  'course.gradientPercent': {
    ...quantity(
      'the gradient, a descent counted above zero,',
      '%',
      0,
      50,
      slip(Number.MIN_VALUE, 0.999999, 'a ratio', 100),
      slip(-50, -1, 'a descent counted below zero', -1),
      slip(-0.999999, -Number.MIN_VALUE, 'a ratio counted below zero', -100),
    ),
    gap: [0, 0.999999],
  },
  'system.massKg': quantities['system.massKg'],
  'speed.kmh': speed('the mean speed', 3, 100),
  'speed.onSeconds': quantity('how long the brakes are on', 's', 0.5, 120),
  'speed.offSeconds': quantity('how long the brakes are off', 's', 0.5, 120),
  'brakes.frontShare': quantity(
    'the share of the braking that the front does',
    '',
    0,
    1,
    slip(1.0001, 100, 'per cent', 0.01),
  ),
  ...brake('front'),
  ...brake('rear'),
  'air.temperatureC': quantities['weather.temperatureC'],
  'air.pressureHPa': quantities['weather.pressureHPa'],
  'drag.cdaM2': quantity('the drag area', 'm²', 0.1, 1.5, slip(1000, 15_000, 'cm²', 1e-4)),
  'drag.crr': quantities['constants.crr'],
  'wheel.radiusM': quantities['setups.*.wheelRadiusM'],
  'again.minutes': quantity('the minutes between two descents', 'min', 0, 1440),
  'again.kmh': speed('the speed between two descents', 0, 60),
  'cooldown.kmh': speed('the speed while it cooled', 0, 80),
  'cooldown.airTemperatureC': quantities['weather.temperatureC'],
  'cooldown.uncertaintyK': quantity('the standard uncertainty of a reading', 'K', 0.5, 50),
  'cooldown.readings.*.timeS': quantity('the seconds since the first reading', 's', 0, 7200),
  'cooldown.readings.*.temperatureC': quantity(
    'the temperature of the braking track',
    '°C',
    -30,
    900,
    slip(900.0001, 1700, 'degrees Fahrenheit', fahrenheit),
  ),
};
