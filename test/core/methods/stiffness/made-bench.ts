/** Invented bench readings of a wheel whose stiffness and slop are known. Shares no code with the method. */
import type { DeflectionReading } from '../../../../src/core/evidence/index.ts';
import { randomStream } from '../../../../src/simulation/index.ts';

export interface Bench {
  seed: number;
  stiffnessNPerMm: number;
  slopMm: number;
  /** Load at which the slop is taken up. */
  takenUpN: number;
  remounts: number;
  positionsDeg: (number | null)[];
  loadsN: number[];
  /** Standard deviations: from mounting to mounting, and of one reading. */
  scatterNPerMm: number;
  slopScatterMm: number;
  readingMm: number;
  /** Gap between the branches in the middle, as a share of the deflection at the top. */
  hysteresis: number;
  /** Smallest step of the dial; 0: none. */
  stepMm: number;
  unloading: boolean;
}

export const usual: Bench = {
  seed: 1,
  stiffnessNPerMm: 74,
  slopMm: 0.11,
  takenUpN: 12,
  remounts: 5,
  positionsDeg: [0],
  loadsN: [0, 30, 60, 90, 120, 150, 180, 226.1],
  scatterNPerMm: 0.9,
  slopScatterMm: 0.015,
  readingMm: 0.006,
  hysteresis: 0,
  stepMm: 0.01,
  unloading: true,
};

/** Readings in the order in which they would be taken. */
export function madeReadings(changes: Partial<Bench> = {}): DeflectionReading[] {
  const bench = { ...usual, ...changes };
  const { normal } = randomStream(bench.seed, 'bench');
  const top = Math.max(...bench.loadsN);
  const readings: DeflectionReading[] = [];
  for (let remount = 1; remount <= bench.remounts; remount++) {
    const stiffness = bench.stiffnessNPerMm + bench.scatterNPerMm * normal();
    const slop = bench.slopMm + bench.slopScatterMm * normal();
    const zero = 0.3 * normal();
    for (const positionDeg of bench.positionsDeg) {
      const read = (direction: 'load' | 'unload', loadN: number): void => {
        const play = slop * Math.min(1, loadN / bench.takenUpN);
        const u = loadN / top;
        const lag =
          direction === 'unload' ? 4 * u * (1 - u) * bench.hysteresis * (top / stiffness) : 0;
        const exact = zero + play + loadN / stiffness + lag + bench.readingMm * normal();
        const deflectionMm =
          bench.stepMm > 0
            ? Number((Math.round(exact / bench.stepMm) * bench.stepMm).toFixed(6))
            : exact;
        readings.push({
          remount: String(remount),
          positionDeg,
          direction,
          loadN,
          deflectionMm,
          line: readings.length + 2,
        });
      };
      bench.loadsN.forEach((loadN) => read('load', loadN));
      if (bench.unloading) [...bench.loadsN].reverse().forEach((loadN) => read('unload', loadN));
    }
  }
  return readings;
}
