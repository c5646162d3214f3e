import assert from 'node:assert/strict';
import test from 'node:test';
import type { Wheel } from '../../../src/core/evidence/index.ts';
import { sideOrder, wheelMechanics } from '../../../src/core/structure/index.ts';
import { layOut, sideShapes } from '../../../src/core/structure/spokes.ts';
import { LapbenchError } from '../../../src/core/units/index.ts';
import { near } from '../../near.ts';
import { deepTwoToOne, referenceWheel } from './wheels.ts';

const spokesOf = (wheel: Wheel) => layOut(sideShapes(wheel).shapes);

/** Asserts that a wheel is refused, and gives the first problem. */
function refused(change: (wheel: Wheel) => void, message: RegExp, code = 'wheel-geometry') {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 1000 });
  change(wheel);
  assert.throws(
    () => wheelMechanics(wheel),
    (error: unknown) => {
      assert.ok(error instanceof LapbenchError);
      assert.equal(error.problems[0].code, code);
      assert.match(error.message, message);
      assert.ok((error.problems[0].remedy ?? '').length > 0);
      return true;
    },
  );
}

test('equal counts alternate left and right; 2:1 goes left, right, left', () => {
  assert.deepEqual(sideOrder(3, 3), ['left', 'right', 'left', 'right', 'left', 'right']);
  assert.deepEqual(sideOrder(4, 2), ['left', 'right', 'left', 'left', 'right', 'left']);
  assert.deepEqual(sideOrder(2, 4), ['right', 'left', 'right', 'right', 'left', 'right']);
});

test('radial spokes of the reference wheel: 0.281603 m at a bracing angle of 6.1155°', () => {
  const [spoke] = spokesOf(referenceWheel());
  near(spoke.lengthM, 0.281603, { abs: 5e-7, why: 'digits of reference table C' });
  const degrees = (Math.asin(spoke.direction[2]) * 180) / Math.PI;
  near(degrees, 6.1155, { abs: 5e-5, why: 'digits of reference table C' });
});

test('3-cross spokes of the reference wheel: 0.294462 m, turned by 67.5° at the flange', () => {
  const spokes = spokesOf(referenceWheel({ cross: 3 }));
  for (const spoke of spokes) {
    near(spoke.lengthM, 0.294462, { abs: 5e-7, why: 'digits of reference table C' });
    const hole = [0, 1].map((k) => (k === 0 ? 0.3 : 0) + spoke.lengthM * spoke.direction[k]);
    const turn = (Math.atan2(hole[1], hole[0]) * 180) / Math.PI;
    near(Math.abs(turn), 67.5, { rel: 1e-12, why: 'round-off' });
    assert.equal(turn > 0, spoke.role === 'trailing', 'hole ahead of the nipple: trailing');
  }
  const roles = spokes.slice(0, 4).map(({ side, role }) => `${side} ${role}`);
  assert.deepEqual(roles, ['left trailing', 'right trailing', 'left leading', 'right leading']);
});

test('a straight-pull hub says itself how far its holes are turned: the same wheel where that is the cross, another where not', () => {
  const crossed = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const said = structuredClone(crossed);
  for (const side of ['left', 'right'] as const) {
    said.spokes[side] = { ...said.spokes[side], cross: 2, hubTurnRad: (67.5 * Math.PI) / 180 };
  }
  assert.deepEqual(spokesOf(said), spokesOf(crossed));
  // The tangent: cos θ = flange radius over seat radius, and the spoke as long as Pythagoras says.
  for (const side of ['left', 'right'] as const) {
    said.spokes[side].hubTurnRad = Math.acos(0.02 / 0.3);
  }
  const length = Math.hypot(Math.sqrt(0.3 ** 2 - 0.02 ** 2), 0.03);
  near(spokesOf(said)[0].lengthM, length, { rel: 1e-12, why: 'plane geometry' });
  refused((wheel) => (wheel.spokes.left.hubTurnRad = -0.1), /turned by -0\.1 rad/);
  refused((wheel) => (wheel.spokes.right.hubTurnRad = 3), /through the hub/);
});

test('a dished wheel balances along the axle: flanges 35 and 19 mm give a ratio of 0.5459', () => {
  const wheel = referenceWheel({ meanTensionN: null });
  wheel.rim.radiusM = 0.298;
  wheel.hub.flangeOffsetM = { left: 0.035, right: 0.019 };
  wheel.spokes.right.meanTensionN = 1000;
  const { shapes, warnings } = sideShapes(wheel);
  near(shapes.left.tensionN / 1000, 0.5459, { abs: 5e-5, why: 'digits of reference table C' });
  assert.deepEqual(warnings, []);
});

test('two tensions that do not balance are used as given, with a word about it', () => {
  const wheel = deepTwoToOne();
  wheel.spokes.right.meanTensionN = 900;
  const found = wheelMechanics(wheel, { elementsPerSpoke: 2 });
  assert.deepEqual(
    found.warnings.map(({ code }) => code),
    ['wheel-unbalanced'],
  );
  assert.match(found.warnings[0].message, /the right side would need 1\d\d\d N, not 900 N/);
  assert.deepEqual(new Set(found.spokes.map(({ tensionN }) => tensionN)), new Set([1000, 900]));
});

test('impossible wheels are refused in words', () => {
  refused((w) => (w.spokes.left.count = 20), /20 spokes left and 16 right follow no known order/);
  refused((w) => (w.spokes.left.count = 2), /follow no known order|cannot hold a rim/);
  refused((w) => {
    w.spokes.left.count = 15;
    w.spokes.right.count = 15;
  }, /leave one without a partner/);
  refused((w) => (w.spokes.left.cross = 7), /would run through the hub/);
  refused((w) => (w.spokes.left.cross = 1.5), /no lacing/);
  refused((w) => (w.hub.flangeRadiusM.right = 0.31), /does not lie inside/);
  refused((w) => (w.hub.flangeOffsetM.right = -0.01), /wrong side of the rim/);
  refused((w) => (w.rim.iLateralM4 = 0), /iLateralM4 is 0/);
  refused((w) => (w.spokes.left.areaM2 = 0), /no stiffness/);
});

test('wheels that cannot stand are refused in words', () => {
  const code = 'wheel-cannot-stand';
  refused((w) => (w.spokes.left.meanTensionN = null), /No spoke is under tension/, code);
  refused((w) => (w.spokes.left.meanTensionN = 4000), /gives way sideways/, code);
  refused(
    (w) => {
      w.spokes.left.cross = 0;
      w.spokes.right.cross = 0;
      w.discSide = 'left';
    },
    /All spokes are radial/,
    code,
  );
});

test('an all-radial wheel without a disc has no torsional stiffness of its own, and says so', () => {
  const found = wheelMechanics(referenceWheel({ meanTensionN: 1000 }), { elementsPerSpoke: 4 });
  assert.equal(found.torsionalUntensionedNmPerDeg, 0);
  // Pulls that are led aside hold it a little: n T R r / L for a stiff rim (statics of a pendulum).
  const windUp = ((32 * 1000 * 0.3 * 0.02) / 0.281603) * (Math.PI / 180);
  near(found.torsionalNmPerDeg, windUp, { rel: 0.02, why: 'the rim of the model gives a little' });
  assert.ok(found.spokes.every(({ deltaTensionPerNm }) => deltaTensionPerNm === 0));
  assert.deepEqual(
    found.warnings.map(({ code }) => code),
    ['wheel-cannot-stand'],
  );
});
