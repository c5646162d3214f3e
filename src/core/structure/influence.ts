/** What one turn of each nipple does to every tension and to the rim's trueness. */
import type { Wheel } from '../evidence/index.ts';
import { freedoms } from './beam.ts';
import { assemble, elongation, spokeNode, stretchOf, wheelModel } from './model.ts';
import type { ModelOptions } from './model.ts';
import { requireStanding } from './refusals.ts';

export interface InfluenceOptions extends ModelOptions {
  /** How far one turn draws the spoke, m. Default 25.4 mm / 56, the usual thread (common practice). */
  threadPitchM?: number;
  /** Count the softening by pretension. Default true. */
  tensioned?: boolean;
}

/** Row-major n × n: row = the spoke that answers, column = the nipple turned once, tightening. */
export interface Influence {
  spokes: number;
  threadPitchM: number;
  tensionPerTurnN: Float64Array;
  /** At the rim beside each spoke, to the left. */
  lateralPerTurnM: Float64Array;
  /** At the rim at each spoke, outwards. */
  radialPerTurnM: Float64Array;
}

/**
 * Influence of one tightening turn of each nipple: the spoke is made shorter by the thread's pitch and the
 * wheel finds its new balance, hub held. Throws `wheel-geometry` and `wheel-cannot-stand`.
 */
export function influence(wheel: Wheel, options: InfluenceOptions = {}): Influence {
  const { threadPitchM = 0.0254 / 56, tensioned = true } = options;
  const { model } = wheelModel(wheel, options);
  const factor = assemble(model, { tensionFactor: tensioned ? 1 : 0 }).factor();
  requireStanding(factor);
  const n = model.spokes.length;
  const result: Influence = {
    spokes: n,
    threadPitchM,
    tensionPerTurnN: new Float64Array(n * n),
    lateralPerTurnM: new Float64Array(n * n),
    radialPerTurnM: new Float64Array(n * n),
  };
  for (let turned = 0; turned < n; turned++) {
    const { axialStiffnessN, lengthM } = model.spokes[turned];
    const pull = (axialStiffnessN / lengthM) * threadPitchM;
    const right = new Float64Array(model.nodes * freedoms);
    const at = spokeNode(model, turned) * freedoms;
    stretchOf(model, turned).forEach((b, f) => (right[at + f] = -pull * b));
    const state = factor.solve(right);
    model.spokes.forEach((spoke, i) => {
      const rate = spoke.axialStiffnessN / spoke.lengthM;
      const node = spokeNode(model, i) * freedoms;
      const cell = i * n + turned;
      result.tensionPerTurnN[cell] = rate * elongation(model, i, state) + (i === turned ? pull : 0);
      result.radialPerTurnM[cell] = state[node];
      result.lateralPerTurnM[cell] = state[node + 2];
    });
  }
  return result;
}
