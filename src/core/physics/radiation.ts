/** Stefan–Boltzmann constant, W/(m² K⁴) (CODATA 2018). */
export const stefanBoltzmann = 5.670374419e-8;

/** Net heat that a grey surface radiates to wide surroundings, W/m². Temperatures in °C. */
export function radiatedPerArea(emissivity: number, surfaceC: number, aroundC: number): number {
  const hot = (surfaceC + 273.15) ** 2;
  const cold = (aroundC + 273.15) ** 2;
  return emissivity * stefanBoltzmann * (hot * hot - cold * cold);
}
