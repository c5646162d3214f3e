/** Heat where two bodies rub. */

/** Thermal effusivity √(k·ρ·c), W s½/(m² K): how readily a body takes heat up. */
export function effusivity(
  conductivity: number,
  densityKgM3: number,
  specificHeat: number,
): number {
  return Math.sqrt(conductivity * densityKgM3 * specificHeat);
}

/**
 * Share of the friction heat that goes into the pads while both are fresh: e_p·A_p/(e_p·A_p + e_r·A_r) with
 * the effusivities and the areas that each offers, the whole swept path for the rotor (Limpert, Brake Design and
 * Safety; from memory).
 */
export function padShare(
  pad: { effusivity: number; areaM2: number },
  rotor: { effusivity: number; areaM2: number },
): number {
  const toPads = pad.effusivity * pad.areaM2;
  return toPads / (toPads + rotor.effusivity * rotor.areaM2);
}

/** Rise of the surface of a half-space under a steady flux, K: 2·q·√(t/π)/e (Carslaw and Jaeger, 2.9). */
export function surfaceRise(fluxWPerM2: number, timeS: number, bodyEffusivity: number): number {
  return (2 * fluxWPerM2 * Math.sqrt(timeS / Math.PI)) / bodyEffusivity;
}
