/** All numbers of a wheel: stiffnesses with and without pretension, and what each spoke feels. */
import type { BearingStiffness, Side, Wheel } from '../evidence/index.ts';
import type { Problem } from '../units/index.ts';
import type { RingFactor } from './banded.ts';
import { freedoms } from './beam.ts';
import { collapseFactor } from './collapse.ts';
import { onBearings } from './hub.ts';
import { assemble, elongation, spinsFreely, spokeNode, stretchOf, wheelModel } from './model.ts';
import type { ModelOptions, WheelModel } from './model.ts';
import { requireCrossed, requireStanding, requireTension } from './refusals.ts';
import { layOut, sideShapes } from './spokes.ts';
import type { Spoke, SpokeRole } from './spokes.ts';

/**
 * Stiffness under unit load on the rim's centroid line, hub held: at spoke 1, and midway between spokes 1
 * and 2 (places along a crossed wheel differ by a few percent radially, next to nothing sideways). The
 * headline is the mean of the two. Torsion: torque on the hub against the rim held tangentially there.
 */
export interface Stiffnesses {
  lateralNPerMm: number;
  radialNPerMm: number;
  torsionalNmPerDeg: number;
  lateralAtSpokeNPerMm: number;
  lateralMidwayNPerMm: number;
  radialAtSpokeNPerMm: number;
  radialMidwayNPerMm: number;
  torsionalAtSpokeNmPerDeg: number;
  torsionalMidwayNmPerDeg: number;
}

export interface SpokeMechanics {
  /** From 1, round the rim in the direction of rotation. */
  spoke: number;
  angleRad: number;
  side: Side;
  /** Geometry: a trailing spoke's rim end lies behind its flange hole in the direction of rotation. */
  role: SpokeRole;
  lengthM: number;
  bracingAngleRad: number;
  tensionN: number;
  /**
   * Change of tension for 1 N·m of brake torque: the disc holds the hub of a wheel rolling forwards back
   * and the road pushes the rim on. Mean over a turn of the wheel. Positive: gains under braking.
   */
  deltaTensionPerNm: number;
  /** Least and greatest of that while the wheel turns and the contact passes every node. */
  deltaTensionRangePerNm: [number, number];
  /** Change for 1 N to the left at the rim beside spoke 1. */
  deltaTensionPerSideN: number;
  /** Change for 1 N inwards at the rim at spoke 1: the road's push. */
  deltaTensionPerRadialN: number;
}

export interface WheelMechanics extends Stiffnesses {
  lateralUntensionedNPerMm: number;
  radialUntensionedNPerMm: number;
  torsionalUntensionedNmPerDeg: number;
  untensioned: Stiffnesses;
  /** With the springs of the bearings, when the sheet has any: what a bench sees. */
  onBearings: Stiffnesses | null;
  spokes: SpokeMechanics[];
  /** Pressing force in the rim at rest, N. */
  rimCompressionN: number;
  /** Mean tension of the tighter side at which the stiffness is gone, N; null: none below 1 MN. */
  collapseTensionN: number | null;
  /** Side load at the rim beside a spoke under which the first spoke goes slack, N. */
  firstSlackSideLoadN: number | null;
  warnings: Problem[];
}

const degree = Math.PI / 180;

type Solve = (right: ArrayLike<number>) => Float64Array;

/** Displacement per unit force at a node in one direction. */
function compliance(model: WheelModel, solve: Solve, node: number, freedom: number): number {
  const right = new Float64Array(model.nodes * freedoms);
  right[node * freedoms + freedom] = 1;
  return solve(right)[node * freedoms + freedom];
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, x) => sum + x, 0) / values.length;

