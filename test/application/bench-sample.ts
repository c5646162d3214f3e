/** A bench over a real library of its own, and texts to put in it. */
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { TestContext } from 'node:test';
import { LapbenchError, type Bench, type Problem } from '../../src/application/index.ts';
import { benchVersion } from '../../src/application/bench-maker.ts';
import type { BenchMaker } from '../../src/application/bench-making.ts';
import { directWorkbench } from '../../src/application/direct-workbench.ts';
import { benchOver } from '../../src/application/stored-bench.ts';
import { openLibrary, type Library } from '../../src/library/index.ts';
import { deflectionsCsv, simulateDeflections } from '../../src/simulation/index.ts';

/** An invented wheel, with the comments and blanks that a person leaves in a sheet. */
export const wheelSheet = `name: Deep front, 2:1
invented: true # no such wheel exists
rim: {radiusM: 0.290, materialEPa: 60e9, materialGPa: 6e9, areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9, nippleOffsetM: 0, massKg: 0.48}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
spokes:
  left:  {count: 16, cross: 2, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600, meanTensionN: 800}
  right: {count: 8, cross: 0, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600} # from equilibrium
`;

/** Invented readings of a wheel of 75 N/mm. */
export const readings = deflectionsCsv(simulateDeflections(), ['Invented']);

export const spokes = (count = 24): string =>
  [
    'spoke,side,reading',
    ...Array.from({ length: count }, (_, i) =>
      i % 3 === 1
        ? `${i + 1},right,${1640 + 20 * (i % 4)}`
        : `${i + 1},left,${1090 + 10 * (i % 3)}`,
    ),
    '',
  ].join('\n');

/** A folder of its own for one test, gone afterwards. */
export function folderOf(t: TestContext): string {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-bench-'));
  t.after(() => fs.rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A clock that moves one second at each look. */
function ticking(): () => string {
  let seconds = 0;
  return () => new Date(Date.UTC(2026, 4, 17, 12, 0, seconds++)).toISOString();
}

/** The maker of the program, noting what it is asked for. */
export function countedMaker(): BenchMaker & { made: string[] } {
  const desk = directWorkbench();
  const made: string[] = [];
  return {
    made,
    make: (input) => {
      made.push(input.kind);
      return desk.make(input);
    },
    shapes: (sheet) => desk.shapes(sheet),
  };
}

export const noDemo = { make: () => {}, has: () => false };

export function benchIn(
  t: TestContext,
  maker: BenchMaker = directWorkbench(),
  version = benchVersion,
): { bench: Bench; library: Library } {
  let ids = 0;
  const now = ticking();
  const library = openLibrary(path.join(folderOf(t), 'test.lapbench'), {
    now,
    newId: () => `item-${++ids}`,
  });
  t.after(() => library.close());
  return {
    library,
    bench: benchOver({ items: library.benchItems, maker, version, now, demo: noDemo }),
  };
}

/** The problems that something is refused with. */
export async function refused(work: () => unknown): Promise<readonly Problem[]> {
  try {
    await work();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  throw new Error('nothing was refused');
}
