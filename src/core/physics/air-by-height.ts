import { celsiusToKelvin, standardGravityMps2 } from '../units/index.ts';
import type { Air } from './air-density.ts';

/** ISO 2533:1975: the troposphere's fall of temperature, and the gas constant of dry air. */
const lapseRateKPerM = 0.0065;
const dryAirGasConstant = 287.05287;

/**
 * Air at another height than where it was read: barometric formula with the standard fall of temperature,
 * 6.5 K/km from the station's own temperature (ISO 2533:1975, eq. 12), relative humidity held. The density
 * then comes from CIPM-2007. `riseM`: metres above the station, below it negative.
 *
 * @throws RangeError for a rise outside −1000 to 5000 m
 */
export function airAtRise(station: Air, riseM: number): Air {
  if (!(riseM >= -1000 && riseM <= 5000)) {
    throw new RangeError(
      `a rise of ${riseM} m from where the air was read is outside −1000 to 5000 m`,
    );
  }
  const kelvin = celsiusToKelvin(station.temperatureC);
  const share = 1 - (lapseRateKPerM * riseM) / kelvin;
  const exponent = standardGravityMps2 / (dryAirGasConstant * lapseRateKPerM);
  return {
    temperatureC: station.temperatureC - lapseRateKPerM * riseM,
    pressureHPa: station.pressureHPa * share ** exponent,
    relativeHumidityPercent: station.relativeHumidityPercent,
  };
}
