/** The bench of the demo day: the invented wheels of its setups, measured and written down. */
import {
  deflectionsCsv,
  simulateDeflections,
  simulateTensions,
  tensionsCsv,
} from '../simulation/index.ts';
import type { NewBench } from './bench-contract.ts';
import type { BenchKind } from './contract.ts';

/** True lateral stiffness of the demo wheels, N/mm, and the play in the fixture, mm: what a reduction should find. */
export const demoBenchTruth = {
  shallow: { lateralNPerMm: 70.6, slopMm: 0.09 },
  mid: { lateralNPerMm: 76.1, slopMm: 0.11 },
  deep: { lateralNPerMm: 105.2, slopMm: 0.08 },
} as const;

/** Spokes of the deep wheel that were turned too far. */
export const demoTurnedSpokes = [
  { spoke: 9, share: 0.24 },
  { spoke: 12, share: -0.26 },
];

type DemoPair = keyof typeof demoBenchTruth;

const pairs = ['shallow', 'mid', 'deep'] as const;

const setups: Record<DemoPair, string> = {
  shallow: 'Shallow pair',
  mid: 'Mid pair',
  deep: 'Deep pair',
};

/** Of the ride of the demo day: the bench stands at home, the evening before. */
const date = '2026-05-16';

const invented = 'Invented: no such wheel exists. Made by the simulation that comes with Lapbench.';

/** Left, right, left: twice as many crossed spokes on the left as straight ones on the right. */
const deepSides = Array.from({ length: 24 }, (_, i) => (i % 3 === 1 ? 'right' : 'left'));

const wheelSheets: Record<'shallow' | 'deep', string> = {
  shallow: `# ${invented}
name: Shallow front, 24 spokes
invented: true
rim: {radiusM: 0.305, materialEPa: 70e9, materialGPa: 26e9, areaM2: 130e-6, iRadialM4: 2.5e-9, iLateralM4: 4.5e-9, torsionM4: 3.5e-9, nippleOffsetM: 0, massKg: 0.45}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
discSide: left
spokes:
  left:  {count: 12, cross: 2, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850, meanTensionN: 950}
  right: {count: 12, cross: 2, materialEPa: 200e9, areaM2: 2.2e-6, densityKgM3: 7850} # tension from equilibrium
`,
  deep: `# ${invented}
name: Deep front, 2:1
invented: true
rim: {radiusM: 0.290, materialEPa: 60e9, materialGPa: 6e9, areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9, nippleOffsetM: 0, massKg: 0.48}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
discSide: left
spokes:
  left:  {count: 16, cross: 2, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600, meanTensionN: 800}
  right: {count: 8, cross: 0, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600} # tension from equilibrium
`,
};

const readingsOf = (pair: DemoPair): string =>
  deflectionsCsv(
    simulateDeflections({ seed: 20260516 + pairs.indexOf(pair), ...demoBenchTruth[pair] }),
    [invented, `${setups[pair]}, front wheel; dial at the rim, side load in newtons.`],
  );

const tensions = (): string =>
  tensionsCsv(
    simulateTensions({
      seed: 20260516,
      sides: deepSides as ('left' | 'right')[],
      meanN: { left: 800, right: 1210 },
      scatter: 0.04,
      off: demoTurnedSpokes,
      times: 2,
      readingN: 12,
    }),
    [invented, 'Deep pair, front wheel; tension in newtons, twice round the rim.'],
  );

/** The tables and the wheel sheet of the deep pair, to lie beside the demo day's recordings. */
export function demoBenchFiles(): { file: string; text: string }[] {
  return [
    { file: 'readings.csv', text: readingsOf('deep') },
    { file: 'tensions.csv', text: tensions() },
    { file: 'wheel.yaml', text: wheelSheets.deep },
    { file: 'shallow-wheel.yaml', text: wheelSheets.shallow },
  ];
}

const words: Record<BenchKind, string> = {
  stiffness: 'front stiffness',
  tension: 'front spoke tensions',
  wheel: 'front wheel sheet',
};

const titleOf = (pair: DemoPair, kind: BenchKind): string =>
  `${setups[pair]}, ${words[kind]} (invented)`;

/** Whether a bench item is one of the demo's, by its title. */
export function isDemoBench(title: string): boolean {
  const kinds = Object.keys(words) as BenchKind[];
  return pairs.some((pair) => kinds.some((kind) => titleOf(pair, kind) === title));
}

/** Makes the bench items of the demo day; one that is referred to comes before those that refer. */
export function makeDemoBench(create: (item: NewBench) => string): void {
  const item = (pair: DemoPair, kind: BenchKind, input: string, options = {}): string =>
    create({ kind, title: titleOf(pair, kind), date, setup: setups[pair], input, options });
  const shallow = item('shallow', 'wheel', wheelSheets.shallow);
  const deep = item('deep', 'wheel', wheelSheets.deep, { compareWith: shallow });
  item('deep', 'tension', tensions(), { wheel: deep, maximumN: 1400 });
  for (const pair of pairs) item(pair, 'stiffness', readingsOf(pair));
}
