import assert from 'node:assert/strict';
import test from 'node:test';
import { solveLoad, wheelMechanics } from '../../../src/core/structure/index.ts';
import type { WheelLoad } from '../../../src/core/structure/index.ts';
import { freedoms } from '../../../src/core/structure/beam.ts';
import { loadVector } from '../../../src/core/structure/load.ts';
import {
  assemble,
  elongation,
  spokeBlock,
  stretchOf,
  wheelModel,
} from '../../../src/core/structure/model.ts';
import { LapbenchError } from '../../../src/core/units/index.ts';
import { near } from '../../near.ts';
import { deepTwoToOne, referenceWheel } from './wheels.ts';

const elementsPerSpoke = 4;
const sum = (values: ArrayLike<number>): number => Array.from(values).reduce((a, b) => a + b, 0);

test('crossed disc side, radial other side: braking is carried by the crossed side, half gaining, half losing', () => {
  // Common practice, no source.
  const wheel = deepTwoToOne();
  const { spokes } = wheelMechanics(wheel, { elementsPerSpoke });
  const gains = spokes.filter(({ deltaTensionPerNm }) => deltaTensionPerNm > 1e-6);
  const loses = spokes.filter(({ deltaTensionPerNm }) => deltaTensionPerNm < -1e-6);
  assert.equal(gains.length, 8);
  assert.equal(loses.length, 8);
  assert.ok([...gains, ...loses].every(({ side }) => side === 'left'));
  assert.ok(
    gains.every(({ role }) => role === 'leading'),
    'rim end ahead: pulled by the road',
  );
  assert.ok(loses.every(({ role }) => role === 'trailing'));
  // Their pulls times the arm of the spoke's line about the axle make the torque.
  const r = 0.29 - 0.004;
  const turn = (2 * Math.PI * 2) / 16;
  const arm = (r * 0.022 * Math.sin(turn)) / gains[0].lengthM;
  const carried =
    sum(gains.map((s) => s.deltaTensionPerNm)) - sum(loses.map((s) => s.deltaTensionPerNm));
  // Pretension carries a little of it: n T/L r R of all spokes against the turn.
  const { torsionalNmPerDeg, torsionalUntensionedNmPerDeg } = wheelMechanics(wheel);
  assert.ok(torsionalNmPerDeg > torsionalUntensionedNmPerDeg);
  const linear = { elementsPerSpoke, tensioned: false, unilateral: false };
  const loaded = solveLoad(wheel, { brakeTorqueNm: 1 }, linear);
  const change = loaded.spokeTensionChangeN.reduce((s, x) => s + Math.abs(x), 0);
  near(change * arm, 1, { rel: 1e-9, why: 'balance of moments about the axle' });
  assert.ok(carried * arm > 0.9 && carried * arm < 1, `${carried * arm} of the torque`);
});

test('drive is braking the other way round', () => {
  const wheel = deepTwoToOne();
  const change = (brakeTorqueNm: number) =>
    solveLoad(wheel, { brakeTorqueNm }, { elementsPerSpoke }).spokeTensionChangeN;
  near(
    change(-20),
    change(20).map((x) => -x),
    { abs: 1e-9, why: 'linear while no spoke is slack' },
  );
});

test('the mean over a turn is the mean of the contact at every node', () => {
  const wheel = deepTwoToOne();
  const { spokes } = wheelMechanics(wheel, { elementsPerSpoke: 2 });
  const nodes = 48;
  const options = { elementsPerSpoke: 2, unilateral: false };
  const per = Array.from({ length: nodes }, (_, i) =>
    solveLoad(wheel, { brakeTorqueNm: 1, contactAngleRad: (2 * Math.PI * i) / nodes }, options),
  ).map((x) => x.spokeTensionChangeN);
  for (const i of [0, 1, 2]) {
    const column = per.map((x) => x[i]);
    near(spokes[i].deltaTensionPerNm, sum(column) / nodes, { abs: 1e-9, why: 'linear' });
    near(spokes[i].deltaTensionRangePerNm, [Math.min(...column), Math.max(...column)], {
      abs: 1e-9,
      why: 'reciprocity',
    });
  }
});

