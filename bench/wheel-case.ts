/** The invented wheel and load of the benchmark. */
import type { Wheel } from '../src/core/evidence/index.ts';
import type { WheelLoad } from '../src/core/structure/index.ts';

const side = {
  count: 16,
  cross: 3,
  materialEPa: 210e9,
  areaM2: Math.PI * 1e-6,
  densityKgM3: 7850,
};
/** 32 spokes, 3-cross, nipples off the centroid line. */
export const benchWheel: Wheel = {
  name: 'invented, 32 spokes',
  rim: {
    radiusM: 0.3,
    materialEPa: 70e9,
    materialGPa: 26e9,
    areaM2: 1e-4,
    iRadialM4: 1.5e-9,
    iLateralM4: 3e-9,
    torsionM4: 1e-9,
    nippleOffsetM: 0.005,
    massKg: 0.45,
  },
  hub: { flangeRadiusM: { left: 0.02, right: 0.02 }, flangeOffsetM: { left: 0.03, right: 0.03 } },
  spokes: { left: { ...side, meanTensionN: 1000 }, right: { ...side, meanTensionN: null } },
  discSide: 'left',
};

/** 20 kg sideways at a spoke. */
export const benchLoad: WheelLoad = { forces: [{ angleRad: 0, lateralN: 196.1 }] };
