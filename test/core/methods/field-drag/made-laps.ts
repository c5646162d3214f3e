import type { CompareInput, Comparison } from '../../../../src/core/methods/field-drag/compare.ts';
import type { ComparedLap } from '../../../../src/core/methods/field-drag/lap-model.ts';

/** Input in which nothing but the laps themselves carries doubt. */
export function inputOf(laps: ComparedLap[], more: Partial<CompareInput> = {}): CompareInput {
  const n = laps.length;
  const none = new Float64Array(n);
  return {
    laps,
    covariance: new Float64Array(n * n),
    setupCount: 1 + Math.max(...laps.map((lap) => lap.setup)),
    control: 0,
    sensitivity: { crr: none, massKg: none, efficiency: none, meanSquareM2PerS2: none },
    uncertainty: { crr: 0, massKg: 0, efficiency: 0, meanSquareM2PerS2: 0, model: 0 },
    ...more,
  };
}

export const differences = (comparison: Comparison) =>
  comparison.difference.filter((e) => e !== null);

/** Lap values with scatter of runs and laps: `noise` holds one number a run, then one a lap. */
export function smallDay(noise: number[], lapsPerRun = 3): ComparedLap[] {
  const order = [0, 1, 2, 2, 1, 0];
  return order.flatMap((setup, run) =>
    Array.from({ length: lapsPerRun }, (_, lap) => ({
      setup,
      run: run + 1,
      timeH: 0.4 * run + 0.08 * lap,
      cdaM2:
        0.24 -
        0.004 * setup +
        0.001 * noise[run] +
        0.002 * noise[order.length + run * lapsPerRun + lap],
    })),
  );
}
