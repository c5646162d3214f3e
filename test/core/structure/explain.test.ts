import assert from 'node:assert/strict';
import test from 'node:test';
import {
  explainDifference,
  fitRimStiffness,
  influence,
  sectionFromOutline,
  solveLoad,
  wheelMechanics,
} from '../../../src/core/structure/index.ts';
import { LapbenchError } from '../../../src/core/units/index.ts';
import { near } from '../../near.ts';
import { deepTwoToOne, referenceWheel } from './wheels.ts';

const mesh = { elementsPerSpoke: 2 };

/** Rims of one outer radius, width, wall and material, at two depths, on the same hub and spokes. */
function ofDepth(depthM: number) {
  const wheel = referenceWheel({ cross: 2, meanTensionN: 1000 });
  const section = sectionFromOutline(
    [
      { radialM: 0.315, lateralM: -0.012 },
      { radialM: 0.315, lateralM: 0.012 },
      { radialM: 0.315 - depthM, lateralM: 0.004 },
      { radialM: 0.315 - depthM, lateralM: -0.004 },
    ],
    0.0015,
  );
  const { centroidRadialM, areaM2, iRadialM4, iLateralM4, torsionM4, shearCentreOffsetM } = section;
  Object.assign(wheel.rim, { areaM2, iRadialM4, iLateralM4, torsionM4, shearCentreOffsetM });
  wheel.rim.radiusM = centroidRadialM;
  wheel.rim.nippleOffsetM = centroidRadialM - (0.315 - depthM);
  return wheel;
}

const deeper = () => ofDepth(0.06);

test('at equal lacing a deeper rim with shorter spokes is laterally stiffer', () => {
  // Common practice, no source.
  const [shallow, deep] = [0.025, 0.06].map(ofDepth);
  const [a, b] = [shallow, deep].map((wheel) => wheelMechanics(wheel, mesh));
  assert.ok(b.spokes[0].lengthM < a.spokes[0].lengthM - 0.025);
  assert.ok(b.lateralUntensionedNPerMm > 1.1 * a.lateralUntensionedNPerMm);
  assert.ok(b.lateralNPerMm > 1.1 * a.lateralNPerMm);
  // The reason given with it: the pull being the same, a shorter spoke stretches less.
  const { terms } = explainDifference(shallow, deep, mesh);
  assert.ok((terms.find(({ key }) => key === 'spokeLength')?.lateralNPerMm ?? 0) > 0);
});

test('the parts of a difference add up to it exactly, larger first', () => {
  const a = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const b = deepTwoToOne();
  const found = explainDifference(a, b, mesh);
  const sum = (of: (t: (typeof found.terms)[number]) => number): number =>
    found.terms.reduce((total, term) => total + of(term), 0);
  const [ka, kb] = [wheelMechanics(a, mesh), wheelMechanics(b, mesh)];
  near(found.lateralNPerMm, kb.lateralNPerMm - ka.lateralNPerMm, {
    abs: 1e-9,
    why: 'same numbers',
  });
  near(found.radialNPerMm, kb.radialNPerMm - ka.radialNPerMm, { abs: 1e-6, why: 'same numbers' });
  near(
    sum((t) => t.lateralNPerMm),
    found.lateralNPerMm,
    { abs: 1e-9, why: 'round-off' },
  );
  near(
    sum((t) => t.radialNPerMm),
    found.radialNPerMm,
    { abs: 1e-8, why: 'round-off' },
  );
  near(
    sum((t) => t.lateralShare ?? NaN),
    1,
    { abs: 1e-9, why: 'shares of one whole' },
  );
  assert.equal(found.terms.length, 8);
  const sizes = found.terms.map((t) => Math.abs(t.lateralNPerMm));
  assert.deepEqual(
    sizes,
    [...sizes].sort((x, y) => y - x),
  );
});

test('the other way round every part changes its sign', () => {
  const a = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const b = deeper();
  const [there, back] = [explainDifference(a, b, mesh), explainDifference(b, a, mesh)];
  for (const term of there.terms) {
    const other = back.terms.find(({ key }) => key === term.key);
    near(other?.lateralNPerMm ?? NaN, -term.lateralNPerMm, { abs: 1e-9, why: 'order-free' });
  }
});

test('a single change takes the whole difference, with the sign that mechanics gives it', () => {
  const a = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const only = (change: (w: typeof a) => void) => {
    const b = structuredClone(a);
    change(b);
    return explainDifference(a, b, mesh);
  };
  const rim = only((w) => (w.rim.iLateralM4 *= 2));
  assert.deepEqual(
    rim.terms.map(({ key, lateralShare }) => [key, lateralShare]),
    [['rimSection', 1]],
  );
  assert.ok(rim.lateralNPerMm > 0);
  const tension = only((w) => (w.spokes.left.meanTensionN = 1200));
  assert.deepEqual(
    tension.terms.map(({ key }) => key),
    ['tension'],
  );
  assert.ok(tension.lateralNPerMm < 0, 'more tension softens');
  assert.equal(explainDifference(a, structuredClone(a), mesh).terms.length, 0);
});

