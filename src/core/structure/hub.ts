/** The hub's side of the balance: what the axle must give, and what the bearings' springs add. */
import type { BearingStiffness } from '../evidence/index.ts';
import { freedoms } from './beam.ts';
import type { RingFactor } from './banded.ts';
import { armStiffness, spokeNode, spokeStiffness } from './model.ts';
import type { WheelModel } from './model.ts';

type Three = [number, number, number];

/** In fixed axes: first towards spoke 1, second a quarter turn on with the rotation, third to the left. */
export interface HubReaction {
  forceN: Three;
  /** About the hub's middle. */
  momentNm: Three;
}

const cross = (a: readonly number[], b: readonly number[]): Three => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/** From the directions at a place of the rim to fixed axes. */
function fixed(vector: readonly number[], angle: number): Three {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [c * vector[0] - s * vector[1], s * vector[0] + c * vector[1], vector[2]];
}

const nippleOf = (model: WheelModel, i: number): Three =>
  fixed([model.radiusM - model.nippleOffsetM, 0, 0], model.spokes[i].angleRad);

/** Flange hole of spoke `i` in fixed axes. */
function holeOf(model: WheelModel, i: number): Three {
  const { direction, lengthM, angleRad } = model.spokes[i];
  const seat = nippleOf(model, i);
  const along = fixed(direction, angleRad);
  return [0, 1, 2].map((k) => seat[k] + lengthM * along[k]) as Three;
}

/** Displacement of the nipple of spoke `i`, in the directions of its place. */
function seatDisplacement(model: WheelModel, i: number, state: ArrayLike<number>): Three {
  const at = spokeNode(model, i) * freedoms;
  const o = model.nippleOffsetM;
  return [state[at], state[at + 1] - o * state[at + 5], state[at + 2] + o * state[at + 4]];
}

/**
 * Force and moment that the axle gives to the hub in answer to the load: minus what the spokes' changed
 * pulls do there.
 */
export function hubReaction(
  model: WheelModel,
  state: ArrayLike<number>,
  changeN: ArrayLike<number>,
  tensionFactor: number,
  pulling: readonly boolean[],
): HubReaction {
  const forceN: Three = [0, 0, 0];
  const momentNm: Three = [0, 0, 0];
  model.spokes.forEach((spoke, i) => {
    const moved = seatDisplacement(model, i, state);
    const tension = pulling[i] ? tensionFactor * spoke.tensionN : 0;
    const aside = spokeStiffness(spoke, false, tension);
    const onHub = fixed(
      [0, 1, 2].map(
        (p) =>
          -changeN[i] * spoke.direction[p] + aside[p].reduce((sum, k, q) => sum + k * moved[q], 0),
      ),
      spoke.angleRad,
    );
    const moment = cross(holeOf(model, i), onHub);
    for (let k = 0; k < 3; k++) {
      forceN[k] -= onHub[k];
      momentNm[k] -= moment[k];
    }
  });
  return { forceN, momentNm };
}

/** Solves a small symmetric system by elimination with row exchanges. */
function solveSmall(matrix: number[][], right: readonly number[]): number[] {
  const n = right.length;
  const a = matrix.map((row, i) => [...row, right[i]]);
  for (let i = 0; i < n; i++) {
    let best = i;
    for (let r = i + 1; r < n; r++) if (Math.abs(a[r][i]) > Math.abs(a[best][i])) best = r;
    [a[i], a[best]] = [a[best], a[i]];
    for (let r = i + 1; r < n; r++) {
      const f = a[r][i] / a[i][i];
      for (let c = i; c <= n; c++) a[r][c] -= f * a[i][c];
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    let sum = a[i][n];
    for (let c = i + 1; c < n; c++) sum -= a[i][c] * x[c];
    x[i] = sum / a[i][i];
  }
  return x;
}

/**
 * A solver for the wheel on bearings with springs: the hub's three displacements and two tilts are free
 * against them (turning about the axle stays held). Five more columns beside the factored ring, by the
 * Schur complement. `factor` must be that of the same model and tension.
 */
export function onBearings(
  model: WheelModel,
  factor: RingFactor,
  tensionFactor: number,
  bearing: BearingStiffness,
): (right: ArrayLike<number>) => Float64Array {
  const moves = 5;
  const size = model.nodes * freedoms;
  const columns = Array.from({ length: moves }, () => new Float64Array(size));
  const hub = Array.from({ length: moves }, () => new Array<number>(moves).fill(0));
  model.spokes.forEach((spoke, i) => {
    const { angleRad, direction } = spoke;
    const tension = tensionFactor * spoke.tensionN;
    const k = spokeStiffness(spoke, true, tension);
    const hole = holeOf(model, i);
    const back = (v: readonly number[]): Three => fixed(v, -angleRad);
    const unit = (axis: number): Three => [0, 1, 2].map((a) => (a === axis ? 1 : 0)) as Three;
    const motion = [0, 1, 2].map((axis) => back(unit(axis)));
    for (const axis of [0, 1]) motion.push(back(cross(unit(axis), hole)));
    const forces = motion.map((m) => k.map((row) => row.reduce((s, x, q) => s + x * m[q], 0)));
    const at = spokeNode(model, i) * freedoms;
    const o = model.nippleOffsetM;
    forces.forEach((f, h) => {
      columns[h][at] -= f[0];
      columns[h][at + 1] -= f[1];
      columns[h][at + 2] -= f[2];
      columns[h][at + 4] -= o * f[2];
      columns[h][at + 5] += o * f[1];
      motion.forEach((m, g) => (hub[g][h] += m[0] * f[0] + m[1] * f[1] + m[2] * f[2]));
    });
    const turn = armStiffness(
      fixed(
        direction.map((d) => -tension * d),
        angleRad,
      ),
      hole,
    );
    for (const a of [0, 1]) for (const b of [0, 1]) hub[3 + a][3 + b] += turn[a][b];
  });
  const springs = [
    bearing.radialNPerM,
    bearing.radialNPerM,
    bearing.axialNPerM,
    bearing.tiltNmPerRad,
    bearing.tiltNmPerRad,
  ];
  springs.forEach((spring, h) => (hub[h][h] += spring));
  const solved = columns.map((column) => factor.solve(column));
  const inner = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
    let sum = 0;
    for (let i = 0; i < size; i++) sum += a[i] * b[i];
    return sum;
  };
  const schur = hub.map((row, g) => row.map((x, h) => x - inner(columns[g], solved[h])));
  return (right) => {
    const state = factor.solve(right);
    const move = solveSmall(
      schur,
      columns.map((column) => -inner(column, state)),
    );
    solved.forEach((column, h) => {
      for (let i = 0; i < size; i++) state[i] -= move[h] * column[i];
    });
    return state;
  };
}
