/**
 * The wheel as finite elements: a closed ring of beams on tensioned bars that end at a rigid hub.
 *
 * A spoke with tension T resists stretching with E·A/L and being led aside with T/L. The spokes' pull
 * leaves the rim under the compression `N = Σ T·(inward part) / 2π`, which softens it; because each pull
 * turns with its spoke, the pull's own share of the balance is in T/L and nothing else is needed (the
 * ring that buckles under centre-directed loads; Timoshenko & Gere, Theory of Elastic Stability).
 * Left out: the rim's bending moments at rest, and the twist softening of a section under axial stress.
 */
import type { Wheel } from '../evidence/index.ts';
import { LapbenchError } from '../units/index.ts';
import type { Problem } from '../units/index.ts';
import { RingMatrix } from './banded.ts';
import { freedoms, rimPiece } from './beam.ts';
import type { RingSection } from './beam.ts';
import { layOut, sideShapes } from './spokes.ts';
import type { Spoke } from './spokes.ts';

export interface ModelOptions {
  /** Pieces of rim from one spoke to the next; even, so that a node stands midway. Default 8. */
  elementsPerSpoke?: number;
  /** Shear areas of the rim's section; left out: no shear flexibility (Euler-Bernoulli). */
  shearAreasM2?: { radial: number; lateral: number };
  /** Tension of each spoke, in the order round the rim, instead of the sides' means. */
  tensionsN?: ArrayLike<number>;
}

export interface WheelModel {
  /** Nodes round the rim; node 0 at spoke 1, `elementsPerSpoke` from one spoke to the next. */
  nodes: number;
  elementsPerSpoke: number;
  radiusM: number;
  nippleOffsetM: number;
  section: RingSection;
  spokes: Spoke[];
}

/** How the model is to be assembled. */
export interface Assembly {
  /** Multiplies all pretension in the geometric stiffness; 0 leaves it out. Default 1. */
  tensionFactor?: number;
  /** Spokes that stretch elastically; a slack one does not. Default all. */
  stretching?: readonly boolean[];
  /** Spokes whose pull still stands; a slack one leads nothing aside and does not press the rim. */
  pulling?: readonly boolean[];
}

/** Model from its parts, without a sheet. Throws `wheel-geometry`. */
export function modelOf(
  section: RingSection,
  radiusM: number,
  nippleOffsetM: number,
  spokes: Spoke[],
  elementsPerSpoke = 8,
): WheelModel {
  if (!Number.isInteger(elementsPerSpoke) || elementsPerSpoke < 2 || elementsPerSpoke % 2 === 1) {
    throw new LapbenchError({
      code: 'wheel-geometry',
      message: `${elementsPerSpoke} pieces of rim between spokes leave no node midway.`,
      remedy: 'Give an even number, 2 or more.',
    });
  }
  const nodes = spokes.length * elementsPerSpoke;
  return { nodes, elementsPerSpoke, radiusM, nippleOffsetM, section, spokes };
}

function ringSection({ rim }: Wheel, options: ModelOptions): RingSection {
  const positive = {
    radiusM: rim.radiusM,
    materialEPa: rim.materialEPa,
    materialGPa: rim.materialGPa,
    areaM2: rim.areaM2,
    iRadialM4: rim.iRadialM4,
    iLateralM4: rim.iLateralM4,
    torsionM4: rim.torsionM4,
  };
  for (const [name, value] of Object.entries(positive)) {
    if (!(value > 0) || !Number.isFinite(value)) {
      throw new LapbenchError({
        code: 'wheel-geometry',
        place: { field: `rim.${name}` },
        message: `The rim's ${name} is ${value}.`,
        remedy: 'Give a number above zero.',
      });
    }
  }
  const shear = options.shearAreasM2;
  return {
    axialStiffnessN: rim.materialEPa * rim.areaM2,
    radialBendingNm2: rim.materialEPa * rim.iRadialM4,
    lateralBendingNm2: rim.materialEPa * rim.iLateralM4,
    torsionNm2: rim.materialGPa * rim.torsionM4,
    shearCentreOffsetM: rim.shearCentreOffsetM ?? 0,
    ...(shear
      ? {
          shearStiffnessN: {
            radial: rim.materialGPa * shear.radial,
            lateral: rim.materialGPa * shear.lateral,
          },
        }
      : {}),
  };
}

/** Model of a wheel. Throws `wheel-geometry`; warns of sides that do not balance. */
export function wheelModel(
  wheel: Wheel,
  options: ModelOptions = {},
): { model: WheelModel; warnings: Problem[] } {
  const section = ringSection(wheel, options);
  const { shapes, warnings } = sideShapes(wheel);
  const laid = layOut(shapes);
  const tensions = options.tensionsN;
  if (tensions && tensions.length !== laid.length) {
    throw new LapbenchError({
      code: 'wheel-geometry',
      place: { field: 'spokes' },
      message: `${tensions.length} tensions for a wheel of ${laid.length} spokes.`,
      remedy: 'Give one tension a spoke, in the order round the rim.',
    });
  }
  const spokes = tensions ? laid.map((spoke, i) => ({ ...spoke, tensionN: tensions[i] })) : laid;
  const { radiusM, nippleOffsetM } = wheel.rim;
  const model = modelOf(section, radiusM, nippleOffsetM, spokes, options.elementsPerSpoke);
  return { model, warnings };
}

/** Node at which a spoke (from 0) seats. */
export const spokeNode = (model: WheelModel, spoke: number): number =>
  spoke * model.elementsPerSpoke;