test('the tension changes for a side load and the road push are those of the loads themselves', () => {
  const wheel = deepTwoToOne();
  const { spokes } = wheelMechanics(wheel, { elementsPerSpoke });
  const change = (load: WheelLoad) =>
    solveLoad(wheel, load, { elementsPerSpoke, unilateral: false }).spokeTensionChangeN;
  const why = 'reciprocity';
  near(
    spokes.map((s) => s.deltaTensionPerSideN),
    change({ forces: [{ angleRad: 0, lateralN: 1 }] }),
    { abs: 1e-9, why },
  );
  near(
    spokes.map((s) => s.deltaTensionPerRadialN),
    change({ forces: [{ angleRad: 0, radialN: -1 }] }),
    { abs: 1e-9, why },
  );
});

test('under the road push the bottom spokes carry the load by losing tension', () => {
  // Burgoyne & Dilmaghanian 1993, J Eng Mech 119(3):439-455 (abstract).
  const loaded = solveLoad(referenceWheel({ cross: 3, meanTensionN: 1000 }), {
    forces: [{ angleRad: 0, radialN: -500 }],
  });
  const change = loaded.spokeTensionChangeN;
  const bottom = sum([30, 31, 0, 1, 2].map((i) => change[i]));
  const others = sum(change) - bottom;
  assert.ok(bottom < -400, `bottom five: ${bottom} N`);
  assert.ok(others > 0 && Math.max(...change) < 30, 'the others gain a little each');
});

/** Largest force left over at any freedom, the slack spokes given up. */
function imbalance(wheel: ReturnType<typeof deepTwoToOne>, load: WheelLoad): number {
  const { model } = wheelModel(wheel, { elementsPerSpoke });
  const loaded = solveLoad(wheel, load, { elementsPerSpoke, tensioned: false });
  const { displacements: d } = loaded;
  // The rotations are not told: find them as the ones of the same pulls, from the ring of active spokes.
  const stretching = loaded.slack.map((is) => !is);
  const matrix = assemble(model, { tensionFactor: 0, stretching });
  const right = loadVector(model, load);
  loaded.slack.forEach((is, i) => {
    if (!is) return;
    const at = i * elementsPerSpoke * freedoms;
    stretchOf(model, i).forEach((b, f) => (right[at + f] += model.spokes[i].tensionN * b));
  });
  const state = matrix.factor().solve(right);
  model.spokes.forEach((spoke, i) => {
    const e = elongation(model, i, state);
    const free = spoke.tensionN + (spoke.axialStiffnessN / spoke.lengthM) * e;
    if (loaded.slack[i])
      assert.ok(free <= 1e-6, `spoke ${i + 1} is slack yet would pull ${free} N`);
    else near(loaded.spokeTensionN[i], free, { abs: 1e-6, why: 'round-off' });
  });
  assert.ok(
    loaded.spokeTensionN.every((t) => t >= 0),
    'no spoke pushes',
  );
  return Math.max(...d.lateralM.map((x, i) => Math.abs(x - state[i * freedoms + 2])));
}

test('spokes go slack and do not push; what is left balances', () => {
  const wheel = deepTwoToOne();
  for (const lateralN of [900, 1500, 2500]) {
    const load = { forces: [{ angleRad: 0.3, lateralN, radialN: -2 * lateralN }] };
    const off = imbalance(wheel, load);
    near(off, 0, { abs: 1e-9, why: 'round-off of displacements near 10 mm' });
  }
});

test('the search for the slack spokes settles, also for loads far beyond use', () => {
  // All but the last pulls are given up at once and some come back: a plain repetition can go in circles.
  for (const tensionN of [5, 50, 500]) {
    const wheel = referenceWheel({ cross: 3, meanTensionN: tensionN });
    for (const [lateralN, radialN] of [
      [0, -3000],
      [3000, 0],
      [2000, -5000],
      [-4000, 5000],
    ]) {
      const forces = [{ angleRad: 0.05, lateralN, radialN }];
      const loaded = solveLoad(wheel, { forces, brakeTorqueNm: 100 }, { elementsPerSpoke: 2 });
      assert.ok(loaded.iterations < 64, `${loaded.iterations} solutions`);
      assert.ok(loaded.spokeTensionN.every((t) => t >= 0));
      near(loaded.hub.forceN[2], -lateralN, { abs: 1e-5, why: 'balance along the axle' });
    }
  }
});