/** Spokes after which the lacing repeats itself; all if it never does. */
function period({ spokes }: WheelModel): number {
  const same = (i: number, j: number): boolean => {
    const [a, b] = [spokes[i], spokes[j]];
    return (
      a.lengthM === b.lengthM &&
      a.axialStiffnessN === b.axialStiffnessN &&
      a.tensionN === b.tensionN &&
      a.direction.every((x, k) => x === b.direction[k])
    );
  };
  for (let p = 1; p < spokes.length; p++) {
    if (spokes.length % p === 0 && spokes.every((_, i) => same(i, (i + p) % spokes.length))) {
      return p;
    }
  }
  return spokes.length;
}

/** Stiffnesses by a solver of the wheel; torsion is 0 where nothing resists it. */
export function stiffnesses(model: WheelModel, solve: Solve, spins: boolean): Stiffnesses {
  const half = model.elementsPerSpoke / 2;
  const at = (freedom: number, node: number): number => 1 / compliance(model, solve, node, freedom);
  const perMm = 1e-3;
  const lateral = [at(2, 0) * perMm, at(2, half) * perMm];
  const radial = [at(0, 0) * perMm, at(0, half) * perMm];
  // A turn of the whole wheel strains nothing: hub turned against a held rim is rim pushed against a held hub.
  const perDegree = model.radiusM ** 2 * degree;
  const torsion = spins ? [0, 0] : [at(1, 0) * perDegree, at(1, half) * perDegree];
  return {
    lateralNPerMm: mean(lateral),
    radialNPerMm: mean(radial),
    torsionalNmPerDeg: mean(torsion),
    lateralAtSpokeNPerMm: lateral[0],
    lateralMidwayNPerMm: lateral[1],
    radialAtSpokeNPerMm: radial[0],
    radialMidwayNPerMm: radial[1],
    torsionalAtSpokeNmPerDeg: torsion[0],
    torsionalMidwayNmPerDeg: torsion[1],
  };
}

/** Stiffnesses of a model with its tensions times a factor; 0 leaves pretension out. Throws when it falls. */
export function modelStiffnesses(model: WheelModel, tensionFactor: number): Stiffnesses {
  const factor = assemble(model, { tensionFactor }).factor();
  requireStanding(factor);
  return stiffnesses(model, (right) => factor.solve(right), spinsFreely(model, tensionFactor));
}

/** Tension changes of all spokes for unit loads, by reciprocity: one solution a spoke. */
function spokeResponses(model: WheelModel, factor: RingFactor) {
  return model.spokes.map((spoke, i) => {
    const right = new Float64Array(model.nodes * freedoms);
    const rate = spoke.axialStiffnessN / spoke.lengthM;
    stretchOf(model, i).forEach((b, f) => (right[spokeNode(model, i) * freedoms + f] = rate * b));
    const answer = factor.solve(right);
    const torque = Array.from(
      { length: model.nodes },
      (_, node) => answer[node * freedoms + 1] / model.radiusM,
    );
    return {
      perNm: mean(torque),
      range: [Math.min(...torque), Math.max(...torque)] as [number, number],
      perSideN: answer[2],
      perRadialN: -answer[0],
    };
  });
}

/** Least side load, either way and beside any spoke of the repeating part, that takes a spoke's tension. */
function firstSlack(model: WheelModel, factor: RingFactor): number | null {
  let least = Infinity;
  for (let beside = 0; beside < period(model); beside++) {
    const right = new Float64Array(model.nodes * freedoms);
    right[spokeNode(model, beside) * freedoms + 2] = 1;
    const state = factor.solve(right);
    model.spokes.forEach((spoke, i) => {
      const perN = (spoke.axialStiffnessN / spoke.lengthM) * elongation(model, i, state);
      if (Math.abs(perN) > 1e-12) least = Math.min(least, spoke.tensionN / Math.abs(perN));
    });
  }
  return Number.isFinite(least) ? least : null;
}

/** Where a side load stands: beside spoke 1, midway to spoke 2, or the mean of the two stiffnesses. */
export type LateralPlace = 'spoke' | 'midway' | 'mean';