/** Axial force that the spokes' pull leaves in the rim, N; negative, for it presses. */
export function rimForceN(spokes: readonly Spoke[], pulling?: readonly boolean[]): number {
  const inwards = spokes.reduce(
    (sum, { tensionN, direction }, i) =>
      sum + (pulling && !pulling[i] ? 0 : -tensionN * direction[0]),
    0,
  );
  return -inwards / (2 * Math.PI);
}

/**
 * How much a spoke stretches for each freedom of its node, the hub held. The nipple moves with its node and
 * swings on the arm: by -offset times the turn about the axle's direction tangentially, by +offset times
 * that about the rim's own line sideways.
 */
export function stretchOf({ spokes, nippleOffsetM }: WheelModel, spoke: number): Float64Array {
  const [radial, tangential, lateral] = spokes[spoke].direction;
  const stretch = new Float64Array(freedoms);
  stretch[0] = -radial;
  stretch[1] = -tangential;
  stretch[2] = -lateral;
  stretch[4] = -lateral * nippleOffsetM;
  stretch[5] = tangential * nippleOffsetM;
  return stretch;
}

/** Stretch of a spoke in a state of displacement, m. */
export function elongation(model: WheelModel, spoke: number, state: ArrayLike<number>): number {
  const stretch = stretchOf(model, spoke);
  const at = spokeNode(model, spoke) * freedoms;
  let sum = 0;
  for (let f = 0; f < freedoms; f++) sum += stretch[f] * state[at + f];
  return sum;
}

/** Stiffness that a spoke, its far end held, gives its nipple: 3 × 3. */
export function spokeStiffness(spoke: Spoke, stretching: boolean, tensionN: number): number[][] {
  const along = stretching ? spoke.axialStiffnessN / spoke.lengthM : 0;
  const aside = tensionN / spoke.lengthM;
  return spoke.direction.map((di, i) =>
    spoke.direction.map((dj, j) => along * di * dj + aside * ((i === j ? 1 : 0) - di * dj)),
  );
}

/**
 * What a force at the end of a rigid arm adds when the arm turns (second order, symmetric part):
 * `(F·r) 1 - (F rᵀ + r Fᵀ) / 2` over the three turns.
 */
export function armStiffness(force: readonly number[], arm: readonly number[]): number[][] {
  const dot = force[0] * arm[0] + force[1] * arm[1] + force[2] * arm[2];
  return [0, 1, 2].map((i) =>
    [0, 1, 2].map((j) => (i === j ? dot : 0) - 0.5 * (force[i] * arm[j] + arm[i] * force[j])),
  );
}

/** Stiffness that spoke `i` gives the six freedoms of its node: row-major 6 × 6. */
export function spokeBlock(
  model: WheelModel,
  i: number,
  stretching: boolean,
  tensionN: number,
): Float64Array {
  const { direction, lengthM, axialStiffnessN } = model.spokes[i];
  const offset = model.nippleOffsetM;
  const stretch = stretchOf(model, i);
  const aside = tensionN / lengthM;
  const along = (stretching ? axialStiffnessN / lengthM : 0) - aside;
  const block = new Float64Array(freedoms * freedoms);
  for (let a = 0; a < freedoms; a++) {
    for (let b = 0; b < freedoms; b++) block[a * freedoms + b] = along * stretch[a] * stretch[b];
  }
  // The nipple's displacement against itself, whichever way it goes.
  const add = (a: number, b: number, value: number): void => {
    block[a * freedoms + b] += value;
    if (a !== b) block[b * freedoms + a] += value;
  };
  for (let a = 0; a < 3; a++) add(a, a, aside);
  add(1, 5, -offset * aside);
  add(2, 4, offset * aside);
  add(4, 4, offset * offset * aside);
  add(5, 5, offset * offset * aside);
  if (tensionN !== 0 && offset !== 0) {
    const force = direction.map((d) => d * tensionN);
    const turn = armStiffness(force, [-offset, 0, 0]);
    for (let a = 0; a < 3; a++) {
      for (let b = 0; b < 3; b++) block[(a + 3) * freedoms + b + 3] += turn[a][b];
    }
  }
  return block;
}

/** The rim alone, under an axial force. */
export function rimMatrix(
  { section, radiusM, nodes }: Pick<WheelModel, 'section' | 'radiusM' | 'nodes'>,
  forceN: number,
): RingMatrix {
  return RingMatrix.ofPieces(nodes, rimPiece(section, radiusM, (2 * Math.PI) / nodes, forceN));
}

/** Whether nothing resists the rim's turning about the hub: all spokes radial and no pull counted. */
export function spinsFreely(model: WheelModel, tensionFactor = 1): boolean {
  return model.spokes.every(
    ({ direction, tensionN }) => direction[1] === 0 && tensionN * tensionFactor === 0,
  );
}

/**
 * Stiffness of the wheel, hub held. A rim that nothing keeps from turning is tied in that one direction at
 * node 0: under loads without torque the tie carries nothing, so the answer is exact.
 */
export function assemble(model: WheelModel, how: Assembly = {}): RingMatrix {
  const { tensionFactor = 1, stretching, pulling } = how;
  const rimForce = tensionFactor === 0 ? 0 : tensionFactor * rimForceN(model.spokes, pulling);
  const matrix = rimMatrix(model, rimForce);
  model.spokes.forEach((spoke, i) => {
    const tension = pulling && !pulling[i] ? 0 : tensionFactor * spoke.tensionN;
    const block = spokeBlock(model, i, stretching ? stretching[i] : true, tension);
    matrix.addBlock([spokeNode(model, i)], block);
  });
  if (spinsFreely(model, tensionFactor)) {
    matrix.add(0, 1, 0, 1, model.spokes[0].axialStiffnessN / model.spokes[0].lengthM);
  }
  return matrix;
}
