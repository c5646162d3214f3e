/**
 * How well a tone fits something that should sound at given pitches: the density of its pieces when each is off by
 * one error of the whole tone, one of its own, and noise. Closed form of a Gaussian with compound symmetry.
 */
import type { Piece } from './hearing.ts';

/** Pieces less their expected ln f: count, mean, sum of squares about it, mean square of their noise. */
export interface Residual {
  count: number;
  mean: number;
  squares: number;
  noise: number;
}

/** Null when a piece is expected to be silent. */
export function residualOf(
  pieces: readonly Piece[],
  expected: (piece: Piece) => number | null,
): Residual | null {
  let [sum, noise] = [0, 0];
  const off: number[] = [];
  for (const piece of pieces) {
    const place = expected(piece);
    if (place === null) return null;
    off.push(piece.lnHz - place);
    sum += piece.lnHz - place;
    noise += piece.noise ** 2;
  }
  const count = pieces.length;
  const mean = sum / count;
  return {
    count,
    mean,
    squares: off.reduce((all, value) => all + (value - mean) ** 2, 0),
    noise: noise / count,
  };
}

/**
 * Logarithm of the density of a tone's pieces over ln f. `tone`: standard deviation of what the whole tone is off by,
 * `piece`: of each piece besides; `shift` is added to what was expected.
 */
export function logFit(
  { count, mean, squares, noise }: Residual,
  shift: number,
  tone: number,
  piece: number,
): number {
  const within = piece * piece + noise;
  const between = within + count * tone * tone;
  const off = mean - shift;
  return (
    -0.5 *
    (count * ln2Pi +
      (count - 1) * Math.log(within) +
      Math.log(between) +
      squares / within +
      (count * off * off) / between)
  );
}

const ln2Pi = Math.log(2 * Math.PI);
