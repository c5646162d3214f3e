/** What the page draws of a wheel, beside the solved wheel itself. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { sectionFromOutline, unitLoads } from '../../src/core/structure/index.ts';
import { wheelShapes } from '../../src/application/wheel-shapes.ts';
import { readWheelSheet } from '../../src/sheets/index.ts';
import { near } from '../near.ts';
import { refused, wheelSheet } from './bench-sample.ts';

const { wheel } = readWheelSheet(wheelSheet, 'wheel.yaml', sectionFromOutline);

test('every load, movement and tension is that of the solved wheel, to a 500th of the largest', () => {
  const exact = unitLoads(wheel);
  const shapes = wheelShapes(wheelSheet);
  assert.equal(shapes.anglesDeg.length, exact.nodeAngleRad.length);
  for (const kind of ['sideways', 'inwards', 'forwards'] as const) {
    assert.equal(shapes[kind]!.length, 48, 'at every spoke and midway between');
    shapes[kind]!.forEach((drawn, i) => {
      const solved = exact[kind][i];
      const largest = Math.max(
        ...[solved.lateralM, solved.radialM, solved.tangentialM].flatMap((one) =>
          Array.from(one, Math.abs),
        ),
      );
      const rounding = { abs: largest / 1000, why: 'half a step of rounding' };
      near(drawn.leftM, Array.from(solved.lateralM), rounding);
      near(drawn.outwardM, Array.from(solved.radialM), rounding);
      near(drawn.forwardM, Array.from(solved.tangentialM), rounding);
      near(drawn.positionDeg, (solved.angleRad * 180) / Math.PI, { abs: 1e-4, why: 'rounding' });
      const most = Math.max(...Array.from(solved.tensionChangeN, Math.abs));
      near(drawn.tensionN, Array.from(solved.tensionChangeN), {
        abs: most / 1000,
        why: 'half a step of rounding',
      });
      near(drawn.firstSlackN!, solved.firstSlackN!, { rel: 1e-3, why: 'four digits' });
    });
  }
});

test('a side load moves the rim most where it acts, to the left, by one over the stiffness', () => {
  const { sideways, anglesDeg } = wheelShapes(wheelSheet);
  for (const { positionDeg, leftM } of sideways) {
    const at = leftM.indexOf(Math.max(...leftM));
    near(anglesDeg[at], positionDeg, { abs: 1e-4, why: 'the load stands on a node' });
  }
  // docs/methods/wheel.md: lateral stiffness at a spoke and midway; 113 N/mm for this wheel at 800 N.
  near(1e-3 / sideways[0].leftM[0], 113, { rel: 0.02, why: 'headline of the same sheet' });
});

test('with many spokes fewer places are drawn and loaded, and every load stands on a drawn one', () => {
  for (const [left, right, angles, loads] of [
    [10, 10, 80, 40],
    [16, 8, 96, 48],
    [16, 16, 64, 64],
    [24, 12, 72, 72],
    [72, 36, 72, 72],
    [72, 72, 72, 72],
  ]) {
    const sheet = wheelSheet
      .replace('count: 16', `count: ${left}`)
      .replace('count: 8', `count: ${right}`);
    const shapes = wheelShapes(sheet);
    const size = [shapes.anglesDeg.length, shapes.sideways.length, shapes.inwards.length];
    assert.deepEqual(size, [angles, loads, loads], `${left} and ${right} spokes`);
    assert.equal(shapes.sideways[0].leftM.length, angles);
    assert.equal(shapes.spokes.length, left + right);
    for (const { positionDeg } of shapes.sideways)
      assert.ok(shapes.anglesDeg.includes(positionDeg), `${positionDeg}`);
  }
});

test('a radial wheel carries no torque: there is no push along the rim to draw', () => {
  const radial = wheelSheet.replace('cross: 2', 'cross: 0');
  assert.deepEqual(wheelShapes(radial).forwards, []);
});

test('a sheet with a mistake is refused with its line', async () => {
  const [problem] = await refused(() =>
    wheelShapes(wheelSheet.replace('count: 16', 'count: sixteen')),
  );
  assert.equal(problem.place?.line, 6);
});
