/** A wheel under load: where the rim goes, what each spoke gains or loses, and which go slack. */
import type { Wheel } from '../evidence/index.ts';
import type { RingMatrix } from './banded.ts';
import { freedoms } from './beam.ts';
import { assemble, elongation, spokeNode, stretchOf, wheelModel } from './model.ts';
import type { ModelOptions, WheelModel } from './model.ts';
import { refuse, requireCrossed, requireStanding, requireTension } from './refusals.ts';
import { hubReaction } from './hub.ts';
import type { HubReaction } from './hub.ts';

/** A force on the rim's centroid line. */
export interface RimForce {
  /** Place round the rim, from spoke 1 in the direction of rotation. */
  angleRad: number;
  /** To the left. */
  lateralN?: number;
  /** Outwards; the road pushes inwards, which is below zero. */
  radialN?: number;
  /** With the rotation. */
  tangentialN?: number;
}

export interface WheelLoad {
  forces?: readonly RimForce[];
  /**
   * Torque that the brake disc puts on the hub, positive when it slows a wheel rolling forwards; drive is
   * negative. The hub turns against the rim held at the tyre contact.
   */
  brakeTorqueNm?: number;
  /** Where the contact is; left out: spread evenly round the rim, which is the mean over a turn. */
  contactAngleRad?: number;
}

export interface LoadOptions extends ModelOptions {
  /** Count the softening by pretension (spoke T/L and the rim's compression). Default true. */
  tensioned?: boolean;
  /** Let spokes go slack instead of pushing. Default true; then the wheel must have tension. */
  unilateral?: boolean;
}

/** Displacements of the rim's nodes; lateral to the left, radial outwards, tangential with the rotation. */
export interface RimShape {
  angleRad: Float64Array;
  lateralM: Float64Array;
  radialM: Float64Array;
  tangentialM: Float64Array;
  /** Turn about the rim's own line. */
  twistRad: Float64Array;
}

export interface LoadedWheel {
  displacements: RimShape;
  /** Order round the rim, as all arrays by spoke. */
  spokeTensionN: Float64Array;
  spokeTensionChangeN: Float64Array;
  slack: boolean[];
  /** What the axle gives to the hub. */
  hub: HubReaction;
  /** Work of the load, half its forces times their displacements as long as no spoke goes slack, J. */
  workJ: number;
  /** Solutions needed until the set of slack spokes stood still. */
  iterations: number;
}

/** Adds one force, shared between the two neighbouring nodes as the beam between them does. */
function addForce(model: WheelModel, into: Float64Array, force: RimForce): void {
  const step = (2 * Math.PI) / model.nodes;
  const turns = force.angleRad / (2 * Math.PI);
  const place = (turns - Math.floor(turns)) * model.nodes;
  // A hair's breadth beside a node is the node.
  const near = Math.round(place);
  const whole = Math.abs(place - near) < 1e-9 ? near : Math.floor(place);
  const s = Math.max(0, place - whole);
  const a = (whole % model.nodes) * freedoms;
  const b = ((whole + 1) % model.nodes) * freedoms;
  const { lateralN = 0, radialN = 0, tangentialN = 0 } = force;
  if (s < 1e-9) {
    into[a] += radialN;
    into[a + 1] += tangentialN;
    into[a + 2] += lateralN;
    return;
  }
  const l = 2 * model.radiusM * Math.sin(step / 2);
  const [first, firstSlope] = [1 - 3 * s * s + 2 * s ** 3, l * s * (1 - s) ** 2];
  const [second, secondSlope] = [3 * s * s - 2 * s ** 3, l * s * s * (s - 1)];
  // The force's directions turn by a part of the step against those of the nodes.
  const toward = (at: number, angle: number, share: number, along: number): void => {
    into[at] += share * radialN * Math.cos(angle) - along * tangentialN * Math.sin(angle);
    into[at + 1] += along * tangentialN * Math.cos(angle) + share * radialN * Math.sin(angle);
    into[at + 2] += share * lateralN;
  };
  toward(a, s * step, first, 1 - s);
  toward(b, (s - 1) * step, second, s);
  into[a + 3] += firstSlope * lateralN;
  into[a + 5] -= firstSlope * radialN;
  into[b + 3] += secondSlope * lateralN;
  into[b + 5] -= secondSlope * radialN;
}

/** Forces on the nodes of a load. The hub's torque stands as the tangential force that balances it. */
export function loadVector(model: WheelModel, load: WheelLoad): Float64Array {
  const vector = new Float64Array(model.nodes * freedoms);
  for (const force of load.forces ?? []) addForce(model, vector, force);
  const torque = load.brakeTorqueNm ?? 0;
  if (torque !== 0) {
    // Braking, the hub is held back and the road pulls the rim on with the rotation.
    const push = torque / model.radiusM;
    if (load.contactAngleRad !== undefined) {
      addForce(model, vector, { angleRad: load.contactAngleRad, tangentialN: push });
    } else {
      for (let node = 0; node < model.nodes; node++) {
        vector[node * freedoms + 1] += push / model.nodes;
      }
    }
  }
  return vector;
}

const dot = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
};

interface Settled {
  state: Float64Array;
  change: Float64Array;
  slack: boolean[];
  iterations: number;
}

/** Elastic stiffness of each spoke along itself. */
const rates = ({ spokes }: WheelModel): number[] =>
  spokes.map((spoke) => spoke.axialStiffnessN / spoke.lengthM);

