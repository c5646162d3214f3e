/**
 * Steel that gets hot. Specific heat: EN 1993-1-2:2005, 3.4.1.2, stated for carbon steel from 20 to
 * 1200 °C; taken here for the ferritic and martensitic chromium steels of brake rotors too, whose
 * 460 J/(kg K) between 0 and 100 °C (data sheet of AISI 410) is the curve's own mean there. The peak at
 * 735 °C is the change of phase. Below 20 °C the first branch goes on.
 */

/** Specific heat, J/(kg K), at a temperature in °C. EN 1993-1-2, equations 3.2a to 3.2d. */
export function steelSpecificHeat(celsius: number): number {
  const t = celsius;
  if (t < 600) return 425 + 0.773 * t - 1.69e-3 * t * t + 2.22e-6 * t * t * t;
  if (t < 735) return 666 + 13002 / (738 - t);
  if (t < 900) return 545 + 17820 / (t - 731);
  return 650;
}

/** Heat to bring 1 kg from 0 °C to a temperature in °C, J/kg: the exact integral of `steelSpecificHeat`. */
export function steelEnthalpy(celsius: number): number {
  const first = (t: number): number =>
    425 * t + (0.773 * t * t) / 2 - (1.69e-3 * t ** 3) / 3 + (2.22e-6 * t ** 4) / 4;
  const t = celsius;
  if (t < 600) return first(t);
  const second = (at: number): number => 666 * (at - 600) + 13002 * Math.log(138 / (738 - at));
  if (t < 735) return first(600) + second(t);
  const third = (at: number): number => 545 * (at - 735) + 17820 * Math.log((at - 731) / 4);
  const to735 = first(600) + second(735);
  return t < 900 ? to735 + third(t) : to735 + third(900) + 650 * (t - 900);
}

/** Conductivity of carbon steel, W/(m K), at a temperature in °C. EN 1993-1-2, 3.4.1.3. */
export function carbonSteelConductivity(celsius: number): number {
  return celsius < 800 ? 54 - 3.33e-2 * celsius : 27.3;
}

/**
 * Conductivity of the chromium steel of rotors, W/(m K), at a temperature in °C: the line through AISI 410's
 * 24.9 at 100 °C and 28.7 at 500 °C (data sheet), held at its ends beyond 0 and 800 °C.
 */
export function chromiumSteelConductivity(celsius: number): number {
  const t = Math.min(800, Math.max(0, celsius));
  return 24.9 + ((28.7 - 24.9) / 400) * (t - 100);
}

/** Density of chromium steel, kg/m³ (data sheets of AISI 410 and 420: 7800, 7700). */
export const chromiumSteelDensity = 7750;
