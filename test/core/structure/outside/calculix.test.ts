import assert from 'node:assert/strict';
import fs from 'node:fs';
import test from 'node:test';
import { wheelMechanics } from '../../../../src/core/structure/index.ts';
import { wheelChecks } from '../../../../tools/reference/wheel/table.ts';
import { near } from '../../../near.ts';
import {
  differences,
  names,
  outsideWheel,
  slackPair,
  states,
  turnDifference,
} from './comparison.ts';
import type { Difference } from './comparison.ts';

// CalculiX 2.20 (Debian calculix-ccx), decks and answers by tools/reference/wheel/calculix.py.

function within(found: Difference[], rel: number, why: string): void {
  for (const { load, state, stiffness, displacements, spokeForces } of found) {
    near([stiffness, displacements, spokeForces], [0, 0, 0], {
      abs: rel,
      why: `${state}, ${load}: ${why}`,
    });
  }
}

for (const name of names) {
  test(`${name}: displacements and spoke forces as CalculiX has them, 1 % linear, 2 % under tension`, () => {
    assert.match(outsideWheel(name).program, /2\.20/);
    within(differences(name, 'linear'), 0.01, 'asked by the issue');
    within(differences(name, 'tensioned'), 0.02, 'asked by the issue');
  });

  test(`${name}: with the shear of CalculiX's bricks counted, 0.15 % linear`, () => {
    within(differences(name, 'linear', true), 0.0015, 'two meshes of one polygon');
    // The sixteen-spoke rim bends most at rest between its spokes, which the linear wheel leaves out; that
    // this is the whole of its 1.4 % under torque is thought, not shown.
    const rel = name === 'low-count-16' ? 0.015 : 0.0035;
    within(differences(name, 'tensioned', true), rel, 'the rim at rest taken as unbent');
  });

  test(`${name}: one turn of nipple 1 moves tensions and rim as CalculiX has it`, () => {
    const { tension, lateral, radial } = turnDifference(outsideWheel(name));
    const why = 'as the loads under tension, a fiftieth of a turn with large displacements';
    near([tension, lateral, radial], [0, 0, 0], { abs: 0.006, why });
  });

  test(`${name}: spokes lie and pull as in CalculiX, and the wheel's numbers are those of its loads`, () => {
    const outside = outsideWheel(name);
    const found = wheelMechanics(outside.wheel);
    found.spokes.forEach((spoke, i) => {
      assert.equal(spoke.side, outside.spokes[i].side);
      near(spoke.angleRad, outside.spokes[i].rimRad, { abs: 1e-12, why: 'round-off' });
      near(spoke.tensionN, outside.spokes[i].tensionN, {
        abs: 0.3,
        why: 'tensions settle to 0.1 N',
      });
    });
    // At spoke 1 in the file; all spokes are alike in this respect at equal lacing only.
    if (name !== 'radial-32' && name !== 'cross-3-32') return;
    const linear = (load: string): number => 1e-3 / outside.linear[load].loadPointM;
    const { untensioned } = found;
    const why = 'asked by the issue';
    near(untensioned.lateralAtSpokeNPerMm, linear('lateral-at-spoke'), { rel: 0.01, why });
    near(untensioned.lateralMidwayNPerMm, linear('lateral-midway'), { rel: 0.01, why });
    near(untensioned.radialAtSpokeNPerMm, linear('radial-at-spoke'), { rel: 0.01, why });
    near(untensioned.radialMidwayNPerMm, linear('radial-midway'), { rel: 0.01, why });
  });
}

for (const name of names.filter((one) => outsideWheel(one).slack !== null)) {
  for (const load of ['lateral-at-spoke', 'radial-at-spoke'] as const) {
    test(`${name}, ${load}: the spokes that go slack in CalculiX go slack here`, () => {
      const { theirs, ours, oursM, meanTensionN } = slackPair(outsideWheel(name), load);
      const slack = theirs.spokeTensionN.map((tension) => tension < 1e-4 * meanTensionN);
      assert.ok(slack.some(Boolean), 'the load is large enough');
      assert.deepEqual(ours.slack, slack);
      near(oursM, theirs.loadPointM, { rel: 0.02, why: 'large displacements in CalculiX only' });
      theirs.spokeTensionN.forEach((tension, i) => {
        near(ours.spokeTensionN[i], tension, {
          abs: 0.04 * meanTensionN,
          why: 'large displacements in CalculiX only',
        });
      });
    });
  }
}

test('every wheel was solved in both states with all its loads', () => {
  for (const name of names) {
    for (const state of states) {
      const loads = Object.keys(outsideWheel(name)[state]);
      // Radial on both sides: without tension nothing holds it against torque.
      assert.equal(loads.length, name === 'radial-32' && state === 'linear' ? 4 : 5);
    }
  }
});

test('the table of the documents is the one that these comparisons give', () => {
  const file = new URL('../../../../docs/methods/wheel-checks.md', import.meta.url);
  // The formatter pads the cells.
  const plain = (text: string): string => text.replace(/-{3,}/g, '---').replace(/[ \t]+/g, ' ');
  assert.equal(plain(fs.readFileSync(file, 'utf8')), plain(wheelChecks()));
});