/** Lateral stiffness of a model under its tension, N/mm; null when it gives way. */
export function lateralStiffness(
  model: WheelModel,
  at: LateralPlace,
  bearing: BearingStiffness | null,
): number | null {
  const factor = assemble(model).factor();
  if (factor.negative > 0) return null;
  const solve = bearing ? onBearings(model, factor, 1, bearing) : factor.solve;
  const half = model.elementsPerSpoke / 2;
  const nodes = { spoke: [0], midway: [half], mean: [0, half] }[at];
  return mean(nodes.map((node) => 1e-3 / compliance(model, solve, node, 2)));
}

/**
 * All numbers of a wheel. Throws `wheel-geometry` for impossible dimensions and `wheel-cannot-stand` without
 * tension, above the tension it bears, or all radial with a brake disc.
 */
export function wheelMechanics(wheel: Wheel, options: ModelOptions = {}): WheelMechanics {
  const { model, warnings } = wheelModel(wheel, options);
  requireTension(model);
  if (wheel.discSide !== null) requireCrossed(model);
  const radial = model.spokes.every(({ role }) => role === 'radial');
  if (radial) {
    warnings.push({
      code: 'wheel-cannot-stand',
      place: { field: 'spokes' },
      message:
        'All spokes are radial: torque on the hub is carried only by the wind-up of the spokes, and no spoke feels it at first.',
      remedy: 'Use such a wheel without a brake disc and without drive.',
    });
  }
  const factor = assemble(model).factor();
  requireStanding(factor);
  const tensioned = stiffnesses(model, (right) => factor.solve(right), false);
  const untensioned = modelStiffnesses(model, 0);
  const bearing = wheel.hub.bearingStiffness;
  const responses = spokeResponses(model, factor);
  const collapse = collapseFactor(
    model,
    1e6 / Math.max(...model.spokes.map((s) => s.tensionN)),
    1e-5,
  );
  const tighter = Math.max(
    ...(['left', 'right'] as const).map((side) =>
      mean(model.spokes.filter((s) => s.side === side).map((s) => s.tensionN)),
    ),
  );
  const inwards = model.spokes.reduce((sum, s) => sum - s.tensionN * s.direction[0], 0);
  return {
    ...tensioned,
    lateralUntensionedNPerMm: untensioned.lateralNPerMm,
    radialUntensionedNPerMm: untensioned.radialNPerMm,
    torsionalUntensionedNmPerDeg: untensioned.torsionalNmPerDeg,
    untensioned,
    onBearings: bearing ? stiffnesses(model, onBearings(model, factor, 1, bearing), false) : null,
    spokes: model.spokes.map((spoke, i) => ({
      spoke: i + 1,
      angleRad: spoke.angleRad,
      side: spoke.side,
      role: spoke.role,
      lengthM: spoke.lengthM,
      bracingAngleRad: Math.asin(Math.abs(spoke.direction[2])),
      tensionN: spoke.tensionN,
      deltaTensionPerNm: radial ? 0 : responses[i].perNm,
      deltaTensionRangePerNm: radial ? [0, 0] : responses[i].range,
      deltaTensionPerSideN: responses[i].perSideN,
      deltaTensionPerRadialN: responses[i].perRadialN,
    })),
    rimCompressionN: inwards / (2 * Math.PI),
    collapseTensionN: collapse === null ? null : collapse * tighter,
    firstSlackSideLoadN: firstSlack(model, factor),
    warnings,
  };
}

/** The spokes round the rim at rest, without solving anything. Throws `wheel-geometry`. */
export function wheelSpokes(wheel: Wheel): readonly Spoke[] {
  return layOut(sideShapes(wheel).shapes);
}

/**
 * Stiffnesses without pretension, for wheels whose tension is not known too.
 * Throws `wheel-geometry`.
 */
export function untensionedStiffnesses(wheel: Wheel, options: ModelOptions = {}): Stiffnesses {
  return modelStiffnesses(wheelModel(wheel, options).model, 0);
}
