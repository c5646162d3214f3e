import type { Balance } from './balance.ts';
import type { Between, Layout } from './wind-layout.ts';

/** The wind lies across a road as likely as along it: twice the mean square seen along is its whole. */
const wholeOverAlong = 2;

/**
 * Crosswind square of each row where a sensor but no heading is known, m²/s²: the whole wind's mean
 * square of the lap, less the row's own square along the road. Overwrites `cross`.
 */
export function setBlindCrosswind(
  cross: Float64Array,
  { rows }: Balance,
  meanAirspeed: Float64Array,
  lapCount: number,
): void {
  const square = new Float64Array(lapCount);
  const time = new Float64Array(lapCount);
  const head = (r: number) => meanAirspeed[r] - rows[r].distanceM / rows[r].durationS;
  rows.forEach((row, r) => {
    square[row.lap] += head(r) ** 2 * row.durationS;
    time[row.lap] += row.durationS;
  });
  rows.forEach((row, r) => {
    cross[r] = (wholeOverAlong * square[row.lap]) / time[row.lap] - head(r) ** 2;
  });
}

/** Mean square of the day's slow wind as its part along the road has it, m²/s²; at least 0.5. */
export function slowWindMeanSquare(
  x: Float64Array,
  layout: Layout,
  { steps }: Balance,
  meanKnots: Between,
): number {
  let square = 0;
  let time = 0;
  for (let s = 0; s < steps.count; s++) {
    const j = layout.firstMean + 2 * meanKnots.at[s];
    const on = meanKnots.share[s];
    const slow =
      ((1 - on) * x[j] + on * x[j + 2]) * steps.headingEast[s] +
      ((1 - on) * x[j + 1] + on * x[j + 3]) * steps.headingNorth[s];
    square += slow * slow * steps.dtS[s];
    time += steps.dtS[s];
  }
  return Math.max(0.5, (wholeOverAlong * square) / time);
}
