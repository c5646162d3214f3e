/**
 * What is not known, as standard normal numbers, and the places at which it is tried. The widths are ours, no
 * source, but for convection, whose width is that of the published formulas.
 */
import { normalCdf, normalQuantile } from '../../statistics/index.ts';
import type { BrakeGuess } from './model.ts';

/** Order of the numbers. */
export const unknowns = [
  'convection',
  'emissivity',
  'trackMass',
  'pads',
  'carrier',
  'frontShare',
  'airDrag',
  'rolling',
  'height',
] as const;
export type Unknown = (typeof unknowns)[number];

/** One choice of all that is not known. */
export interface Guess extends BrakeGuess {
  /** Place in the band of convection. */
  convection: number;
  /** Added to the front share. */
  frontShareOffset: number;
  airFactor: number;
  rollingFactor: number;
  /** Times the fall of the road. */
  heightFactor: number;
}

/** Mean and covariance of the unknowns; without a measured cool-down 0 and the unit matrix. */
export interface Knowledge {
  mean: number[];
  /** Lower triangle L of the covariance L·Lᵀ, by rows. */
  root: number[][];
}

export const nothingMeasured: Knowledge = {
  mean: unknowns.map(() => 0),
  root: unknowns.map((_, i) => unknowns.map((__, j) => (i === j ? 1 : 0))),
};

/** What standard normal numbers stand for. */
export function guessOf(
  z: readonly number[],
  known: { weighed: boolean; heightDeviation: number },
): Guess {
  return {
    convection: z[0],
    // Bright steel to oxidised steel: 0.2 to 0.8, even (handbook tables, from memory).
    emissivity: 0.2 + 0.6 * normalCdf(z[1]),
    massFactor: Math.exp((known.weighed ? 0.02 : 0.08) * z[2]),
    padFactor: Math.exp(0.5 * z[3]),
    carrierFactor: Math.exp(0.4 * z[4]),
    frontShareOffset: 0.03 * z[5],
    airFactor: Math.exp(0.07 * z[6]),
    rollingFactor: Math.exp(0.15 * z[7]),
    heightFactor: 1 + known.heightDeviation * z[8],
  };
}

/** The best guess under some knowledge. */
export const centreOf = ({ mean }: Knowledge): number[] => [...mean];

const primes = [2, 3, 5, 7, 11, 13, 17, 19, 23];

/** `count` places of the unknowns, the same each time: Halton's points through the normal quantile. */
export function placesOf({ mean, root }: Knowledge, count: number): number[][] {
  return Array.from({ length: count }, (_, i) => {
    // The first points of the large primes run together in a line, so the sequence starts later.
    const z = primes.map((base) => normalQuantile(halton(i + 101, base)));
    return mean.map((centre, row) =>
      root[row].reduce((sum, weight, column) => sum + weight * z[column], centre),
    );
  });
}

function halton(index: number, base: number): number {
  let [result, share, rest] = [0, 1 / base, index];
  while (rest > 0) {
    result += (rest % base) * share;
    rest = Math.floor(rest / base);
    share /= base;
  }
  return result;
}
