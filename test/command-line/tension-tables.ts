/** Invented tables and the wheel sheet for the tests of `lapbench tension`. */
import type { TestContext } from 'node:test';
import { folderFor, lapbench } from './terminal.ts';

/** Invented: dished, 16 + 16 round spokes of 2.0 mm. */
export const sheet = `name: Invented, dished
rim: {radiusM: 0.300, materialEPa: 70e9, materialGPa: 26e9, areaM2: 100e-6, iRadialM4: 1.5e-9, iLateralM4: 3e-9, torsionM4: 1e-9, nippleOffsetM: 0, massKg: 0.48}
hub: {flangeRadiusM: {left: 0.022, right: 0.022}, flangeOffsetM: {left: 0.035, right: 0.019}}
spokes:
  left:  {count: 16, cross: 2, materialEPa: 200e9, diameterM: 0.002, densityKgM3: 7900, meanTensionN: 600}
  right: {count: 16, cross: 2, materialEPa: 200e9, diameterM: 0.002, densityKgM3: 7900}
`;

const side = (spoke: number): string => (spoke % 2 === 1 ? 'left' : 'right');
/** Spoke 10 is 300 N too tight, spoke 21 is 150 N too loose. */
export const tensionAt = (spoke: number): number =>
  (spoke % 2 === 1 ? 600 : 1100) + (spoke === 10 ? 300 : spoke === 21 ? -150 : 0);
const spokeNumbers = Array.from({ length: 32 }, (_, i) => i + 1);

export const table = (
  reading: (spoke: number) => number | string = tensionAt,
  { rounds = 2, header = 'spoke,side,reading' } = {},
): string =>
  [
    header,
    ...Array.from({ length: rounds }, (_, round) =>
      spokeNumbers.map((spoke) => {
        const value = reading(spoke);
        const read =
          typeof value === 'number' ? Number((value * (1 + 0.004 * round)).toFixed(3)) : value;
        return `${spoke},${side(spoke)},${read}`;
      }),
    ).flat(),
  ].join('\n');

export const gauge = 'reading,tension_n\n15,310\n19,560\n23,920\n27,1530\n';

export const run = (
  t: TestContext,
  files: Record<string, string>,
  ...options: string[]
): ReturnType<typeof lapbench> =>
  lapbench(
    folderFor(t, { 'wheel.yaml': sheet, 'gauge.csv': gauge, ...files }),
    'tension',
    'spokes.csv',
    ...options,
  );

/** Clamped steel spokes of this sheet; 397.59 Hz at 280 mm and 1000 N in the reference table. */
export const pitchAt = (spoke: number): number => (spoke % 2 ? 305 : 395);
