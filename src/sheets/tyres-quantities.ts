/**
 * Every number of a tyres sheet: its bounds, and the wrong units in which it is most often written. The
 * bounds are common practice, no source: wider than any bicycle tyre, narrow enough that a slip of unit
 * falls outside.
 */
import type { Quantity, WrongUnit } from './quantities.ts';

const scaled = (from: number, to: number, looksLike: string, factor: number): WrongUnit => ({
  from,
  to,
  looksLike,
  convert: (value) => Number((value * factor).toPrecision(3)),
});

const quantity = (
  name: string,
  unit: string,
  min: number,
  max: number,
  ...wrongUnits: WrongUnit[]
): Quantity => ({ name, unit, min, max, wrongUnits });

const bar = (name: string): Quantity =>
  quantity(
    `${name}`,
    'bar',
    0.5,
    14,
    // 0.0689476 bar to the pound per square inch (NIST SP 811, from memory).
    scaled(14.0001, 220, 'psi', 0.0689476),
    scaled(220.0001, 1500, 'kilopascals', 0.01),
  );

const psi = (name: string): Quantity =>
  quantity(
    `${name}`,
    'psi',
    14.5,
    220,
    scaled(0.5, 14.4999, 'bar', 14.5038),
    scaled(220.0001, 1500, 'kilopascals', 0.145038),
  );

const width = (name: string, min: number, max: number): Quantity =>
  quantity(
    name,
    'mm',
    min,
    max,
    scaled(min / 1000, max / 1000, 'metres', 1000),
    scaled(min / 25.4, min / 10 - 0.0001, 'inches', 25.4),
    scaled(min / 10, max / 10, 'centimetres', 10),
  );

const end = (at: 'front' | 'rear'): Record<string, Quantity> => ({
  [`${at}.tyre.measuredWidthMm`]: width(`the measured width of the ${at} tyre`, 15, 130),
  [`${at}.tyre.maximumBar`]: bar(`the ${at} tyre’s maximum pressure`),
  [`${at}.tyre.maximumPsi`]: psi(`the ${at} tyre’s maximum pressure`),
  [`${at}.tyre.minimumBar`]: bar(`the ${at} tyre’s minimum pressure`),
  [`${at}.tyre.minimumPsi`]: psi(`the ${at} tyre’s minimum pressure`),
  [`${at}.rim.innerWidthMm`]: width(`the ${at} rim’s width between its flanges`, 9, 110),
  [`${at}.rim.outerWidthMm`]: width(`the ${at} rim’s outer width`, 12, 120),
  [`${at}.rim.maximumBar`]: bar(`the ${at} rim’s maximum pressure`),
  [`${at}.rim.maximumPsi`]: psi(`the ${at} rim’s maximum pressure`),
  [`${at}.pressureBar`]: bar(`the pressure in the ${at} tyre`),
  [`${at}.pressurePsi`]: psi(`the pressure in the ${at} tyre`),
});

/** By path in the sheet. */
export const tyresQuantities: Record<string, Quantity> = {
  'system.massKg': quantity(
    'the mass of rider, bicycle and all that is carried',
    'kg',
    30,
    250,
    scaled(30_000, 250_000, 'grams', 0.001),
    scaled(250.0001, 600, 'pounds', 0.45359237),
  ),
  'system.massStandardUncertaintyKg': quantity(
    'the standard uncertainty of the mass',
    'kg',
    0,
    20,
    scaled(20.0001, 20_000, 'grams', 0.001),
  ),
  'system.frontShare': quantity(
    'the front wheel’s share of the weight',
    '',
    0.25,
    0.65,
    scaled(25, 65, 'per cent', 0.01),
  ),
  'system.frontShareStandardUncertainty': quantity(
    'the standard uncertainty of that share',
    '',
    0,
    0.1,
    scaled(0.1000001, 10, 'per cent', 0.01),
  ),
  ...end('front'),
  ...end('rear'),
};
