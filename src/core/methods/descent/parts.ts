/**
 * What a brake is made of. Defaults by size are ours, no source: plain rotors weighed up from their
 * dimensions (a steel rotor of 160 mm comes to 118 g). Everything can be given in the sheet instead.
 */
import type { DescentBrake, PadKind, RotorSizeMm } from '../../evidence/index.ts';
import {
  aluminiumDensity,
  chromiumSteelDensity,
  effusivity,
  padShare,
} from '../../physics/index.ts';
import { heatTable, type Composition, type HeatTable } from './heat-content.ts';

/** Track width and carrier mass by size: metres, kilograms. */
const bySize: Record<RotorSizeMm, { trackWidthM: number; steelKg: number; aluminiumKg: number }> = {
  140: { trackWidthM: 0.0135, steelKg: 0.04, aluminiumKg: 0.045 },
  160: { trackWidthM: 0.014, steelKg: 0.055, aluminiumKg: 0.055 },
  180: { trackWidthM: 0.0145, steelKg: 0.075, aluminiumKg: 0.065 },
  200: { trackWidthM: 0.015, steelKg: 0.095, aluminiumKg: 0.078 },
  203: { trackWidthM: 0.015, steelKg: 0.098, aluminiumKg: 0.08 },
};

const trackThicknessM = 0.0018;
/** Aluminium between the steel faces of a layered rotor; wear takes from the faces alone. */
const coreThicknessM = 0.0008;
/** Share of the ring that is holes, and their mean width. */
const openShare = 0.3;
const holeM = 0.006;
/** The arms of a steel rotor as a way for heat: width × thickness ÷ length of all together, m. */
const armsM = 0.004;
/** Rivets between a layered track and its carrier, W/K. */
const rivetsWPerK = 0.3;
/** Carrier to hub, W/K; the hub stays at the air's temperature. */
const hubWPerK = 0.3;
/** Both pads' faces, m². */
const padAreaM2 = 6.6e-4;
const padDepthM = 0.002;
/** Two backing plates, J/K. */
const backingJPerK = 9.2;
/** Where pad and track touch, W/(m² K). */
const contactWPerM2K = 1e4;

/** Pistons of both sides, steel cups or resin, W/K: worked out from their walls, 0.04 to 0.2; ours. */
const caliperWPerK = 0.15;

/** Friction materials: usual handbook ranges, from memory. */
const padMaterials: Record<PadKind, { conductivity: number; density: number; heat: number }> = {
  resin: { conductivity: 1, density: 2200, heat: 1000 },
  metal: { conductivity: 15, density: 5500, heat: 450 },
};

/** A brake as nodes: track, carrier, pads with their backing, caliper with its fluid. */
export interface BrakeBody {
  diameterM: number;
  trackWidthM: number;
  /** Fluxes pass from track to carrier by steel arms (`armsM`, with the steel's conductivity) or by rivets. */
  armsM: number;
  rivetsWPerK: number;
  hubWPerK: number;
  track: Composition;
  carrier: Composition;
  trackTable: HeatTable;
  carrierTable: HeatTable;
  trackAreaM2: number;
  carrierAreaM2: number;
  padsJPerK: number;
  padsAreaM2: number;
  /** Track to pads while they touch, W/K. */
  padsWPerK: number;
  /** Share of the friction heat that goes straight into the pads. */
  padShare: number;
  /** Both pads' faces, m². */
  padFaceM2: number;
  caliperJPerK: number;
  caliperAreaM2: number;
  /** Pads to caliper, W/K. */
  caliperWPerK: number;
  /** Whether the track's mass was given. */
  weighed: boolean;
  core: boolean;
}

/** The nodes of one brake, defaults filled in. */
export function bodyOf(brake: DescentBrake): BrakeBody {
  const size = bySize[brake.rotorMm];
  const diameterM = brake.rotorMm / 1000;
  const widthM = brake.trackWidthM ?? size.trackWidthM;
  const thickM = brake.trackThicknessM ?? trackThicknessM;
  const layered = brake.build === 'layered';
  const ringM2 = Math.PI * widthM * (diameterM - widthM);
  const faceM2 = ringM2 * (1 - openShare);
  const coreM = layered ? Math.min(coreThicknessM, thickM) : 0;
  const made: Composition = {
    steelKg: faceM2 * (thickM - coreM) * chromiumSteelDensity,
    aluminiumKg: faceM2 * coreM * aluminiumDensity,
  };
  const scale = (brake.trackMassKg ?? total(made)) / total(made);
  const track = { steelKg: made.steelKg * scale, aluminiumKg: made.aluminiumKg * scale };
  const carrierKg = brake.carrierMassKg ?? (layered ? size.aluminiumKg : size.steelKg);
  const carrier: Composition = layered
    ? { steelKg: 0, aluminiumKg: carrierKg }
    : { steelKg: carrierKg, aluminiumKg: 0 };
  const sheetM2 = layered
    ? carrierKg / (aluminiumDensity * 0.003)
    : carrierKg / (chromiumSteelDensity * trackThicknessM);
  const pad = padMaterials[brake.pads];
  const depthM = brake.padDepthM ?? padDepthM;
  const throughPad = (pad.conductivity * padAreaM2) / depthM;
  return {
    diameterM,
    trackWidthM: widthM,
    armsM: layered ? 0 : armsM,
    rivetsWPerK: layered ? rivetsWPerK : 0,
    hubWPerK,
    track,
    carrier,
    trackTable: heatTable(track),
    carrierTable: heatTable(carrier),
    // Both faces, the walls of the holes, and the two edges.
    trackAreaM2:
      2 * faceM2 +
      openShare * ringM2 * ((4 * thickM) / holeM) +
      2 * Math.PI * (diameterM - widthM) * thickM,
    carrierAreaM2: 2.5 * sheetM2,
    padsJPerK: backingJPerK + padAreaM2 * depthM * pad.density * pad.heat,
    padsAreaM2: 0.001,
    padsWPerK: 1 / (1 / throughPad + 1 / (contactWPerM2K * padAreaM2)),
    padShare: padShare(
      { effusivity: effusivity(pad.conductivity, pad.density, pad.heat), areaM2: padAreaM2 },
      { effusivity: effusivity(25, chromiumSteelDensity, 460), areaM2: 2 * faceM2 },
    ),
    padFaceM2: padAreaM2,
    caliperJPerK: 117,
    caliperAreaM2: 0.012,
    caliperWPerK,
    weighed: brake.trackMassKg !== null,
    core: layered,
  };
}

const total = ({ steelKg, aluminiumKg }: Composition): number => steelKg + aluminiumKg;
