/** Temperature from heat content, for bodies of steel and aluminium together, melting included. */
import { aluminiumEnthalpy, steelEnthalpy } from '../../physics/index.ts';

/** Kilograms of each metal in one body. */
export interface Composition {
  steelKg: number;
  aluminiumKg: number;
}

/** Heat of the body above 0 °C at a temperature in °C, J. */
export function heatOf({ steelKg, aluminiumKg }: Composition, celsius: number): number {
  return (
    (steelKg === 0 ? 0 : steelKg * steelEnthalpy(celsius)) +
    (aluminiumKg === 0 ? 0 : aluminiumKg * aluminiumEnthalpy(celsius))
  );
}

const lowestC = -60;
/** Above it, only "destroyed" can be said. */
export const highestC = 1500;
const steps = 4096;

/** The way back: temperature by heat content, read off a table even in heat. */
export interface HeatTable {
  lowestJ: number;
  stepJ: number;
  celsius: Float64Array;
}

/** Heat is worked out at places this far apart, K. */
const fineK = 0.25;

/** Makes the table; straight lines between its 4096 places are within 0.01 K up to 700 °C. */
export function heatTable(body: Composition): HeatTable {
  const lowestJ = heatOf(body, lowestC);
  const stepJ = (heatOf(body, highestC) - lowestJ) / (steps - 1);
  const celsius = new Float64Array(steps);
  let [belowC, belowJ] = [lowestC, lowestJ];
  let aboveJ = heatOf(body, lowestC + fineK);
  for (let i = 0; i < steps; i++) {
    const wanted = lowestJ + i * stepJ;
    while (aboveJ < wanted && belowC + fineK < highestC) {
      belowC += fineK;
      belowJ = aboveJ;
      aboveJ = heatOf(body, belowC + fineK);
    }
    celsius[i] = belowC + (fineK * (wanted - belowJ)) / (aboveJ - belowJ);
  }
  return { lowestJ, stepJ, celsius };
}

/** °C of a body of the table's composition that holds a heat, J; its ends go on straight. */
export function temperatureOf({ lowestJ, stepJ, celsius }: HeatTable, heatJ: number): number {
  const place = (heatJ - lowestJ) / stepJ;
  const i = Math.min(steps - 2, Math.max(0, Math.floor(place)));
  return celsius[i] + (place - i) * (celsius[i + 1] - celsius[i]);
}
