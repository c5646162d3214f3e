/**
 * Heat from a rotor to the air, W/(m² K): published formulas, which for one bicycle rotor differ by a factor of
 * five and more. None was made for it; a method that uses them owes its reader the whole band.
 */
import { airViscosityPaS } from './standard-atmosphere.ts';

/** Still air at a distance from what is hot. */
export interface CoolingAir {
  /** W/(m K). */
  conductivity: number;
  /** Kinematic, m²/s. */
  viscosityM2S: number;
  prandtl: number;
  temperatureC: number;
}

/** Thermal conductivity of air, W/(m K): US Standard Atmosphere 1976, equation 53 (from memory). */
export function airConductivity(temperatureK: number): number {
  return (2.64638e-3 * temperatureK ** 1.5) / (temperatureK + 245.4 * 10 ** (-12 / temperatureK));
}

/** Properties of air for the formulas below; Prandtl number from 1006 J/(kg K). */
export function coolingAir(temperatureC: number, densityKgM3: number): CoolingAir {
  const kelvin = temperatureC + 273.15;
  const viscosity = airViscosityPaS(kelvin);
  const conductivity = airConductivity(kelvin);
  return {
    conductivity,
    viscosityM2S: viscosity / densityKgM3,
    prandtl: (1006 * viscosity) / conductivity,
    temperatureC,
  };
}

/**
 * A disc that turns in still air, mean over its face: Nu = 0.36·Re^½, Re = ω·r²/ν, laminar below about 2.4e5;
 * 0.015·Re^0.8 above (Cobb and Saunders 1956, Proc R Soc A 236:343–351; constants from memory).
 */
export function turningDisc(
  { conductivity, viscosityM2S }: CoolingAir,
  turnsRadS: number,
  radiusM: number,
): number {
  const re = (turnsRadS * radiusM * radiusM) / viscosityM2S;
  return (nusselt(re, 0.36, 0.5, 0.015) * conductivity) / radiusM;
}

/**
 * Solid rotor of a vehicle: Nu = 0.70·Re^0.55 on the diameter and the road speed, 0.04·Re^0.8 from 2.4e5 on,
 * where the published lines do not meet (Limpert, Brake Design and Safety; constants from memory).
 */
export function vehicleRotor(
  { conductivity, viscosityM2S }: CoolingAir,
  speedMps: number,
  diameterM: number,
): number {
  const re = (speedMps * diameterM) / viscosityM2S;
  return (nusselt(re, 0.7, 0.55, 0.04) * conductivity) / diameterM;
}

/** Laminar flow along a flat plate, mean: Nu = 0.664·Re^½·Pr^⅓ (Mechanical Engineers' Handbook, vol. 4, p. 170). */
export function flatPlate(
  { conductivity, viscosityM2S, prandtl }: CoolingAir,
  speedMps: number,
  lengthM: number,
): number {
  const re = (speedMps * lengthM) / viscosityM2S;
  return (0.664 * Math.sqrt(re) * Math.cbrt(prandtl) * conductivity) / lengthM;
}

/** Upright plate in still air: 1.42·(ΔT/L)^¼ (simplified for air, heat-transfer handbooks; from memory). */
export function uprightPlate(excessK: number, heightM: number): number {
  return 1.42 * Math.sqrt(Math.sqrt(Math.max(0, excessK) / heightM));
}

function nusselt(re: number, laminar: number, power: number, turbulent: number): number {
  return re < 2.4e5 ? laminar * re ** power : turbulent * re ** 0.8;
}
