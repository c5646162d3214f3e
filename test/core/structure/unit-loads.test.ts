import assert from 'node:assert/strict';
import test from 'node:test';
import { solveLoad, unitLoads } from '../../../src/core/structure/index.ts';
import { near } from '../../near.ts';
import { deepTwoToOne, referenceWheel } from './wheels.ts';

for (const [name, wheel] of Object.entries({
  'the 32-spoke reference wheel, 3-cross': referenceWheel({ cross: 3, meanTensionN: 1000 }),
  'a deep wheel laced 2:1': deepTwoToOne(),
})) {
  test(`${name}: one newton at each place is what a whole load gives, divided by it`, () => {
    const all = unitLoads(wheel);
    assert.equal(all.sideways.length, 2 * all.spokes.length);
    for (const place of [0, 1, 7, all.sideways.length - 1]) {
      for (const kind of ['sideways', 'inwards'] as const) {
        const unit = all[kind][place];
        const force = kind === 'sideways' ? { lateralN: 50 } : { radialN: -50 };
        const whole = solveLoad(
          wheel,
          { forces: [{ angleRad: unit.angleRad, ...force }] },
          { unilateral: false },
        );
        const why = 'the same equations, solved once more';
        near(
          [...unit.tensionChangeN],
          [...whole.spokeTensionChangeN].map((x) => x / 50),
          { rel: 1e-7, abs: 1e-9, why },
        );
        const { angleRad, lateralM, radialM } = whole.displacements;
        const node = angleRad.findIndex((a) => Math.abs(a - all.nodeAngleRad[5]) < 1e-9);
        near(unit.lateralM[5], lateralM[node] / 50, { rel: 1e-6, abs: 1e-15, why });
        near(unit.radialM[5], radialM[node] / 50, { rel: 1e-6, abs: 1e-15, why });
      }
    }
  });

  test(`${name}: the road's push along the rim is the brake's torque over the radius`, () => {
    const { forwards } = unitLoads(wheel);
    for (const place of [0, 3, forwards.length - 1]) {
      const { angleRad, tensionChangeN } = forwards[place];
      const torque = { brakeTorqueNm: 40 * wheel.rim.radiusM, contactAngleRad: angleRad };
      const whole = solveLoad(wheel, torque, { unilateral: false });
      near(
        [...tensionChangeN],
        [...whole.spokeTensionChangeN].map((x) => x / 40),
        { rel: 1e-7, abs: 1e-9, why: 'the same equations, solved once more' },
      );
    }
  });

  test(`${name}: just above the load said, the first spoke is slack; just below, none`, () => {
    const { sideways } = unitLoads(wheel);
    const { angleRad, firstSlackN } = sideways[0];
    assert.ok(firstSlackN !== null);
    const slackAt = (share: number): number =>
      solveLoad(wheel, { forces: [{ angleRad, lateralN: share * firstSlackN }] }).slack.filter(
        Boolean,
      ).length;
    assert.equal(slackAt(0.999), 0);
    assert.ok(slackAt(1.001) > 0);
  });

  test(`${name}: the spokes drawn end on the flanges of the sheet`, () => {
    for (const { side, hub, rim } of unitLoads(wheel).spokes) {
      near(hub.radiusM, wheel.hub.flangeRadiusM[side], { rel: 1e-9, why: 'plane geometry' });
      const offset = wheel.hub.flangeOffsetM[side] * (side === 'left' ? 1 : -1);
      near(hub.lateralM, offset, { rel: 1e-9, why: 'plane geometry' });
      near(rim.radiusM, wheel.rim.radiusM - wheel.rim.nippleOffsetM, { rel: 1e-12, why: 'given' });
    }
  });
}

test('spokes that are all radial answer no push along the rim', () => {
  assert.deepEqual(unitLoads(referenceWheel({ cross: 0, meanTensionN: 1000 })).forwards, []);
});
