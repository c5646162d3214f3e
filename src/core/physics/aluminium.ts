/**
 * Aluminium that gets hot and melts. Specific heat 903 + 0.41·θ J/(kg K): EN 1999-1-2 (from memory), to
 * 500 °C, carried on to the solidus. Solidus of EN AW-6061 582 °C (from memory), melting point of pure
 * aluminium 660.323 °C (ITS-90), heat of fusion 397 kJ/kg (from memory); between the two the heat of
 * fusion is taken up evenly, then 1180 J/(kg K) for the liquid (from memory).
 */

/** °C at which an alloyed core begins to melt. */
export const aluminiumSolidusC = 582;
/** °C at which pure aluminium melts, ITS-90. */
export const aluminiumMeltingC = 660.323;
export const aluminiumDensity = 2700;

const fusion = 397e3;
const liquidHeat = 1180;
const solid = (t: number): number => 903 * t + 0.205 * t * t;

/** Heat to bring 1 kg from 0 °C to a temperature in °C, melting included, J/kg. */
export function aluminiumEnthalpy(celsius: number): number {
  const t = celsius;
  if (t <= aluminiumSolidusC) return solid(t);
  const width = aluminiumMeltingC - aluminiumSolidusC;
  const inMelting = Math.min(t, aluminiumMeltingC) - aluminiumSolidusC;
  return (
    solid(aluminiumSolidusC) +
    (fusion * inMelting) / width +
    (903 + 0.41 * aluminiumSolidusC) * inMelting +
    (t > aluminiumMeltingC ? liquidHeat * (t - aluminiumMeltingC) : 0)
  );
}