/**
 * Newton's method on the energy of a wheel whose spokes pull but never push. The energy is convex and
 * piecewise quadratic, so with the exact line search each step lowers it and the same set of slack spokes
 * cannot return: the search ends.
 */
function settle(
  model: WheelModel,
  force: Float64Array,
  tensionFactor: number,
  pulling: boolean[],
): Settled {
  const count = model.spokes.length;
  const rate = rates(model);
  const stretch = model.spokes.map((_, i) => stretchOf(model, i));
  const stretches = (state: ArrayLike<number>): Float64Array =>
    Float64Array.from({ length: count }, (_, i) => elongation(model, i, state));
  const limit = model.spokes.map(({ tensionN }) => -tensionN);
  const isSlack = (e: Float64Array): boolean[] => limit.map((low, i) => rate[i] * e[i] < low);

  let bare: RingMatrix | null = null;
  let state: Float64Array = new Float64Array(force.length);
  let slack = model.spokes.map(() => false);
  for (let iteration = 1; ; iteration++) {
    const stretching = slack.map((is) => !is);
    const factor = assemble(model, { tensionFactor, pulling, stretching }).factor();
    requireStanding(factor, slack.filter(Boolean).length);
    const right = force.slice();
    slack.forEach((is, i) => {
      const at = spokeNode(model, i) * freedoms;
      if (is) stretch[i].forEach((b, f) => (right[at + f] -= limit[i] * b));
    });
    const next = factor.solve(right);
    const e = stretches(next);
    const now = isSlack(e);
    if (now.every((is, i) => is === slack[i])) {
      const change = Float64Array.from(e, (x, i) => (now[i] ? limit[i] : rate[i] * x));
      return { state: next, change, slack: now, iterations: iteration };
    }
    if (iteration > 10 * count) {
      refuse(
        'The slack spokes of this load do not settle: the wheel is at the edge of giving way.',
        'Use a smaller load or more tension.',
      );
    }
    // Exact line search: the slope of the energy along the step grows piecewise linearly.
    bare ??= assemble(model, { tensionFactor, pulling, stretching: model.spokes.map(() => false) });
    const step = next.map((x, i) => x - state[i]);
    const pull = bare.times(step);
    const start = dot(step, bare.times(state)) - dot(step, force);
    const growth = dot(step, pull);
    const from = stretches(state);
    const by = stretches(step);
    const slope = (s: number): number =>
      from.reduce(
        (sum, x, i) => sum + by[i] * Math.max(limit[i], rate[i] * (x + s * by[i])),
        start + s * growth,
      );
    let [low, high] = [0, 1];
    while (slope(high) < 0 && high < 1024) [low, high] = [high, 2 * high];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (slope(middle) < 0) low = middle;
      else high = middle;
    }
    state = state.map((x, i) => x + high * step[i]);
    slack = isSlack(stretches(state));
  }
}

/** The rim's nodes in a state of displacement. */
export function rimShape(model: WheelModel, state: ArrayLike<number>): RimShape {
  const column = (freedom: number): Float64Array => {
    const values = new Float64Array(model.nodes);
    for (let node = 0; node < model.nodes; node++) values[node] = state[node * freedoms + freedom];
    return values;
  };
  return {
    angleRad: Float64Array.from({ length: model.nodes }, (_, i) => (2 * Math.PI * i) / model.nodes),
    radialM: column(0),
    tangentialM: column(1),
    lateralM: column(2),
    twistRad: column(4),
  };
}

/** `solveLoad` on a model that stands already. */
export function solveModel(
  model: WheelModel,
  load: WheelLoad,
  options: Pick<LoadOptions, 'tensioned' | 'unilateral'> = {},
): LoadedWheel {
  const { tensioned = true, unilateral = true } = options;
  const tensionFactor = tensioned ? 1 : 0;
  if ((load.brakeTorqueNm ?? 0) !== 0) requireCrossed(model);
  const force = loadVector(model, load);
  let pulling = model.spokes.map(() => true);
  let settled: Settled;
  let iterations = 0;
  if (unilateral) {
    requireTension(model);
    // A slack spoke leads nothing aside either. The set only grows, so this ends.
    for (;;) {
      settled = settle(model, force, tensionFactor, pulling);
      iterations += settled.iterations;
      const { slack } = settled;
      const grown = pulling.map((pulls, i) => pulls && !slack[i]);
      if (grown.every((pulls, i) => pulls === pulling[i])) break;
      pulling = grown;
    }
  } else {
    const factor = assemble(model, { tensionFactor }).factor();
    requireStanding(factor);
    const state = factor.solve(force);
    const rate = rates(model);
    const change = Float64Array.from(rate, (k, i) => k * elongation(model, i, state));
    settled = { state, change, slack: model.spokes.map(() => false), iterations: 1 };
    iterations = 1;
  }
  const { state, change, slack } = settled;
  return {
    displacements: rimShape(model, state),
    spokeTensionN: change.map((x, i) => (slack[i] ? 0 : model.spokes[i].tensionN + x)),
    spokeTensionChangeN: change,
    slack,
    hub: hubReaction(model, state, change, tensionFactor, pulling),
    workJ: dot(force, state) / 2,
    iterations,
  };
}

/**
 * Wheel under a load, hub held. Linear in the load until a spoke goes slack.
 * Throws `wheel-geometry`, and `wheel-cannot-stand` when it has no tension, gives way, or is all radial
 * under torque.
 */
export function solveLoad(wheel: Wheel, load: WheelLoad, options: LoadOptions = {}): LoadedWheel {
  return solveModel(wheelModel(wheel, options).model, load, options);
}
