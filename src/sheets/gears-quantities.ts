/**
 * Every number of a gears sheet: its bounds, and the wrong units in which it is most often written. The
 * bounds are common practice, no source: wider than any bicycle, narrow enough that a slip of unit falls
 * outside.
 */
import { quantities, type Quantity, type WrongUnit } from './quantities.ts';

const scaled = (from: number, to: number, looksLike: string, factor: number): WrongUnit => ({
  from,
  to,
  looksLike,
  convert: (value) => Number((value * factor).toPrecision(6)),
});

const quantity = (
  name: string,
  unit: string,
  min: number,
  max: number,
  ...wrongUnits: WrongUnit[]
): Quantity => ({ name, unit, min, max, wrongUnits });

const inFraction = (name: string, max: number): Quantity =>
  quantity(name, '', 0, max, scaled(max * 1.0000001, max * 100, 'per cent', 0.01));

/** By path in the sheet, list places written `*`. */
export const gearsQuantities: Record<string, Quantity> = {
  'chainrings.*': quantity('the teeth of a chainring', '', 16, 80),
  'cassette.*': quantity('the teeth of a sprocket', '', 8, 60),
  'tyre.circumferenceMm': quantity(
    'the circumference of the loaded rear wheel',
    'mm',
    800,
    2600,
    scaled(0.8, 2.6, 'metres', 1000),
    scaled(80, 260, 'centimetres', 10),
    scaled(260.0001, 799.9999, 'a diameter', Math.PI),
  ),
  cadenceRpm: quantity(
    'the cadence of the table',
    '1/min',
    20,
    200,
    scaled(0.5, 3.4, 'turns a second', 60),
  ),
  'system.massKg': quantities['system.massKg'],
  'system.massStandardUncertaintyKg': quantities['system.massStandardUncertaintyKg'],
  'rider.powerW': quantity(
    'the power that the rider holds',
    'W',
    20,
    2000,
    scaled(0.02, 2, 'kilowatts', 1000),
  ),
  'rider.powerStandardUncertaintyW': quantity(
    'the standard uncertainty of that power',
    'W',
    0,
    200,
  ),
  'rider.leastCadenceRpm': quantity(
    'the slowest cadence that the rider wants',
    '1/min',
    10,
    150,
    scaled(0.2, 2.5, 'turns a second', 60),
  ),
  'road.crr': quantities['constants.crr'],
  'road.crrStandardUncertainty': quantities['constants.crrStandardUncertainty'],
  'road.cdaM2': quantity('the drag area', 'm²', 0.1, 1.5),
  'road.cdaStandardUncertaintyM2': quantity(
    'the standard uncertainty of the drag area',
    'm²',
    0,
    0.5,
  ),
  'road.airDensityKgM3': quantities['reference.airDensityKgM3'],
  'road.drivetrainEfficiency': quantities['constants.drivetrainEfficiency'],
  'road.drivetrainEfficiencyStandardUncertainty': inFraction(
    'the standard uncertainty of the drivetrain efficiency',
    0.1,
  ),
  'course.steepestM.*': quantity(
    'a length over which the steepest part is sought',
    'm',
    20,
    60_000,
    scaled(0.02, 19.9999, 'kilometres', 1000),
  ),
  'climbs.*.gradientPercent': {
    ...quantity(
      'the gradient, rise over run',
      '%',
      0.5,
      60,
      scaled(0.005, 0.4999, 'a fraction', 100),
    ),
  },
  'climbs.*.gradientStandardUncertaintyPercent': quantity(
    'the standard uncertainty of the gradient, in percentage points',
    '%',
    0,
    10,
  ),
  'climbs.*.lengthM': quantity(
    'the length of the climb',
    'm',
    5,
    60_000,
    scaled(0.005, 4.9999, 'kilometres', 1000),
  ),
};
