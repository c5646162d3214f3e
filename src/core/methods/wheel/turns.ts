/** What one turn of each nipple does, as the finding tells it. */
import type { Wheel } from '../../evidence/index.ts';
import { influence } from '../../structure/index.ts';
import type { NippleInfluence } from './result.ts';

const milli = 1e-3;

/** The influence of one tightening turn of each nipple, hub held, softening by pretension counted. */
export function nippleInfluence(wheel: Wheel): NippleInfluence {
  const found = influence(wheel);
  const rows = (flat: Float64Array, unit: number): number[][] =>
    Array.from({ length: found.spokes }, (_, row) =>
      Array.from(
        flat.subarray(row * found.spokes, (row + 1) * found.spokes),
        (value) => value / unit,
      ),
    );
  return {
    threadPitchMm: found.threadPitchM / milli,
    tensionPerTurnN: rows(found.tensionPerTurnN, 1),
    leftPerTurnMm: rows(found.lateralPerTurnM, milli),
    outwardPerTurnMm: rows(found.radialPerTurnM, milli),
  };
}
