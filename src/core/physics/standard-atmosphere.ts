/**
 * International Standard Atmosphere, ISO 2533:1975, troposphere: 15 °C and 1013.25 hPa at sea level,
 * 6.5 K per geopotential kilometre, dry ideal gas. Also Sutherland's viscosity (US Standard
 * Atmosphere 1976).
 */
import { standardGravityMps2 } from '../units/index.ts';

const seaLevelTemperatureK = 288.15;
const seaLevelPressurePa = 101325;
const lapseRateKPerM = 0.0065;
/** Specific gas constant of dry air in ISO 2533, J/(kg K). */
const dryAirGasConstant = 287.05287;

export interface StandardAir {
  temperatureK: number;
  pressurePa: number;
  densityKgM3: number;
}

/** Standard air at a geopotential height, m, from −1000 to 11000. RangeError outside. */
export function standardAtmosphere(geopotentialHeightM: number): StandardAir {
  if (!(geopotentialHeightM >= -1000 && geopotentialHeightM <= 11000)) {
    throw new RangeError(`height ${geopotentialHeightM} m is outside −1000 to 11000 m`);
  }
  const temperatureK = seaLevelTemperatureK - lapseRateKPerM * geopotentialHeightM;
  const exponent = standardGravityMps2 / (dryAirGasConstant * lapseRateKPerM);
  const pressurePa = seaLevelPressurePa * (temperatureK / seaLevelTemperatureK) ** exponent;
  return {
    temperatureK,
    pressurePa,
    densityKgM3: pressurePa / (dryAirGasConstant * temperatureK),
  };
}

/** Geopotential height of a geometric one, m, with the earth radius of ISO 2533, 6356766 m. */
export function geopotentialHeightM(geometricHeightM: number): number {
  return (6356766 * geometricHeightM) / (6356766 + geometricHeightM);
}

/** Height that a pressure difference stands for in air of given temperature, m (hypsometric equation, dry air). */
export function heightBetweenPressuresM(
  lowerPressureHPa: number,
  upperPressureHPa: number,
  meanTemperatureK: number,
): number {
  return (
    ((dryAirGasConstant * meanTemperatureK) / standardGravityMps2) *
    Math.log(lowerPressureHPa / upperPressureHPa)
  );
}

/** Dynamic viscosity of air, Pa s, by Sutherland's law. */
export function airViscosityPaS(temperatureK: number): number {
  return (1.458e-6 * temperatureK ** 1.5) / (temperatureK + 110.4);
}
