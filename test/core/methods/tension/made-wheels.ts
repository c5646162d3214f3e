/** Invented wheels and readings for the tests of spoke tension. */
import type { Side, SpokeReading, SpokeSide, Wheel } from '../../../../src/core/evidence/index.ts';
import {
  estimateTension,
  type TensionEvidence,
  type TensionFinding,
} from '../../../../src/core/methods/index.ts';
import { sideOrder } from '../../../../src/core/structure/index.ts';

export interface WheelChange {
  count?: number;
  cross?: number;
  offsetM?: { left: number; right: number };
  spokes?: Partial<SpokeSide>;
}

/** Dished, 16 + 16 round spokes of 2.0 mm, a shallow rim. */
export function dishedWheel(change: WheelChange = {}): Wheel {
  const { count = 32, cross = 2, offsetM = { left: 0.035, right: 0.019 } } = change;
  const side = (meanTensionN: number | null): SpokeSide => ({
    count: count / 2,
    cross,
    materialEPa: 200e9,
    areaM2: Math.PI * 1e-6,
    densityKgM3: 7900,
    meanTensionN,
    ...change.spokes,
  });
  return {
    name: 'invented, dished',
    rim: {
      radiusM: 0.3,
      materialEPa: 70e9,
      materialGPa: 26e9,
      areaM2: 1e-4,
      iRadialM4: 100 / 70e9,
      iLateralM4: 200 / 70e9,
      torsionM4: 25 / 26e9,
      nippleOffsetM: 0,
      massKg: 0.5,
    },
    hub: { flangeRadiusM: { left: 0.022, right: 0.022 }, flangeOffsetM: offsetM },
    spokes: { left: side(600), right: side(null) },
    discSide: null,
  };
}

export const sidesOf = ({ spokes }: Wheel): Side[] =>
  sideOrder(spokes.left.count, spokes.right.count);

/** One reading a spoke, round the rim; `line` as in a file with a header. */
export const readingsOf = (values: readonly number[], sides: readonly Side[]): SpokeReading[] =>
  values.map((reading, i) => ({ spoke: i + 1, side: sides[i], reading, line: i + 2 }));

export const evidenceOf = (change: Partial<TensionEvidence>): TensionEvidence => ({
  readings: [],
  as: 'tension',
  unit: null,
  calibration: null,
  spokeType: null,
  tolerancePercent: null,
  maximumN: null,
  known: [],
  wheel: null,
  limits: { lateralM: 0.0005, radialM: 0.0005 },
  inputs: [],
  ...change,
});

export const finding = (change: Partial<TensionEvidence>): TensionFinding =>
  estimateTension(evidenceOf(change));

/** Seeded, uniform on [0, 1): Park & Miller's minimal standard generator. */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => (state = (state * 48271) % 2147483647) / 2147483647;
}

/** Normal by the sum of twelve. */
export const normal = (random: () => number): number =>
  Array.from({ length: 12 }, random).reduce((sum, x) => sum + x, -6);
