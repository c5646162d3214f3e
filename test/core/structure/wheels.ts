/** Wheels for tests: the fully specified reference wheel, invented ones, and random ones. */
import fc from 'fast-check';
import type { SpokeSide, Wheel } from '../../../src/core/evidence/index.ts';

export interface ReferenceOptions {
  cross?: number;
  meanTensionN?: number | null;
  /** Same total spoke section, spread over this many spokes. */
  count?: number;
  /** E·A of the rim; the smeared theory has a rim that does not stretch. */
  rimEaN?: number;
}

/**
 * Reference wheel: 32 round spokes of 2.0 mm, E 210 GPa; centroid radius 300 mm, flanges 20 mm at ±30 mm;
 * EI 100 in the plane and 200 N·m² out of it, GJ 25 N·m², EA 7 MN (two separate finite-element programs
 * and the mode formulas agree on it).
 */
export function referenceWheel(options: ReferenceOptions = {}): Wheel {
  const { cross = 0, meanTensionN = null, count = 32, rimEaN = 7e6 } = options;
  const side = (tension: number | null): SpokeSide => ({
    count: count / 2,
    cross,
    materialEPa: 210e9,
    areaM2: (Math.PI * 1e-6 * 32) / count,
    densityKgM3: 7850,
    meanTensionN: tension,
  });
  return {
    name: 'reference',
    rim: {
      radiusM: 0.3,
      materialEPa: 70e9,
      materialGPa: 25e9,
      areaM2: rimEaN / 70e9,
      iRadialM4: 100 / 70e9,
      iLateralM4: 200 / 70e9,
      torsionM4: 25 / 25e9,
      nippleOffsetM: 0,
      massKg: 0.5,
    },
    hub: { flangeRadiusM: { left: 0.02, right: 0.02 }, flangeOffsetM: { left: 0.03, right: 0.03 } },
    spokes: { left: side(meanTensionN), right: side(null) },
    discSide: null,
  };
}

/** Invented deep front wheel: 16 crossed twice on the disc's side, 8 radial on the other. */
export function deepTwoToOne(): Wheel {
  const side = (count: number, cross: number, meanTensionN: number | null): SpokeSide => ({
    count,
    cross,
    materialEPa: 130e9,
    areaM2: 4.5e-6,
    densityKgM3: 1600,
    meanTensionN,
  });
  return {
    name: 'invented deep front, 2:1',
    rim: {
      radiusM: 0.29,
      materialEPa: 60e9,
      materialGPa: 6e9,
      areaM2: 180e-6,
      iRadialM4: 30e-9,
      iLateralM4: 8e-9,
      torsionM4: 12e-9,
      nippleOffsetM: 0.004,
      massKg: 0.48,
      shearCentreOffsetM: 0.002,
    },
    hub: {
      flangeRadiusM: { left: 0.022, right: 0.019 },
      flangeOffsetM: { left: 0.026, right: 0.034 },
    },
    spokes: { left: side(16, 2, 1000), right: side(8, 0, null) },
    discSide: 'left',
  };
}

/** Random wheels that stand: either side's lacing, dish, offsets, materials. */
export const anyWheel: fc.Arbitrary<Wheel> = fc
  .record({
    pairs: fc.integer({ min: 4, max: 9 }),
    ratio: fc.constantFrom('equal', 'left', 'right'),
    cross: fc.tuple(fc.integer({ min: 0, max: 2 }), fc.integer({ min: 0, max: 2 })),
    radiusM: fc.double({ min: 0.2, max: 0.32, noNaN: true }),
    flangeM: fc.tuple(
      fc.double({ min: 0.012, max: 0.03, noNaN: true }),
      fc.double({ min: 0.012, max: 0.03, noNaN: true }),
    ),
    offsetM: fc.tuple(
      fc.double({ min: 0.015, max: 0.04, noNaN: true }),
      fc.double({ min: 0.015, max: 0.04, noNaN: true }),
    ),
    ei: fc.tuple(
      fc.double({ min: 60, max: 1500, noNaN: true }),
      fc.double({ min: 60, max: 600, noNaN: true }),
      fc.double({ min: 15, max: 200, noNaN: true }),
    ),
    areaM2: fc.double({ min: 2e-6, max: 5e-6, noNaN: true }),
    nippleOffsetM: fc.double({ min: -0.005, max: 0.015, noNaN: true }),
    shearCentreOffsetM: fc.double({ min: -0.005, max: 0.005, noNaN: true }),
    tensionN: fc.double({ min: 300, max: 700, noNaN: true }),
  })
  .map((x) => {
    const few = 2 * x.pairs;
    const counts = {
      equal: [few, few],
      left: [2 * few, few],
      right: [few, 2 * few],
    }[x.ratio] as [number, number];
    // One crossed side at least, so that torque has a way.
    const cross = x.cross[0] + x.cross[1] === 0 ? [1, 0] : x.cross;
    const side = (i: number, meanTensionN: number | null): SpokeSide => ({
      count: counts[i],
      cross: cross[i],
      materialEPa: 200e9,
      areaM2: x.areaM2,
      densityKgM3: 7850,
      meanTensionN,
    });
    return {
      name: 'random',
      rim: {
        radiusM: x.radiusM,
        materialEPa: 70e9,
        materialGPa: 26e9,
        areaM2: 1.2e-4,
        iRadialM4: x.ei[0] / 70e9,
        iLateralM4: x.ei[1] / 70e9,
        torsionM4: x.ei[2] / 26e9,
        nippleOffsetM: x.nippleOffsetM,
        massKg: 0.5,
        shearCentreOffsetM: x.shearCentreOffsetM,
      },
      hub: {
        flangeRadiusM: { left: x.flangeM[0], right: x.flangeM[1] },
        flangeOffsetM: { left: x.offsetM[0], right: x.offsetM[1] },
      },
      spokes: { left: side(0, x.tensionN), right: side(1, null) },
      discSide: null,
    };
  });