test('the first spoke goes slack at the load foretold, and the wheel is straight up to there', () => {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 600 });
  const { firstSlackSideLoadN } = wheelMechanics(wheel);
  assert.ok(firstSlackSideLoadN !== null);
  const slackAt = (lateralN: number) => solveLoad(wheel, { forces: [{ angleRad: 0, lateralN }] });
  // The load beside spoke 1 is one of those looked at; the least may stand elsewhere by symmetry.
  const below = slackAt(firstSlackSideLoadN * 0.999);
  assert.ok(!below.slack.some(Boolean));
  const least = [0, 1, 2, 3].map((spoke) =>
    solveLoad(wheel, {
      forces: [{ angleRad: (2 * Math.PI * spoke) / 32, lateralN: firstSlackSideLoadN * 1.001 }],
    }),
  );
  assert.ok(least.some(({ slack }) => slack.some(Boolean)));
  const small = slackAt(1);
  near(
    below.displacements.lateralM[0] / (firstSlackSideLoadN * 0.999),
    small.displacements.lateralM[0],
    { rel: 1e-9, why: 'linear until a spoke goes slack' },
  );
  const beyond = slackAt(firstSlackSideLoadN * 2);
  assert.ok(beyond.slack.some(Boolean) && beyond.iterations > 1);
  assert.ok(
    beyond.displacements.lateralM[0] > 2 * firstSlackSideLoadN * small.displacements.lateralM[0],
    'softer with slack spokes',
  );
});

test('torque without crossed spokes, spokes without tension: refused', () => {
  const refused = (run: () => unknown, message: RegExp): void =>
    assert.throws(run, (error: unknown) => {
      assert.ok(error instanceof LapbenchError);
      assert.equal(error.problems[0].code, 'wheel-cannot-stand');
      assert.match(error.message, message);
      return true;
    });
  const radial = referenceWheel({ meanTensionN: 1000 });
  refused(() => solveLoad(radial, { brakeTorqueNm: 1 }), /All spokes are radial/);
  refused(() => solveLoad(referenceWheel({ cross: 3 }), {}), /No spoke is under tension/);
});

test('a force between two nodes moves on smoothly from one to the other', () => {
  const wheel = deepTwoToOne();
  const step = (2 * Math.PI) / (24 * elementsPerSpoke);
  const work = (angleRad: number) =>
    solveLoad(
      wheel,
      { forces: [{ angleRad, lateralN: 100, radialN: -200, tangentialN: 50 }] },
      { elementsPerSpoke },
    ).workJ;
  for (const node of [0, 1, 7, 95]) {
    near(work(node * step + 1e-7), work(node * step), { rel: 1e-5, why: '10⁻⁷ rad apart' });
    near(work(node * step - 1e-7), work(node * step), { rel: 1e-5, why: '10⁻⁷ rad apart' });
  }
});

test('the stiffness of a pulled spoke on an arm is the second derivative of its energy', () => {
  const wheel = deepTwoToOne();
  wheel.rim.nippleOffsetM = 0.02;
  const { model } = wheelModel(wheel, { elementsPerSpoke });
  const { direction, lengthM, axialStiffnessN, tensionN } = model.spokes[0];
  const block = spokeBlock(model, 0, true, tensionN);
  const hole = direction.map((d, k) => lengthM * d + (k === 0 ? -0.02 : 0));
  const energy = (q: number[]): number => {
    // Rodrigues: the arm (-o, 0, 0) turned by the rotation vector.
    const w = q.slice(3);
    const size = Math.hypot(...w);
    const arm = [-0.02, 0, 0];
    const cross = (a: number[], b: number[]) => [
      a[1] * b[2] - a[2] * b[1],
      a[2] * b[0] - a[0] * b[2],
      a[0] * b[1] - a[1] * b[0],
    ];
    const once = cross(w, arm);
    const twice = cross(w, once);
    const [s, c] = size > 0 ? [Math.sin(size) / size, (1 - Math.cos(size)) / size ** 2] : [1, 0.5];
    const nipple = arm.map((x, k) => x + s * once[k] + c * twice[k] + q[k]);
    const stretch = Math.hypot(...hole.map((x, k) => x - nipple[k])) - lengthM;
    return tensionN * stretch + ((axialStiffnessN / lengthM) * stretch ** 2) / 2;
  };
  const h = 2e-4;
  const at = (i: number, x: number, j: number, y: number): number => {
    const q = [0, 0, 0, 0, 0, 0];
    q[i] += x;
    q[j] += y;
    return energy(q);
  };
  const largest = Math.max(...block);
  for (let i = 0; i < 6; i++) {
    for (let j = 0; j < 6; j++) {
      const second =
        (at(i, h, j, h) - at(i, h, j, -h) - at(i, -h, j, h) + at(i, -h, j, -h)) / (4 * h * h);
      near(second, block[i * 6 + j], { abs: 2e-6 * largest, why: 'differences of 2e-4' });
    }
  }
});
