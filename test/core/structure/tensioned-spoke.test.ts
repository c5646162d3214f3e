/** The sounding spoke: against published limits, SciPy, finite elements and CalculiX. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import test from 'node:test';
import fc from 'fast-check';
import {
  beamFrequencyHz,
  beamTensionN,
  clampedEnds,
  endFixity,
  endSpringFrom,
  pinnedEnds,
  spokeBeam,
  stringFrequencyHz,
  stringTensionN,
  type BeamEnds,
  type TensionedBeam,
} from '../../../src/core/structure/index.ts';
import { near } from '../../near.ts';

interface Case extends TensionedBeam {
  beam: string;
  tensionN: number;
}
interface Reference {
  cases: (Case & {
    endsNmPerRad: [number | null, number | null];
    mode: number;
    equationHz: number;
    elementsHz: number;
  })[];
  calculix: (Case & { clamped: boolean; hz: number[] })[];
}

/** Made by tools/reference/spokes/pitch.py; programs and versions stand in the file. */
const reference = JSON.parse(
  fs.readFileSync(new URL('../../fixtures/structure/spoke-pitch.json', import.meta.url), 'utf8'),
) as Reference;

const steel = (diameterM: number): TensionedBeam => ({
  lengthM: 0.28,
  bendingNm2: (200e9 * Math.PI * diameterM ** 4) / 64,
  massKgM: (7900 * Math.PI * diameterM ** 2) / 4,
});

test('any springs, both first partials: as SciPy finds the root of the 4 × 4 determinant', () => {
  for (const one of reference.cases) {
    const ends = one.endsNmPerRad.map((k) => k ?? Infinity) as unknown as BeamEnds;
    near(beamFrequencyHz(one, one.tensionN, ends, one.mode), one.equationHz, {
      rel: 2e-8,
      why: 'the file gives nine digits',
    });
    near(beamFrequencyHz(one, one.tensionN, ends, one.mode), one.elementsHz, {
      rel: 2e-5,
      why: '80 beam elements with geometric stiffness (SciPy eigh)',
    });
  }
});

test('pinned and clamped spokes: as CalculiX has them, tension first and then a frequency step', () => {
  assert.ok(reference.calculix.length >= 8);
  for (const one of reference.calculix) {
    const ends = one.clamped ? clampedEnds : pinnedEnds;
    const tolerance = one.clamped
      ? { rel: 0.002, why: 'solid elements give a little in their clamp' }
      : { rel: 5e-4, why: 'shear and mesh of solid elements' };
    one.hz.forEach((hz, i) => near(beamFrequencyHz(one, one.tensionN, ends, i + 1), hz, tolerance));
  }
});

test('clamped steel spoke, 2.0 mm, 280 mm, 1000 N: 397.59 Hz; the string alone 358.45 Hz', () => {
  // Reference table worked with NumPy from the exact equation (Morse 1948).
  const rows: [d: number, T: number, string: number, pinned: number, clamped: number][] = [
    [0.002, 600, 277.65, 282.19, 319.05],
    [0.002, 1000, 358.45, 361.97, 397.59],
    [0.002, 1200, 392.66, 395.88, 431.14],
    [0.0018, 1000, 398.27, 400.85, 432.22],
    [0.0015, 1000, 477.93, 479.42, 504.86],
  ];
  const why = 'rounding of the table';
  for (const [d, tensionN, string, pinned, clamped] of rows) {
    near(stringFrequencyHz(steel(d), tensionN), string, { abs: 0.01, why });
    near(beamFrequencyHz(steel(d), tensionN, pinnedEnds), pinned, { abs: 0.01, why });
    near(beamFrequencyHz(steel(d), tensionN, clampedEnds), clamped, { abs: 0.01, why });
  }
});

test('pinned ends have a closed form: n fs √(1 + n²π²/ξ²) (Fletcher & Rossing 2.18)', () => {
  const beam = steel(0.002);
  const xi2 = (1000 * beam.lengthM ** 2) / beam.bendingNm2;
  for (const n of [1, 2, 3, 7]) {
    const closed = stringFrequencyHz(beam, 1000, n) * Math.sqrt(1 + (n * Math.PI) ** 2 / xi2);
    near(beamFrequencyHz(beam, 1000, pinnedEnds, n), closed, { rel: 1e-12, why: 'exact' });
  }
});

test('without tension the beam tables: 4.730041², 7.853205², and 3.926602² with one end pinned', () => {
  const beam = steel(0.002);
  const unit = Math.sqrt(beam.bendingNm2 / beam.massKgM) / (2 * Math.PI * beam.lengthM ** 2);
  // Roots of cos·cosh = 1 and tan = tanh, beam tables.
  const why = 'seven digits of the tables';
  near(beamFrequencyHz(beam, 0, clampedEnds) / unit, 4.730041 ** 2, { rel: 1e-6, why });
  near(beamFrequencyHz(beam, 0, clampedEnds, 2) / unit, 7.853205 ** 2, { rel: 1e-6, why });
  near(beamFrequencyHz(beam, 0, [0, Infinity]) / unit, 3.926602 ** 2, { rel: 1e-6, why });
  near(beamFrequencyHz(beam, 0, pinnedEnds) / unit, Math.PI ** 2, { rel: 1e-9, why: 'exact' });
});

test('with no bending stiffness to speak of, the string', () => {
  const thin = { ...steel(0.002), bendingNm2: 1e-9 };
  const why = 'the clamped end still takes 2/ξ';
  near(beamFrequencyHz(thin, 1000, clampedEnds), stringFrequencyHz(thin, 1000), { rel: 1e-5, why });
});

