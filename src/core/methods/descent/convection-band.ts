/**
 * Convection as a band. Four published readings of one rotor in one stream: a disc that turns in still air, a
 * plate as long as the diameter, the rotor of a vehicle, and the plate formula from slot to slot (a plate as
 * long as the track is wide). None was made for it. The centre is the mean of their logarithms; 95 % of the
 * band is as wide as they lie apart.
 */
import { flatPlate, turningDisc, vehicleRotor, type CoolingAir } from '../../physics/index.ts';

/** Centre and standard deviation of the logarithm of h, W/(m² K). */
export interface LogConvection {
  mean: number;
  deviation: number;
}

/** The four values at a road speed, lowest first in no order of merit. */
export function publishedConvection(
  air: CoolingAir,
  speedMps: number,
  rotor: { diameterM: number; trackWidthM: number; wheelRadiusM: number },
): number[] {
  return [
    turningDisc(air, speedMps / rotor.wheelRadiusM, rotor.diameterM / 2),
    flatPlate(air, speedMps, rotor.diameterM),
    vehicleRotor(air, speedMps, rotor.diameterM),
    flatPlate(air, speedMps, rotor.trackWidthM),
  ];
}

/** The band at a road speed above zero. */
export function convectionBand(values: readonly number[]): LogConvection {
  const logs = values.map(Math.log);
  const mean = logs.reduce((sum, one) => sum + one, 0) / logs.length;
  return { mean, deviation: (Math.max(...logs) - Math.min(...logs)) / (2 * 1.959964) };
}

/** Below this nothing is blown, m/s. */
const standstillMps = 0.3;

/** h at a place of the band, in standard deviations; 0 at a standstill. */
export function convectionAt(
  air: CoolingAir,
  speedMps: number,
  rotor: { diameterM: number; trackWidthM: number; wheelRadiusM: number },
  place: number,
): number {
  if (speedMps < standstillMps) return 0;
  const { mean, deviation } = convectionBand(publishedConvection(air, speedMps, rotor));
  return Math.exp(mean + place * deviation);
}
