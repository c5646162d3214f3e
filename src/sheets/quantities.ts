/**
 * Every number of a day sheet: its bounds, and the wrong units in which it is most often written.
 * The bounds are common practice, no source: wider than any bicycle on any road, narrow enough
 * that a slip of unit falls outside.
 */

/** A range of values that no right value has, and what they most likely are. */
export interface WrongUnit {
  from: number;
  to: number;
  /** What the value looks like, e.g. `grams`. */
  looksLike: string;
  /** Turns it into the right unit. */
  convert: (value: number) => number;
}

/** Bounds and likely slips of one number. */
export interface Quantity {
  /** What it is, for people. */
  name: string;
  /** Unit as written after a number; empty for a plain ratio. */
  unit: string;
  min: number;
  max: number;
  /** Values within the bounds that are a slip all the same: above the first, up to the second. */
  gap?: [above: number, upTo: number];
  wrongUnits: WrongUnit[];
}

const times =
  (factor: number) =>
  (value: number): number =>
    Number((value * factor).toPrecision(6));

const slip = (
  from: number,
  to: number,
  looksLike: string,
  convert: (value: number) => number,
): WrongUnit => ({
  from,
  to,
  looksLike,
  convert,
});

/** By path in the sheet, list places written `*`. */
export const quantities: Record<string, Quantity> = {
  'system.massKg': {
    name: 'the mass of rider, bicycle and all that is carried',
    unit: 'kg',
    min: 30,
    max: 250,
    wrongUnits: [
      slip(30_000, 250_000, 'grams', times(0.001)),
      slip(250.0001, 600, 'pounds', times(0.45359237)),
    ],
  },
  'system.massStandardUncertaintyKg': {
    name: 'the standard uncertainty of the mass',
    unit: 'kg',
    min: 0,
    max: 20,
    wrongUnits: [slip(20.0001, 20_000, 'grams', times(0.001))],
  },
  'constants.crr': crr(),
  'constants.crrStandardUncertainty': {
    name: 'the standard uncertainty of the rolling resistance coefficient',
    unit: '',
    min: 0,
    max: 0.01,
    wrongUnits: [slip(0.0100001, 10, 'thousandths', times(0.001))],
  },
  'constants.drivetrainEfficiency': {
    name: 'the drivetrain efficiency',
    unit: '',
    min: 0.8,
    max: 1,
    wrongUnits: [
      slip(80, 100, 'per cent', times(0.01)),
      slip(0, 0.2, 'a loss instead of an efficiency', (value) => 1 - value),
      slip(1.0001, 20, 'a loss in per cent', (value) => times(1)(1 - value / 100)),
    ],
  },
  'constants.drivetrainEfficiencyStandardUncertainty': {
    name: 'the standard uncertainty of the drivetrain efficiency',
    unit: '',
    min: 0,
    max: 0.1,
    wrongUnits: [slip(0.1000001, 10, 'per cent', times(0.01))],
  },
  'constants.powerScaleStandardUncertainty': {
    name: 'the standard uncertainty of the power meter scale, as a fraction',
    unit: '',
    min: 0,
    max: 0.2,
    wrongUnits: [slip(0.2000001, 20, 'per cent', times(0.01))],
  },
  'weather.temperatureC': {
    name: 'the air temperature',
    unit: '°C',
    min: -30,
    max: 55,
    wrongUnits: [
      slip(240, 330, 'kelvin', (value) => times(1)(value - 273.15)),
      slip(55.0001, 130, 'degrees Fahrenheit', (value) => Number(((value - 32) / 1.8).toFixed(1))),
    ],
  },
  'weather.pressureHPa': {
    name: 'the air pressure where the ride was (not reduced to sea level)',
    unit: 'hPa',
    min: 500,
    max: 1100,
    wrongUnits: [
      slip(0.5, 1.1, 'bar', times(1000)),
      slip(7, 16, 'pounds per square inch', times(68.9476)),
      slip(16.0001, 33, 'inches of mercury', times(33.8639)),
      slip(50, 110, 'kilopascals', times(10)),
      slip(50_000, 110_000, 'pascals', times(0.01)),
    ],
  },
  'weather.relativeHumidityPercent': {
    name: 'the relative humidity',
    unit: '%',
    min: 0,
    max: 100,
    gap: [0, 1],
    // Dry air may be meant (0), but outdoors nothing is between: 0.6 is meant as 60 %.
    wrongUnits: [slip(Number.MIN_VALUE, 1, 'a fraction', times(100))],
  },
  'course.lapLengthM': {
    name: 'the length of one lap',
    unit: 'm',
    min: 100,
    max: 200_000,
    wrongUnits: [slip(0.1, 99.9999, 'kilometres', times(1000))],
  },
  'course.gate.latDeg': angle('the latitude of the gate', 90),
  'course.gate.lonDeg': angle('the longitude of the gate', 180),
  'setups.*.wheelInertiaKgM2': {
    name: 'the moment of inertia of both wheels together',
    unit: 'kg m²',
    min: 0,
    max: 0.6,
    wrongUnits: [
      slip(20, 600, 'g m²', times(0.001)),
      slip(600.0001, 6000, 'kg cm²', times(0.0001)),
      slip(20_000, 600_000, 'kg mm²', times(0.000001)),
    ],
  },
  'setups.*.massOffsetKg': {
    name: 'the mass added by this setup',
    unit: 'kg',
    min: -15,
    max: 15,
    wrongUnits: [
      slip(-15_000, -15.0001, 'grams', times(0.001)),
      slip(15.0001, 15_000, 'grams', times(0.001)),
    ],
  },
  'setups.*.wheelRadiusM': {
    name: 'the rolling radius',
    unit: 'm',
    min: 0.2,
    max: 0.4,
    wrongUnits: [
      slip(200, 400, 'millimetres', times(0.001)),
      slip(20, 40, 'centimetres', times(0.01)),
      slip(0.4001, 0.8, 'a diameter', times(0.5)),
      slip(1.2, 2.5, 'a circumference', (value) => Number((value / (2 * Math.PI)).toFixed(4))),
      slip(1200, 2500, 'a circumference in millimetres', (value) =>
        Number((value / (2000 * Math.PI)).toFixed(4)),
      ),
    ],
  },
  'setups.*.crr': crr(),
  'reference.speedKmh': {
    name: 'the reference speed',
    unit: 'km/h',
    min: 15,
    max: 100,
    wrongUnits: [slip(4, 14.9999, 'metres per second', times(3.6))],
  },
  'reference.airDensityKgM3': {
    name: 'the reference air density',
    unit: 'kg/m³',
    min: 0.6,
    max: 1.6,
    wrongUnits: [slip(600, 1600, 'grams per cubic metre', times(0.001))],
  },
  'runs.*.from': seconds('the start of the run'),
  'runs.*.to': seconds('the end of the run'),
  'laps.*.run': count('the number of the run'),
  'laps.*.lap': count('the number of the lap'),
};

function crr(): Quantity {
  return {
    name: 'the rolling resistance coefficient',
    unit: '',
    min: 0,
    max: 0.02,
    wrongUnits: [
      slip(1, 20, 'thousandths', times(0.001)),
      slip(0.2, 0.99999, 'per cent', times(0.01)),
      slip(0.0200001, 0.1999999, 'a slip of ten', times(0.1)),
    ],
  };
}

function angle(name: string, limit: number): Quantity {
  const semicircle = 180 / 2 ** 31;
  const convert = (value: number): number => Number((value * semicircle).toFixed(6));
  return {
    name,
    unit: '°',
    min: -limit,
    max: limit,
    wrongUnits: [
      slip(100_000, 2 ** 31, 'semicircles', convert),
      slip(-(2 ** 31), -100_000, 'semicircles', convert),
    ],
  };
}

function seconds(name: string): Quantity {
  return {
    name: `${name}, from the first sample of its file`,
    unit: 's',
    min: 0,
    max: 172_800,
    wrongUnits: [slip(1e9, 4e9, 'a clock time since 1970', () => Number.NaN)],
  };
}

function count(name: string): Quantity {
  return { name: `${name}, counted from 1`, unit: '', min: 1, max: 10_000, wrongUnits: [] };
}
