import { test } from 'node:test';
import assert from 'node:assert/strict';
import { sectionFromOutline, wheelMechanics } from '../../src/core/structure/index.ts';
import { readWheelSheet } from '../../src/sheets/index.ts';
import { simulateWheel, simulatedWheelSheet, tensionUnder } from '../../src/simulation/index.ts';
import type { SimulatedSpoke, SimulatedWheel } from '../../src/simulation/index.ts';
import { crossingOf } from '../../src/simulation/sound/plucks.ts';
import { near } from '../near.ts';

/** Ends of a spoke as points, written down afresh: nipple on the rim, hole on the flange ahead or behind. */
function endsOf(wheel: SimulatedWheel, spoke: SimulatedSpoke): [number[], number[]] {
  const side = wheel.sides[spoke.side];
  const turn =
    ((2 * Math.PI * side.cross) / side.count) * (spoke.underBraking === 'loses' ? 1 : -1);
  const at = (radius: number, angle: number, z: number): number[] => [
    radius * Math.cos(angle),
    radius * Math.sin(angle),
    z,
  ];
  const z = side.flangeOffsetM * (spoke.side === 'left' ? 1 : -1);
  return [
    at(wheel.seatRadiusM, spoke.angleRad, 0),
    at(side.flangeRadiusM, spoke.angleRad + turn, z),
  ];
}

test('the pulls of all spokes together turn the hub with exactly the brake torque, and push it nowhere', () => {
  for (const cross of [1, 2, 3]) {
    const wheel = simulateWheel({ cross, tensionScatter: 0.05 }, 7);
    let momentNm = 0;
    const force = [0, 0, 0];
    for (const spoke of wheel.spokes) {
      const [nipple, hole] = endsOf(wheel, spoke);
      const along = nipple.map((x, i) => (x - hole[i]) / spoke.lengthM);
      near(Math.hypot(...along), 1, {
        rel: 1e-12,
        why: 'the length of the spoke is the distance of its ends',
      });
      const pull = along.map((x) => x * (tensionUnder(spoke, 40) - spoke.tensionN));
      momentNm += hole[0] * pull[1] - hole[1] * pull[0];
      pull.forEach((x, i) => (force[i] += x));
    }
    // The spokes turn the hub forwards with what the brake holds it back with.
    near(momentNm, 40, { rel: 1e-9, why: 'equilibrium' });
    near(force, [0, 0, 0], { abs: 1e-9, why: 'equilibrium: the rim is rigid and round' });
  }
});

test('the sides balance along the axle and keep their mean under the scatter', () => {
  const wheel = simulateWheel({ tensionScatter: 0.08 }, 3);
  const pull = { left: 0, right: 0 };
  for (const spoke of wheel.spokes) {
    pull[spoke.side] += (spoke.tensionN * wheel.sides[spoke.side].flangeOffsetM) / spoke.lengthM;
  }
  near(pull.left, pull.right, { rel: 1e-9, why: 'equilibrium along the axle' });
  const left = wheel.spokes.filter(({ side }) => side === 'left').map(({ tensionN }) => tensionN);
  near(left.reduce((a, b) => a + b, 0) / left.length, 1050, { rel: 1e-12, why: 'as asked' });
  assert.ok(
    Math.max(...left) - Math.min(...left) > 0.1 * 1050,
    'eight per cent of scatter is seen',
  );
});

test('the sheet is read back as the wheel, and finite elements agree on the change under braking within 5 %', () => {
  for (const cross of [2, 3]) {
    const simulated = simulateWheel({ cross, stated: { tensionFactor: 1.1 } }, 2);
    const { wheel, invented } = readWheelSheet(
      simulatedWheelSheet(simulated),
      'wheel.yaml',
      sectionFromOutline,
    );
    assert.equal(invented, true);
    assert.equal(wheel.discSide, 'left');
    near(wheel.rim.radiusM - wheel.rim.nippleOffsetM, simulated.seatRadiusM, {
      rel: 1e-9,
      why: 'the seat',
    });
    near(wheel.spokes.left.meanTensionN ?? 0, 1.1 * 1050, { abs: 0.1, why: 'rounded to 0.1 N' });
    const { spokes } = wheelMechanics(wheel);
    assert.equal(spokes.length, simulated.spokes.length);
    spokes.forEach((one, i) => {
      const own = simulated.spokes[i];
      assert.equal(one.side, own.side);
      near(one.lengthM, own.lengthM, { rel: 1e-6, why: 'the same geometry' });
      // The disc holds the hub back; a rim that gives takes a few per cent from the rigid one's answer.
      near(one.deltaTensionPerNm, own.tensionPerNm, {
        rel: 0.05,
        why: 'rigid rim against a ring of beams',
      });
    });
  }
});

test('the spoke that sounds along does cross, and leans the other way on the same side', () => {
  const wheel = simulateWheel({ cross: 3, count: 32 }, 1);
  for (const spoke of wheel.spokes) {
    const other = crossingOf(wheel, spoke);
    assert.ok(other && other.side === spoke.side && other.underBraking !== spoke.underBraking);
    const [[ax, ay], [bx, by]] = endsOf(wheel, spoke);
    const [[cx, cy], [dx, dy]] = endsOf(wheel, other);
    const beside = (x: number, y: number): number => (bx - ax) * (y - ay) - (by - ay) * (x - ax);
    const across = (x: number, y: number): number => (dx - cx) * (y - cy) - (dy - cy) * (x - cx);
    assert.ok(beside(cx, cy) * beside(dx, dy) < 0 && across(ax, ay) * across(bx, by) < 0);
  }
});
