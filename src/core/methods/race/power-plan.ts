/** A plan of power as watts for each step of a road. */
import type { Course } from '../../courses/index.ts';
import type { PowerPlan } from './evidence.ts';
import type { Road } from './road.ts';

/** The slope that a rider answers to is that of this much road, m. */
const feltM = 50;

/** Metered power planned for each step, W. */
export function powerBySteps(plan: PowerPlan, road: Road, course: Course): Float64Array {
  const { steps } = road;
  if (plan.kind === 'constant') return new Float64Array(steps).fill(plan.powerW);
  if (plan.kind === 'ride') return meansBySteps(plan.powerW, steps);
  const half = Math.max(0, Math.round(feltM / 2 / road.stepM - 0.5));
  const { altitudeM } = road;
  return Float64Array.from({ length: steps }, (_, i) => {
    const a = Math.max(0, i - half);
    const b = Math.min(steps, i + 1 + half);
    const sine = (altitudeM[b] - altitudeM[a]) / ((b - a) * road.stepM);
    const percent = (100 * sine) / Math.sqrt(Math.max(1e-9, 1 - sine * sine));
    return between(plan.gradientPercent, plan.powerW, percent);
  });

  /** Means of the points' values within each step. */
  function meansBySteps(values: Float64Array, count: number): Float64Array {
    const n = course.distanceM.length - 1;
    return Float64Array.from({ length: count }, (_, i) => {
      const from = Math.floor((i * n) / count);
      const to = Math.max(from + 1, Math.floor(((i + 1) * n) / count));
      let sum = 0;
      for (let j = from; j < to; j++) sum += 0.5 * (values[j] + values[j + 1]);
      return sum / (to - from);
    });
  }
}

function between(x: readonly number[], y: readonly number[], at: number): number {
  const last = x.length - 1;
  if (at <= x[0]) return y[0];
  if (at >= x[last]) return y[last];
  let j = 0;
  while (x[j + 1] < at) j += 1;
  return y[j] + ((at - x[j]) / (x[j + 1] - x[j])) * (y[j + 1] - y[j]);
}