test('a rim fitted to the wheel on the bench gives the reading back, and predicts the next wheel', () => {
  const truth = referenceWheel({ cross: 3, meanTensionN: 900 });
  const sheet = structuredClone(truth);
  sheet.rim.iLateralM4 *= 0.6;
  sheet.rim.torsionM4 *= 0.6;
  const reading = wheelMechanics(truth, mesh).lateralNPerMm;
  const fit = fitRimStiffness(sheet, reading, mesh);
  near(fit.scale, 1 / 0.6, { rel: 1e-6, why: 'one factor, found again' });
  near(fit.lateralNPerMm, reading, { rel: 1e-9, why: 'search ends at round-off' });
  const next = (w: typeof truth) => {
    const other = structuredClone(w);
    other.spokes.left.areaM2 *= 1.3;
    other.spokes.right.areaM2 *= 1.3;
    return wheelMechanics(other, mesh).lateralNPerMm;
  };
  near(next(fit.wheel), next(truth), { rel: 1e-6, why: 'the same rim' });
  const beside = fitRimStiffness(sheet, 100, { ...mesh, at: 'spoke' });
  near(wheelMechanics(beside.wheel, mesh).lateralAtSpokeNPerMm, 100, {
    rel: 1e-9,
    why: 'asked for',
  });
});

test('a reading that no rim explains is refused with the range that can be reached', () => {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 900 });
  for (const reading of [900, 0, -5, NaN]) {
    assert.throws(
      () => fitRimStiffness(wheel, reading, mesh),
      (error: unknown) =>
        error instanceof LapbenchError &&
        error.problems[0].code === 'wheel-fit' &&
        /to \d+\.\d N\/mm \(a rigid one\)/.test(error.message),
    );
  }
});

test('one turn of a nipple is the spoke drawn in by the thread, answered by the whole wheel', () => {
  const wheel = deepTwoToOne();
  const { spokes: n, tensionPerTurnN, lateralPerTurnM, radialPerTurnM } = influence(wheel, mesh);
  assert.equal(n, 24);
  const column = (of: Float64Array, turned: number): number[] =>
    Array.from({ length: n }, (_, i) => of[i * n + turned]);
  // A left spoke draws the rim to the left and in; balance along the axle holds for the changes.
  assert.ok(lateralPerTurnM[0] > 0 && radialPerTurnM[0] < 0 && tensionPerTurnN[0] > 0);
  assert.ok(lateralPerTurnM[1 * n + 1] < 0, 'a right one to the right');
  const untensioned = influence(wheel, { ...mesh, tensioned: false });
  const { spokes } = wheelMechanics(wheel, mesh);
  const along = column(untensioned.tensionPerTurnN, 0).reduce(
    (sum, x, i) =>
      sum + x * Math.sin(spokes[i].bracingAngleRad) * (spokes[i].side === 'left' ? 1 : -1),
    0,
  );
  near(along, 0, { abs: 1e-8, why: 'nothing else pulls along the axle' });
  const twice = influence(wheel, { ...mesh, threadPitchM: (2 * 0.0254) / 56 });
  near(twice.tensionPerTurnN[5], 2 * tensionPerTurnN[5], { rel: 1e-12, why: 'linear' });
});

test('stiff bearings are a rigid hub; soft ones add their own give', () => {
  const wheel = deepTwoToOne();
  const rigid = wheelMechanics(wheel, mesh);
  assert.equal(rigid.onBearings, null);
  const on = (k: number, tilt: number) =>
    wheelMechanics(
      {
        ...wheel,
        hub: {
          ...wheel.hub,
          bearingStiffness: { radialNPerM: k, axialNPerM: k, tiltNmPerRad: tilt },
        },
      },
      mesh,
    ).onBearings;
  near(on(1e16, 1e14)?.lateralNPerMm ?? NaN, rigid.lateralNPerMm, {
    rel: 1e-6,
    why: 'next to rigid',
  });
  // Springs in series: 1/k along the axle, R²/tilt for the tilt.
  const soft = on(1e7, 1e4)?.lateralNPerMm ?? NaN;
  const series = 1 / (1 / rigid.lateralNPerMm + 1e3 * (1 / 1e7 + 0.29 ** 2 / 1e4));
  near(soft, series, { rel: 2e-3, why: 'pulls of the spokes hold the tilt a little' });
});

test('a spoke load deflects a nearly rigid wheel by the sum of its parts', () => {
  // Rigid-rim lateral stiffness of the reference wheel: n E A sin² α / (3 L) = 283.616 N/mm (table C).
  const wheel = referenceWheel({ meanTensionN: 1e-3 });
  wheel.rim.materialEPa *= 1e5;
  wheel.rim.materialGPa *= 1e5;
  const loaded = solveLoad(
    wheel,
    { forces: [{ angleRad: 0, lateralN: 1 }] },
    {
      unilateral: false,
      tensioned: false,
    },
  );
  near(1e-3 / loaded.displacements.lateralM[0], 283.616, {
    rel: 1e-3,
    why: 'a rim 10⁵ times stiffer',
  });
});
