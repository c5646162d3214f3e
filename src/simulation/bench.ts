/**
 * Invented readings from a bench: a wheel of known stiffness in a fixture with play and friction, and
 * spoke tensions of known scatter. Knows nothing of how such readings are reduced.
 */
import { randomStream } from './random.ts';

export interface BenchConditions {
  seed: number;
  /** The truth, N/mm. */
  lateralNPerMm: number;
  /** The truth, mm: play of bearings and fixture, gone at `slopTakenUpN`. */
  slopMm: number;
  slopTakenUpN: number;
  mountings: number;
  positionsDeg: number[];
  /** On the way up; the way down goes through the same. */
  loadsN: number[];
  /** Standard deviation of the stiffness from mounting to mounting, a share of it. */
  mountingScatter: number;
  /** By how much the rim lags behind in the middle of the way down, mm. */
  frictionMm: number;
  /** Standard deviation of one reading, and the smallest step of the dial, mm. */
  readingMm: number;
  dialStepMm: number;
}

export interface SimulatedDeflection {
  mounting: number;
  positionDeg: number;
  direction: 'load' | 'unload';
  loadN: number;
  deflectionMm: number;
}

const usualBench: BenchConditions = {
  seed: 1,
  lateralNPerMm: 75,
  slopMm: 0.1,
  slopTakenUpN: 22,
  mountings: 4,
  positionsDeg: [0, 90],
  loadsN: [0, 30, 80, 130, 180, 226.1],
  mountingScatter: 0.012,
  frictionMm: 0.03,
  readingMm: 0.005,
  dialStepMm: 0.01,
};

/** Readings in the order in which they would be taken. */
export function simulateDeflections(
  conditions: Partial<BenchConditions> = {},
): SimulatedDeflection[] {
  const bench = { ...usualBench, ...conditions };
  const { normal } = randomStream(bench.seed, 'bench deflections');
  const topN = Math.max(...bench.loadsN);
  const decimals = Math.max(0, Math.ceil(-Math.log10(bench.dialStepMm)));
  const readings: SimulatedDeflection[] = [];
  for (let mounting = 1; mounting <= bench.mountings; mounting++) {
    const stiffness = bench.lateralNPerMm * (1 + bench.mountingScatter * normal());
    for (const positionDeg of bench.positionsDeg) {
      // The dial is set by hand before each load, and nearly to zero.
      const zeroMm = 2 * bench.dialStepMm * normal();
      const read = (direction: 'load' | 'unload', loadN: number): void => {
        // Balls settle into their track: quickly at first, and not at all once they lie there.
        const open = Math.max(0, 1 - loadN / bench.slopTakenUpN);
        const playMm = bench.slopMm * (1 - open ** 2);
        const share = loadN / topN;
        const lagMm = direction === 'unload' ? bench.frictionMm * Math.sin(Math.PI * share) : 0;
        const trueMm = zeroMm + playMm + loadN / stiffness + lagMm;
        const steps = Math.round((trueMm + bench.readingMm * normal()) / bench.dialStepMm);
        const deflectionMm = Number((steps * bench.dialStepMm).toFixed(decimals));
        readings.push({ mounting, positionDeg, direction, loadN, deflectionMm });
      };
      for (const loadN of bench.loadsN) read('load', loadN);
      for (const loadN of bench.loadsN.toReversed()) read('unload', loadN);
    }
  }
  return readings;
}

export interface TensionConditions {
  seed: number;
  /** Side of each spoke, round the rim. */
  sides: ('left' | 'right')[];
  /** Mean of each side before anything goes wrong, N. */
  meanN: { left: number; right: number };
  /** Standard deviation from spoke to spoke, a share of the mean. */
  scatter: number;
  /** Spokes that somebody turned too far: from 1, with what that adds, a share of the mean. */
  off: { spoke: number; share: number }[];
  /** How often each spoke is read, and the standard deviation of one reading, N. */
  times: number;
  readingN: number;
}

export interface SimulatedTension {
  spoke: number;
  side: 'left' | 'right';
  /** Read in steps of 5 N. */
  tensionN: number;
}

/** Readings of a tension gauge, once round the rim after the other. */
export function simulateTensions(conditions: TensionConditions): SimulatedTension[] {
  const { sides, meanN, scatter, off, times, readingN } = conditions;
  const { normal } = randomStream(conditions.seed, 'bench tensions');
  const trueN = sides.map((side, i) => {
    const turned = off.find(({ spoke }) => spoke === i + 1)?.share ?? 0;
    return meanN[side] * (1 + turned + scatter * normal());
  });
  return Array.from({ length: times }).flatMap(() =>
    sides.map((side, i) => ({
      spoke: i + 1,
      side,
      tensionN: 5 * Math.round(Math.max(0, trueN[i] + readingN * normal()) / 5),
    })),
  );
}

/** Readings of the dial as the table that a tester keeps. */
export function deflectionsCsv(
  readings: readonly SimulatedDeflection[],
  heading: string[],
): string {
  return table(
    heading,
    'remount,position_deg,direction,load_n,deflection_mm',
    readings.map(({ mounting, positionDeg, direction, loadN, deflectionMm }) => [
      ...[mounting, positionDeg, direction, loadN, deflectionMm],
    ]),
  );
}

/** Readings of the gauge as the table that a tester keeps. */
export function tensionsCsv(readings: readonly SimulatedTension[], heading: string[]): string {
  return table(
    heading,
    'spoke,side,reading',
    readings.map(({ spoke, side, tensionN }) => [spoke, side, tensionN]),
  );
}

function table(heading: string[], header: string, rows: (string | number)[][]): string {
  const lines = [
    ...heading.map((line) => `# ${line}`),
    header,
    ...rows.map((row) => row.join(',')),
  ];
  return `${lines.join('\n')}\n`;
}
