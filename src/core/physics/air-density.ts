/**
 * Density of moist air, CIPM-2007: Picard, Davis, Gläser, Fujii (2008), Metrologia 45:149–155.
 * Stated for 600 to 1100 hPa and 15 to 27 °C with a relative standard uncertainty of 22e-6; outdoors
 * it is extrapolated, with an error far below that of a barometer.
 */
import { celsiusToKelvin, hPaToPa } from '../units/index.ts';

/** Air as a weather station gives it. Pressure is station pressure, not reduced to sea level. */
export interface Air {
  temperatureC: number;
  pressureHPa: number;
  relativeHumidityPercent: number;
}

/** All that the equation passes through, for checks against the published table. */
export interface AirState {
  densityKgM3: number;
  /** Z. */
  compressibility: number;
  /** f. */
  enhancementFactor: number;
  /** x_v, mole fraction of water vapour. */
  vapourMoleFraction: number;
  saturationVapourPressurePa: number;
}

const gasConstant = 8.314472;
const molarMassOfWater = 18.01528e-3;
/** At the equation's standard carbon dioxide content, x = 0.0004. */
const molarMassOfDryAir = 28.96546e-3;

/**
 * Moist air by CIPM-2007. Throws RangeError for a temperature outside −40 to 60 °C, a pressure outside
 * 300 to 1100 hPa or a humidity outside 0 to 100 %: there, the reading is wrong rather than the weather.
 */
export function moistAir({ temperatureC, pressureHPa, relativeHumidityPercent }: Air): AirState {
  within('temperature', temperatureC, -40, 60, '°C');
  within('air pressure', pressureHPa, 300, 1100, 'hPa');
  within('relative humidity', relativeHumidityPercent, 0, 100, '%');
  const t = temperatureC;
  const kelvin = celsiusToKelvin(t);
  const p = hPaToPa(pressureHPa);
  const saturation = Math.exp(
    1.2378847e-5 * kelvin * kelvin - 1.9121316e-2 * kelvin + 33.93711047 - 6343.1645 / kelvin,
  );
  const enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t;
  const x = ((relativeHumidityPercent / 100) * enhancement * saturation) / p;
  const q = p / kelvin;
  const compressibility =
    1 -
    q *
      (1.58123e-6 -
        2.9331e-8 * t +
        1.1043e-10 * t * t +
        (5.707e-6 - 2.051e-8 * t) * x +
        (1.9898e-4 - 2.376e-6 * t) * x * x) +
    q * q * (1.83e-11 - 0.765e-8 * x * x);
  const densityKgM3 =
    ((p * molarMassOfDryAir) / (compressibility * gasConstant * kelvin)) *
    (1 - x * (1 - molarMassOfWater / molarMassOfDryAir));
  return {
    densityKgM3,
    compressibility,
    enhancementFactor: enhancement,
    vapourMoleFraction: x,
    saturationVapourPressurePa: saturation,
  };
}

/** Density of moist air, kg/m³, by CIPM-2007; errors as `moistAir`. */
export function airDensityKgM3(air: Air): number {
  return moistAir(air).densityKgM3;
}

function within(what: string, value: number, low: number, high: number, unit: string): void {
  if (!(value >= low && value <= high)) {
    throw new RangeError(`${what} ${value} ${unit} is outside ${low} to ${high} ${unit}`);
  }
}
