import test from 'node:test';
import {
  collapseTensionN,
  solveLoad,
  untensionedStiffnesses,
  wheelMechanics,
} from '../../../src/core/structure/index.ts';
import { near } from '../../near.ts';
import { referenceWheel } from './wheels.ts';

// Two separate finite-element programs on the same mesh, outside this one (reference table C, "3D FE").
const digits = 'to every digit that the two outside programs give';

test('reference wheel, radial lacing, at a spoke, untensioned: lateral 134.8, radial 4618 N/mm', () => {
  const k = untensionedStiffnesses(referenceWheel());
  near(k.lateralAtSpokeNPerMm, 134.8, { abs: 0.05, why: digits });
  near(k.radialAtSpokeNPerMm, 4618, { abs: 0.5, why: digits });
});

test('reference wheel, 3-cross, at a spoke, untensioned: lateral 121.2, radial 4412, tangential 155.9 N/mm', () => {
  const k = untensionedStiffnesses(referenceWheel({ cross: 3 }));
  near(k.lateralAtSpokeNPerMm, 121.2, { abs: 0.05, why: digits });
  near(k.radialAtSpokeNPerMm, 4412, { abs: 0.5, why: digits });
  const tangentialNPerMm = ((k.torsionalAtSpokeNmPerDeg * 180) / Math.PI / 0.3 ** 2) * 1e-3;
  near(tangentialNPerMm, 155.9, { abs: 0.05, why: digits });
});

test('many thin spokes of the same total section come near the smeared wheel: lateral 145.83, 146.58 to 146.64', () => {
  // Reference table C: outside finite elements 145.83 and 146.58, mode series 146.637 (Pippard & Francis
  // 1931; mode stiffnesses in series). The rim of the series does not stretch.
  const of = (count: number) =>
    untensionedStiffnesses(referenceWheel({ count, rimEaN: 7e9 }), { elementsPerSpoke: 4 });
  const [some, many] = [of(64), of(128)];
  near(some.lateralAtSpokeNPerMm, 145.83, { rel: 1e-3, why: 'tolerance of the reference table' });
  near(many.lateralAtSpokeNPerMm, 146.58, { rel: 1e-3, why: 'tolerance of the reference table' });
  near(many.lateralAtSpokeNPerMm, 146.637, { rel: 1e-3, why: 'discrete spokes against smeared' });
  near(some.radialAtSpokeNPerMm, 4684.1, { rel: 1e-3, why: 'tolerance of the reference table' });
  near(many.radialAtSpokeNPerMm, 4681.1, { rel: 1e-3, why: 'tolerance of the reference table' });
});

/** Smeared wheel of 128 spokes with the pull of 32 at the given tension. */
const smeared = (tensionN: number) =>
  referenceWheel({ count: 128, rimEaN: 7e9, meanTensionN: tensionN / 4 });

test('tension takes lateral stiffness away: 600, 1000, 1200 N leave 134.09, 123.15, 116.74 N/mm', () => {
  // Mode formula with centre-directed pull (reference table C); the ring alone gives Timoshenko & Gere's
  // buckling loads.
  for (const [tensionN, expected] of [
    [600, 134.09],
    [1000, 123.15],
    [1200, 116.74],
  ]) {
    const loaded = solveLoad(
      smeared(tensionN),
      { forces: [{ angleRad: 0, lateralN: 1 }] },
      { elementsPerSpoke: 4, unilateral: false },
    );
    near(1e-3 / loaded.displacements.lateralM[0], expected, {
      rel: 1e-3,
      why: '128 discrete spokes against the smeared series: 0.06 % apart without tension',
    });
  }
});

test('lateral stiffness is gone at 2869 N a spoke, the mode of three waves', () => {
  const collapse = collapseTensionN(smeared(1000), { elementsPerSpoke: 4 });
  const tensionN = (collapse?.tensionN ?? NaN) * 4;
  near(tensionN, 2869, { rel: 6e-3, why: 'that formula takes the spokes as in the plane' });
  near(collapse?.factor ?? NaN, tensionN / 1000, { rel: 1e-12, why: 'same number' });
  // The same mode with the bracing angle kept: T cos α presses the rim, T/L cos² α holds it.
  const [r, ei, gj, kuu, length] = [0.3, 200, 25, 451389, 0.281603];
  const cos = 0.28 / length;
  const mode = ((9 * 64) / r ** 3) * ((ei * gj) / (ei + 9 * gj));
  const exact = (((2 * Math.PI * r) / 32) * (r * kuu + mode)) / (9 * cos - (r / length) * cos ** 2);
  near(tensionN, exact, { rel: 1e-3, why: '128 discrete spokes against smeared' });
});

test('stiffness without tension is that of tension going to nothing', () => {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 1e-3 });
  const k = wheelMechanics(wheel, { elementsPerSpoke: 4 });
  near(k.lateralNPerMm, k.lateralUntensionedNPerMm, { rel: 1e-6, why: '1 mN of tension' });
  near(k.torsionalNmPerDeg, k.torsionalUntensionedNmPerDeg, { rel: 1e-6, why: '1 mN' });
});

test('the mesh has converged: 8 and 16 pieces between spokes agree', () => {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const [coarse, fine] = [8, 16].map((elementsPerSpoke) =>
    wheelMechanics(wheel, { elementsPerSpoke }),
  );
  near(coarse.lateralNPerMm, fine.lateralNPerMm, { rel: 2e-4, why: 'polygon against circle' });
  near(coarse.radialNPerMm, fine.radialNPerMm, { rel: 5e-4, why: 'polygon against circle' });
  near(coarse.torsionalNmPerDeg, fine.torsionalNmPerDeg, { rel: 5e-4, why: 'polygon' });
});
