/** The answers of a wheel to one newton at every place round its rim, solved together for drawing. */
import type { Side, Wheel } from '../evidence/index.ts';
import { freedoms } from './beam.ts';
import { assemble, elongation, wheelModel } from './model.ts';
import type { ModelOptions, WheelModel } from './model.ts';
import { requireStanding, requireTension } from './refusals.ts';

/** One newton at one place; the wheel answers in proportion until a spoke goes slack. */
export interface UnitLoadAnswer {
  angleRad: number;
  /** At every node of `nodeAngleRad`, m/N: to the left, outwards, with the rotation. */
  lateralM: Float64Array;
  radialM: Float64Array;
  tangentialM: Float64Array;
  /** N/N, in the order round the rim. */
  tensionChangeN: Float64Array;
  /** Load at which the first spoke has no tension left, N; null: none loses any. */
  firstSlackN: number | null;
}

/** An end of a spoke: to the left of the wheel's plane, and in it from the axle. */
export interface SpokeEnd {
  lateralM: number;
  radiusM: number;
  angleRad: number;
}

export interface UnitLoads {
  nodeAngleRad: Float64Array;
  spokes: { spoke: number; side: Side; tensionN: number; rim: SpokeEnd; hub: SpokeEnd }[];
  /** 1 N to the left, at every spoke and midway between. */
  sideways: UnitLoadAnswer[];
  /** 1 N towards the axle, at the same places. */
  inwards: UnitLoadAnswer[];
  /**
   * 1 N with the rotation at the same places: the road's push while the hub is braked, for a torque of
   * one newton times the rim's radius. Empty where all spokes are radial, which carry no torque.
   */
  forwards: UnitLoadAnswer[];
}

/** Flange hole and seat of a spoke, from its place, direction and length. */
function endsOf(
  { radiusM, nippleOffsetM }: WheelModel,
  spoke: WheelModel['spokes'][number],
): { rim: SpokeEnd; hub: SpokeEnd } {
  const { angleRad, direction, lengthM } = spoke;
  const [outwards, forwards, left] = direction.map((part) => part * lengthM);
  const seatM = radiusM - nippleOffsetM;
  return {
    rim: { lateralM: 0, radiusM: seatM, angleRad },
    hub: {
      lateralM: left,
      radiusM: Math.hypot(seatM + outwards, forwards),
      angleRad: angleRad + Math.atan2(forwards, seatM + outwards),
    },
  };
}

/**
 * Solves a unit side load, a unit inward load and a unit push along the rim at every spoke and midway
 * between two, hub held, softening by pretension included: one factor, three solutions a place.
 * Displacements in m/N at every second node. Throws `wheel-geometry` and `wheel-cannot-stand`.
 */
export function unitLoads(wheel: Wheel, options: ModelOptions = {}): UnitLoads {
  const { model } = wheelModel(wheel, options);
  requireTension(model);
  const factor = assemble(model).factor();
  requireStanding(factor);
  const half = model.elementsPerSpoke / 2;
  const step = half % 2 === 0 ? 2 : 1;
  const angleOf = (node: number): number => (2 * Math.PI * node) / model.nodes;
  const nodes = Array.from({ length: model.nodes / step }, (_, k) => k * step);
  const answer = (node: number, freedom: number, newtons: number): UnitLoadAnswer => {
    const right = new Float64Array(model.nodes * freedoms);
    right[node * freedoms + freedom] = newtons;
    const state = factor.solve(right);
    const column = (which: number): Float64Array =>
      Float64Array.from(nodes, (at) => state[at * freedoms + which]);
    const tensionChangeN = Float64Array.from(
      model.spokes,
      ({ axialStiffnessN, lengthM }, i) =>
        (axialStiffnessN / lengthM) * elongation(model, i, state),
    );
    const slackAt = model.spokes.map(({ tensionN }, i) =>
      tensionChangeN[i] < 0 ? -tensionN / tensionChangeN[i] : Infinity,
    );
    const first = Math.min(...slackAt);
    return {
      angleRad: angleOf(node),
      radialM: column(0),
      tangentialM: column(1),
      lateralM: column(2),
      tensionChangeN,
      firstSlackN: Number.isFinite(first) ? first : null,
    };
  };
  const places = Array.from({ length: 2 * model.spokes.length }, (_, k) => k * half);
  return {
    nodeAngleRad: Float64Array.from(nodes, angleOf),
    spokes: model.spokes.map((spoke, i) => ({
      spoke: i + 1,
      side: spoke.side,
      tensionN: spoke.tensionN,
      ...endsOf(model, spoke),
    })),
    sideways: places.map((node) => answer(node, 2, 1)),
    inwards: places.map((node) => answer(node, 0, -1)),
    forwards: model.spokes.every(({ role }) => role === 'radial')
      ? []
      : places.map((node) => answer(node, 1, 1)),
  };
}
