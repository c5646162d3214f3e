import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { influence, solveLoad } from '../../../src/core/structure/index.ts';
import { wheelModel } from '../../../src/core/structure/model.ts';
import type { LoadedWheel, RimForce } from '../../../src/core/structure/index.ts';
import { near } from '../../near.ts';
import { anyWheel, referenceWheel } from './wheels.ts';

const elementsPerSpoke = 4;
const runs = { numRuns: 25, seed: 20261125 };
const linear = { elementsPerSpoke, unilateral: false };
const round = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true });
const anyForce = fc.record({
  angleRad: round,
  lateralN: fc.double({ min: -200, max: 200, noNaN: true }),
  radialN: fc.double({ min: -200, max: 200, noNaN: true }),
  tangentialN: fc.double({ min: -200, max: 200, noNaN: true }),
});

/** Force and moment about the hub's middle, fixed axes, of a force on the rim at a node. */
function atHub(
  { angleRad, lateralN = 0, radialN = 0, tangentialN = 0 }: RimForce,
  radiusM: number,
) {
  const [c, s] = [Math.cos(angleRad), Math.sin(angleRad)];
  const force = [c * radialN - s * tangentialN, s * radialN + c * tangentialN, lateralN];
  const [x, y] = [radiusM * c, radiusM * s];
  return [...force, y * force[2], -x * force[2], x * force[1] - y * force[0]];
}

/** Displacements at a node in the order lateral, radial, tangential. */
const moved = (loaded: LoadedWheel, node: number): number[] => {
  const { lateralM, radialM, tangentialM } = loaded.displacements;
  return [lateralM[node], radialM[node], tangentialM[node]];
};

test('reciprocity: a force here moves the rim there as a force there moves it here, with tension and without', () => {
  fc.assert(
    fc.property(
      anyWheel,
      fc.nat(1000),
      fc.nat(1000),
      fc.constantFrom('lateralN', 'radialN', 'tangentialN'),
      fc.constantFrom('lateralN', 'radialN', 'tangentialN'),
      fc.boolean(),
      (wheel, a, b, first, second, tensioned) => {
        const nodes = (wheel.spokes.left.count + wheel.spokes.right.count) * elementsPerSpoke;
        const column = { lateralN: 0, radialN: 1, tangentialN: 2 };
        const solve = (node: number, direction: keyof typeof column) =>
          solveLoad(
            wheel,
            { forces: [{ angleRad: (2 * Math.PI * (node % nodes)) / nodes, [direction]: 1 }] },
            { ...linear, tensioned },
          );
        const here = solve(a, first);
        const there = solve(b, second);
        const scale = Math.abs(moved(here, a % nodes)[column[first]]);
        near(moved(here, b % nodes)[column[second]], moved(there, a % nodes)[column[first]], {
          abs: 1e-9 * scale,
          why: 'Maxwell-Betti, round-off',
        });
      },
    ),
    runs,
  );
});

test('equilibrium: what the axle gives the hub balances the load in force and moment', () => {
  fc.assert(
    fc.property(anyWheel, fc.array(anyForce, { minLength: 1, maxLength: 3 }), (wheel, anywhere) => {
      const nodes = (wheel.spokes.left.count + wheel.spokes.right.count) * elementsPerSpoke;
      const step = (2 * Math.PI) / nodes;
      const forces = anywhere.map((f) => ({
        ...f,
        angleRad: Math.round(f.angleRad / step) * step,
      }));
      const loaded = solveLoad(wheel, { forces }, { ...linear, tensioned: false });
      const given = [...loaded.hub.forceN, ...loaded.hub.momentNm];
      const sum = given.map((x, k) =>
        forces.reduce((s, f) => s + atHub(f, wheel.rim.radiusM)[k], x),
      );
      near(sum, [0, 0, 0, 0, 0, 0], { abs: 600 * 1e-9, why: '1e-9 of the largest load' });
      // Under tension the forces balance as before; moments then count the pulls that moved.
      const pulled = solveLoad(wheel, { forces }, linear);
      const force = pulled.hub.forceN.map((x, k) =>
        forces.reduce((s, f) => s + atHub(f, wheel.rim.radiusM)[k], x),
      );
      near(force, [0, 0, 0], { abs: 600 * 1e-9, why: '1e-9 of the largest load' });
    }),
    runs,
  );
});

