import type { BenchKind } from './contract.ts';

/** What a new bench item begins with: the columns of the readings, or an invented wheel to change. */
export function firstSheet(kind: BenchKind): string {
  return firstSheets[kind];
}

const firstSheets: Record<BenchKind, string> = {
  stiffness: 'remount,position_deg,direction,load_n,deflection_mm\n',
  tension: 'spoke,side,reading\n',
  wheel: `# An invented wheel to start from: put your own numbers in. Lengths in m, areas in m², N and Pa.
name: Front, 20 spokes
rim:
  radiusM: 0.296          # of the rim's centroid line
  materialEPa: 70e9       # Young's modulus of the rim
  materialGPa: 26e9       # its shear modulus
  areaM2: 130e-6
  iRadialM4: 4.0e-9       # resists bending in the wheel's plane
  iLateralM4: 6.0e-9      # resists bending sideways
  torsionM4: 7.0e-9
  nippleOffsetM: 0        # of the spoke ends, sideways from the rim's middle
  massKg: 0.45
hub:
  flangeRadiusM: {left: 0.019, right: 0.019}
  flangeOffsetM: {left: 0.034, right: 0.034}
spokes:
  left:  {count: 10, cross: 0, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850, meanTensionN: 900}
  right: {count: 10, cross: 0, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850}
`,
};

/** What a new bench item is called until somebody names it. */
export const firstTitles: Record<BenchKind, string> = {
  stiffness: 'Stiffness readings',
  tension: 'Spoke tensions',
  wheel: 'Wheel sheet',
};
