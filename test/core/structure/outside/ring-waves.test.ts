/**
 * Against a second theory: the rim as a smooth ring described by waves, each spoke's energy from its true
 * length, slack by minimising that energy. Reference values by tools/reference/wheel/ring.py (NumPy, SciPy).
 */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import test from 'node:test';
import type { Wheel } from '../../../../src/core/evidence/index.ts';
import { collapseTensionN, solveLoad } from '../../../../src/core/structure/index.ts';
import { freedoms } from '../../../../src/core/structure/beam.ts';
import { onBearings } from '../../../../src/core/structure/hub.ts';
import { assemble, elongation, wheelModel } from '../../../../src/core/structure/model.ts';
import { near } from '../../../near.ts';

type Direction = 'side' | 'inward' | 'forward';
type Answers = Record<
  'atSpoke' | 'midway',
  Record<Direction, { movedM: number; tensionChangeN: number[] }>
>;

interface OutsideWheel {
  wheel: Wheel;
  tensionN: number[];
  lengthM: number[];
  held: Answers;
  onBearings: Answers;
  collapseFactor: number;
  slack: {
    tensionFactor: number;
    sideN: number;
    inwardN: number;
    brakeNm: number;
    firstSlackShare: number;
    outwardM: number;
    forwardM: number;
    leftM: number;
    spokeTensionN: number[];
  };
  large: { smallDisplacementsMm: number; sideN: number; trueLengthsMm: number; slack: number }[];
}

const file = new URL('../../../fixtures/structure/ring-waves.json', import.meta.url);
const { wheels } = JSON.parse(fs.readFileSync(file, 'utf8')) as {
  wheels: Record<string, OutsideWheel>;
};
const largest = (values: number[]): number => Math.max(...values.map(Math.abs));
const places = ['atSpoke', 'midway'] as const;
const directions = { side: [2, 1], inward: [0, -1], forward: [1, 1] } as const;

/** The same answers by the elements. */
function answers(wheel: Wheel, sprung: boolean): Answers {
  const { model } = wheelModel(wheel);
  const factor = assemble(model).factor();
  const solve = sprung
    ? onBearings(model, factor, 1, wheel.hub.bearingStiffness!)
    : (right: Float64Array) => factor.solve(right);
  const answer = (node: number, [freedom, sign]: readonly [number, number]) => {
    const right = new Float64Array(model.nodes * freedoms);
    right[node * freedoms + freedom] = sign;
    const state = solve(right);
    return {
      movedM: sign * state[node * freedoms + freedom],
      // A spoke's other end moves with a hub on springs: only its nipple's part is known here.
      tensionChangeN: model.spokes.map(
        (spoke, i) => (spoke.axialStiffnessN / spoke.lengthM) * elongation(model, i, state),
      ),
    };
  };
  const at = (node: number) => ({
    side: answer(node, directions.side),
    inward: answer(node, directions.inward),
    forward: answer(node, directions.forward),
  });
  return { atSpoke: at(0), midway: at(model.elementsPerSpoke / 2) };
}

for (const [name, outside] of Object.entries(wheels)) {
  const { wheel } = outside;

  test(`${name}: lengths and tensions are those of the other program`, () => {
    const { spokes } = wheelModel(wheel).model;
    const why = 'six digits in the file';
    near(
      spokes.map((one) => one.lengthM),
      outside.lengthM,
      { rel: 1e-5, why },
    );
    near(
      spokes.map((one) => one.tensionN),
      outside.tensionN,
      { rel: 1e-5, why },
    );
  });

  test(`${name}, hub held: displacements and spoke forces as waves have them, within 0.3 %`, () => {
    const found = answers(wheel, false);
    for (const place of places) {
      for (const direction of Object.keys(directions) as Direction[]) {
        const [ours, theirs] = [found[place][direction], outside.held[place][direction]];
        const why = `${place}, ${direction}: polygon of eight pieces a spoke, waves cut off at 60`;
        near(ours.movedM, theirs.movedM, { rel: 3e-3, why });
        near(ours.tensionChangeN, theirs.tensionChangeN, {
          abs: 3e-3 * largest(theirs.tensionChangeN),
          why,
        });
      }
    }
  });

  test(`${name}, hub on springs: displacements as waves have them, within 0.3 %`, () => {
    const found = answers(wheel, true);
    for (const place of places) {
      for (const direction of Object.keys(directions) as Direction[]) {
        const [ours, theirs] = [found[place][direction], outside.onBearings[place][direction]];
        near(ours.movedM, theirs.movedM, { rel: 3e-3, why: `${place}, ${direction}: as above` });
        const { movedM } = outside.held[place][direction];
        assert.ok(theirs.movedM > movedM, 'the springs give');
      }
    }
  });

  test(`${name}: the tension of collapse as the eigenvalue of the waves, within 0.1 %`, () => {
    near(collapseTensionN(wheel)!.factor!, outside.collapseFactor, {
      rel: 1e-3,
      why: 'polygon and waves',
    });
  });

  test(`${name}: side load, road push and brake together past slack, as the least energy has them`, () => {
    const { slack } = outside;
    const tensionsN = outside.tensionN.map((tension) => tension * slack.tensionFactor);
    const load = (share: number) => ({
      forces: [{ angleRad: 0, lateralN: share * slack.sideN, radialN: -share * slack.inwardN }],
      brakeTorqueNm: share * slack.brakeNm,
      contactAngleRad: 0,
    });
    const found = solveLoad(wheel, load(1), { tensionsN });
    const { leftM, outwardM, forwardM } = slack;
    const { displacements: moved } = found;
    const why = 'large displacements in the other program only';
    near([moved.lateralM[0], moved.radialM[0], moved.tangentialM[0]], [leftM, outwardM, forwardM], {
      abs: 0.02 * largest([leftM, outwardM, forwardM]),
      why,
    });
    const scale = Math.max(...slack.spokeTensionN);
    near([...found.spokeTensionN], slack.spokeTensionN, { abs: 0.02 * scale, why });
    assert.deepEqual(
      found.slack,
      slack.spokeTensionN.map((tension) => tension === 0),
    );
    assert.ok(found.slack.some(Boolean));
    const first = solveLoad(wheel, load(slack.firstSlackShare * 0.99), { tensionsN });
    assert.ok(!first.slack.some(Boolean));
    const past = solveLoad(wheel, load(slack.firstSlackShare * 1.01), { tensionsN });
    assert.ok(past.slack.some(Boolean));
  });

  test(`${name}: small displacements hold to 0.5 % up to 5 mm while no spoke is slack, past that to a seventh`, () => {
    // Said in docs/methods/wheel.md.
    for (const { sideN, trueLengthsMm, slack } of outside.large) {
      if (slack > 0 && trueLengthsMm > 15) continue;
      const found = solveLoad(wheel, { forces: [{ angleRad: 0, lateralN: sideN }] });
      assert.equal(found.slack.filter(Boolean).length, slack);
      near(found.displacements.lateralM[0], trueLengthsMm / 1000, {
        rel: slack === 0 ? 5e-3 : 0.14,
        why: 'true lengths in the other program only',
      });
    }
  });
}