test('energy grows with the square of the load, also of forces between nodes, and is never below zero', () => {
  fc.assert(
    fc.property(anyWheel, anyForce, round, (wheel, force, elsewhere) => {
      const work = (forces: RimForce[]): number => solveLoad(wheel, { forces }, linear).workJ;
      const other = { angleRad: elsewhere, lateralN: 50, radialN: 20, tangentialN: -30 };
      const [one, two, both] = [work([force]), work([other]), work([force, other])];
      assert.ok(one >= 0 && two > 0);
      const doubled = work([
        {
          ...force,
          lateralN: 2 * force.lateralN,
          radialN: 2 * force.radialN,
          tangentialN: 2 * force.tangentialN,
        },
      ]);
      near(doubled, 4 * one, { rel: 1e-9, abs: 1e-15, why: 'energy is quadratic' });
      assert.ok(both <= (Math.sqrt(one) + Math.sqrt(two)) ** 2 * (1 + 1e-9), 'Cauchy-Schwarz');
    }),
    runs,
  );
});

test('energy stored in spokes and rim is half the work of the load', () => {
  fc.assert(
    fc.property(anyWheel, fc.nat(1000), (wheel, a) => {
      const { model } = wheelModel(wheel, { elementsPerSpoke });
      const node = a % model.nodes;
      const angleRad = (2 * Math.PI * node) / model.nodes;
      const forces = [{ angleRad, lateralN: 100, radialN: -50 }];
      const loaded = solveLoad(wheel, { forces }, { ...linear, tensioned: false });
      const [lateral, radial] = moved(loaded, node);
      near(loaded.workJ, (100 * lateral - 50 * radial) / 2, { rel: 1e-12, why: 'round-off' });
      const inSpokes = loaded.spokeTensionChangeN.reduce(
        (sum, x, i) =>
          sum + (x * x * model.spokes[i].lengthM) / model.spokes[i].axialStiffnessN / 2,
        0,
      );
      assert.ok(inSpokes > 0 && inSpokes < loaded.workJ, 'the rim holds the rest');
      // With a rim a thousand times stiffer nearly all of it is in the spokes.
      const rim = { ...wheel.rim, materialEPa: wheel.rim.materialEPa * 1e4 };
      rim.materialGPa *= 1e4;
      const stiff = solveLoad({ ...wheel, rim }, { forces }, { ...linear, tensioned: false });
      const share = stiff.spokeTensionChangeN.reduce(
        (sum, x, i) =>
          sum + (x * x * model.spokes[i].lengthM) / model.spokes[i].axialStiffnessN / 2,
        0,
      );
      near(share, stiff.workJ, { rel: 0.02, why: 'what a rim 10⁴ times stiffer still gives' });
    }),
    runs,
  );
});

test('the influence of nipples is mutual, and a tightened spoke gains less than on fixed ends', () => {
  fc.assert(
    fc.property(anyWheel, (wheel) => {
      const { spokes: n, tensionPerTurnN: m } = influence(wheel, { elementsPerSpoke });
      const { model } = wheelModel(wheel, { elementsPerSpoke });
      const rate = model.spokes.map((s) => s.axialStiffnessN / s.lengthM);
      // k(b·K⁻¹b k - 1): symmetric as it stands, whatever the rates.
      const scale = Math.max(...m.map(Math.abs));
      for (let i = 0; i < n; i++) {
        for (let j = 0; j < i; j++) {
          near(m[i * n + j], m[j * n + i], { abs: 1e-9 * scale, why: 'reciprocity' });
        }
        assert.ok(m[i * n + i] > 0 && m[i * n + i] < (rate[i] * 0.0254) / 56);
      }
    }),
    { ...runs, numRuns: 10 },
  );
});

test('the same load a spoke pair further round gives the same answer', () => {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const at = (spoke: number) =>
    solveLoad(
      wheel,
      { forces: [{ angleRad: (2 * Math.PI * spoke) / 32, lateralN: 200, radialN: -300 }] },
      { elementsPerSpoke },
    );
  const [first, later] = [at(0), at(4)];
  const turned = Array.from(
    first.spokeTensionChangeN,
    (_, i) => later.spokeTensionChangeN[(i + 4) % 32],
  );
  near(turned, first.spokeTensionChangeN, { abs: 1e-8, why: 'the lacing repeats after four' });
});
