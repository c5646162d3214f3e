/**
 * Every number of a race sheet: its bounds, and the wrong units in which it is most often written. The bounds are
 * common practice, no source: wider than any ride, narrow enough that a slip of unit falls outside.
 */
import { quantities as ofDay, type Quantity, type WrongUnit } from './quantities.ts';

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

const power = (name: string): Quantity =>
  quantity(name, 'W', 0, 2500, scaled(-2500, -1e-9, 'a power below zero', -1));
const place = (name: string): Quantity => quantity(name, 'm', 0, 1_000_000);
const cda = (name: string): Quantity =>
  quantity(name, 'm²', 0.08, 1.5, scaled(800, 15_000, 'cm²', 1e-4));
const sdCda = (name: string): Quantity =>
  quantity(name, 'm²', 0, 0.1, scaled(1, 1000, 'cm²', 1e-4));
const crr = (name: string): Quantity =>
  quantity(
    name,
    '',
    0.0005,
    0.08,
    scaled(0.5, 80, 'thousandths', 0.001),
    scaled(0.0800001, 0.4999, 'a slip of ten', 0.1),
  );
const wind = (name: string): Quantity =>
  quantity(name, 'm/s', 0, 25, scaled(25.0001, 90, 'kilometres an hour', 1 / 3.6));
const degrees = (name: string): Quantity => quantity(name, '°', 0, 360);
const gradient = (name: string): Quantity => quantity(name, '%', -50, 50);

/** By path in the sheet, list places written `*`. */
export const raceQuantities: Record<string, Quantity> = {
  'course.lengthM': quantity(
    'the length of the course',
    'm',
    50,
    1_000_000,
    scaled(0.2, 49.9999, 'kilometres', 1000),
  ),
  'course.gradientPercent': gradient('the slope of the course'),
  'course.headingDeg': degrees('the direction ridden towards, clockwise from north'),
  'course.startAltitudeM': quantity('the height of the start', 'm', -450, 6000),
  'course.stepM': quantity('the step of the simulation', 'm', 0.2, 100),
  'course.stretches.*.lengthM': quantity('the length of the stretch', 'm', 1, 1_000_000),
  'course.stretches.*.gradientPercent': gradient('the slope of the stretch'),
  'course.stretches.*.headingDeg': degrees('the direction of the stretch, clockwise from north'),
  'system.massKg': ofDay['system.massKg'],
  'system.massStandardUncertaintyKg': ofDay['system.massStandardUncertaintyKg'],
  'system.wheelInertiaKgM2': ofDay['setups.*.wheelInertiaKgM2'],
  'system.wheelRadiusM': ofDay['setups.*.wheelRadiusM'],
  'system.drivetrainEfficiency': ofDay['constants.drivetrainEfficiency'],
  'rider.startSpeedMps': quantity('the speed at the start', 'm/s', 0, 30),
  'rider.walkBelowMps': quantity(
    'the lowest speed that is ridden',
    'm/s',
    0.5,
    3,
    scaled(3.0001, 11, 'kilometres an hour', 1 / 3.6),
  ),
  'air.temperatureC': ofDay['weather.temperatureC'],
  'air.pressureHPa': ofDay['weather.pressureHPa'],
  'air.relativeHumidityPercent': ofDay['weather.relativeHumidityPercent'],
  'air.altitudeM': quantity('the height where the air was read', 'm', -450, 6000),
  'air.densityStandardUncertaintyPercent': quantity(
    'the standard uncertainty of the density',
    '%',
    0,
    10,
  ),
  'wind.speedMps': wind('the wind at the rider’s height'),
  'wind.fromDeg': degrees('where the wind comes from, clockwise from north'),
  'wind.headMps': quantity('the headwind, below zero from behind', 'm/s', -25, 25),
  'wind.standardUncertaintyMps': quantity(
    'the standard uncertainty of each part of the wind',
    'm/s',
    0,
    10,
  ),
  'power.powerW': power('the power at the meter'),
  'power.table.*.gradientPercent': gradient('the slope'),
  'power.table.*.powerW': power('the power at the meter on that slope'),
  'power.standardUncertaintyPercent': quantity('the standard uncertainty of the power', '%', 0, 20),
  'surface.crr': crr('the rolling resistance coefficient'),
  'surface.crrStandardUncertainty': ofDay['constants.crrStandardUncertainty'],
  'surface.sections.*.fromM': place('the start of the section'),
  'surface.sections.*.toM': place('the end of the section'),
  'surface.sections.*.crr': crr('the rolling resistance coefficient of the section'),
  'corners.lateralAccelerationMps2': quantity(
    'the sideways acceleration that you trust the tyres with',
    'm/s²',
    0.3,
    9.5,
  ),
  'corners.brakingMps2': quantity('the deceleration before corners', 'm/s²', 0.3, 7),
  'setups.*.cdaM2': cda('the drag area'),
  'setups.*.cdaStandardUncertaintyM2': sdCda(
    'the standard uncertainty of the drag area of its own',
  ),
  'setups.*.yaw.*.yawDeg': quantity('the yaw', '°', 0, 90),
  'setups.*.yaw.*.cdaM2': cda('the drag area at that yaw'),
  'setups.*.massOffsetKg': ofDay['setups.*.massOffsetKg'],
  'setups.*.wheelInertiaKgM2': ofDay['setups.*.wheelInertiaKgM2'],
  'setups.*.crrOffset': quantity(
    'what the setup adds to the rolling resistance coefficient',
    '',
    -0.01,
    0.01,
  ),
  'setups.*.crrOffsetStandardUncertainty': quantity(
    'the standard uncertainty of that',
    '',
    0,
    0.01,
  ),
  sharedCdaStandardUncertaintyM2: sdCda('the standard uncertainty of the drag area that all share'),
  draws: quantity('how often the uncertain is drawn', '', 100, 20_000),
  'plan.leastW': power('the lowest power of the plan'),
  'plan.mostW': power('the highest power of the plan'),
};