test('the plain string reads a clamped 2 mm spoke 20 to 30 % too high between 600 and 1200 N', () => {
  // 792, 1230 and 1447 N in the reference table.
  for (const [tensionN, read] of [
    [600, 792],
    [1000, 1230],
    [1200, 1447],
  ]) {
    const hz = beamFrequencyHz(steel(0.002), tensionN, clampedEnds);
    near(stringTensionN(steel(0.002), hz), read, { abs: 1, why: 'whole newtons in the table' });
  }
});

const anyBeam = fc.record({
  lengthM: fc.double({ min: 0.15, max: 0.32, noNaN: true }),
  bendingNm2: fc.double({ min: 0.01, max: 0.4, noNaN: true }),
  massKgM: fc.double({ min: 0.006, max: 0.04, noNaN: true }),
});
const anyTension = fc.double({ min: 0, max: 2500, noNaN: true });
const anySpring = fc.oneof(
  fc.constantFrom(0, Infinity),
  fc.double({ min: 0.01, max: 500, noNaN: true }),
);

test('pitch to tension and back, for any spoke, springs and partial', () => {
  fc.assert(
    fc.property(
      anyBeam,
      anyTension,
      fc.tuple(anySpring, anySpring),
      fc.integer({ min: 1, max: 4 }),
      (beam, tensionN, ends, mode) => {
        const hz = beamFrequencyHz(beam, tensionN, ends, mode);
        const why = 'round-off of the root';
        near(beamTensionN(beam, hz, ends, mode)!, tensionN, { rel: 1e-7, abs: 1e-6, why });
      },
    ),
    { seed: 3, numRuns: 200 },
  );
});

test('a stiffer end, more tension or a shorter spoke sounds higher', () => {
  fc.assert(
    fc.property(anyBeam, fc.double({ min: 50, max: 2000, noNaN: true }), (beam, tensionN) => {
      const pitch = (k: number) => beamFrequencyHz(beam, tensionN, [k, k]);
      const pitches = [0, 1, 10, 100, Infinity].map(pitch);
      assert.ok(pitches.every((hz, i) => i === 0 || hz > pitches[i - 1]));
      assert.ok(beamFrequencyHz(beam, tensionN * 1.01, [5, 5]) > pitch(5));
      assert.ok(
        beamFrequencyHz({ ...beam, lengthM: beam.lengthM * 0.99 }, tensionN, [5, 5]) > pitch(5),
      );
    }),
    { seed: 4, numRuns: 100 },
  );
});

test('the ends found from a known spoke give that spoke its pitch; past clamped or pinned it is said', () => {
  const beam = steel(0.002);
  for (const spring of [0.5, 5, 14, 80]) {
    const hz = beamFrequencyHz(beam, 900, [spring, spring]);
    near(endSpringFrom(beam, 900, hz) as number, spring, { rel: 1e-6, why: 'root' });
  }
  assert.equal(endSpringFrom(beam, 1000, 400), 'above');
  assert.equal(endSpringFrom(beam, 1000, 360), 'below');
  assert.equal(endFixity(beam, 1000, Infinity), 1);
  assert.equal(endFixity(beam, 1000, 0), 0);
  near(endFixity(beam, 1000, Math.sqrt(beam.bendingNm2 * 1000)), 0.5, { rel: 1e-12, why: 'exact' });
});

test('lower than a slack spoke sounds, there is no tension', () => {
  assert.equal(beamTensionN(steel(0.002), 110, clampedEnds), null);
  near(beamTensionN(steel(0.002), 114.26292, clampedEnds)!, 0, { abs: 0.01, why: 'at the limit' });
});

test('sections: round, rectangular blade both ways, elliptical blade', () => {
  const side = {
    count: 16,
    cross: 0,
    materialEPa: 200e9,
    areaM2: Math.PI * 1e-6,
    densityKgM3: 7900,
    meanTensionN: null,
  };
  const why = 'closed forms of the second moment';
  near(spokeBeam(side, 0.28).bendingNm2, steel(0.002).bendingNm2, { rel: 1e-12, why });
  near(spokeBeam(side, 0.28, 'edge').bendingNm2, steel(0.002).bendingNm2, { rel: 1e-12, why });
  const blade = { ...side, areaM2: 2.2e-3 * 0.9e-3, widthM: 0.0022, thicknessM: 0.0009 };
  near(spokeBeam(blade, 0.28).bendingNm2, (200e9 * 0.0022 * 0.0009 ** 3) / 12, { rel: 1e-12, why });
  near(spokeBeam(blade, 0.28, 'edge').bendingNm2, (200e9 * 0.0009 * 0.0022 ** 3) / 12, {
    rel: 1e-12,
    why,
  });
  // Bladed 2.2 × 0.9 mm, 1000 N, clamped, 280 mm: the reference table gives both planes.
  near(beamFrequencyHz(spokeBeam(blade, 0.28), 1000, clampedEnds), 469.62, { abs: 0.02, why });
  near(beamFrequencyHz(spokeBeam(blade, 0.28, 'edge'), 1000, clampedEnds), 501.31, {
    abs: 0.02,
    why,
  });
  const ellipse = { ...blade, areaM2: (Math.PI / 4) * 2.2e-3 * 0.9e-3 };
  near(spokeBeam(ellipse, 0.28).bendingNm2, (200e9 * Math.PI * 0.0022 * 0.0009 ** 3) / 64, {
    rel: 1e-12,
    why,
  });
});
