/** Whether a source's pitch follows how hard the ride was braked, and whether it sounds without the brake. */
import type { Braking } from './braking.ts';
import type { Tone } from './result.ts';

export interface AgainstTorque {
  /**
   * Slope of ln f against ln torque; null when torque hardly changed or too little was heard. `reliability`: share
   * of the torque's spread that is torque and not error, by which the slope comes out too small.
   */
  slope: { value: number; standardUncertainty: number; reliability: number } | null;
  /** Standard deviation of ln f about that line, frame by frame. */
  wander: number;
  /** Share of the source's time in which nobody braked. */
  withoutBrake: number;
}

/** Tones are cut into pieces of about this length, s: torque is steady over less, speed says nothing of less. */
const pieceS = 2.5;
/** Spread of ln torque below which no slope can be told. */
const leastSpread = 0.04;

interface Piece {
  lnHz: number;
  lnTorque: number | null;
  torqueError: number;
  durationS: number;
  frames: number[];
}

/** Null when the braking is not known where the source sounds. */
export function againstTorque(
  tones: readonly Tone[],
  braking: Braking | null,
): AgainstTorque | null {
  if (braking === null) return null;
  const pieces = tones.flatMap((tone) => piecesOf(tone, braking));
  const allS = sum(pieces.map(({ durationS }) => durationS));
  if (pieces.length === 0) return null;
  const braked = pieces.filter((piece) => piece.lnTorque !== null);
  const withoutBrake = 1 - sum(braked.map(({ durationS }) => durationS)) / allS;
  const line = lineOf(braked);
  const rest =
    line === null
      ? offMean(pieces.flatMap(({ frames }) => frames))
      : braked.flatMap(({ frames, lnTorque }) =>
          frames.map((lnHz) => lnHz - line.at0 - line.slope * (lnTorque ?? 0)),
        );
  return {
    slope: line && {
      value: line.slope,
      standardUncertainty: line.standardUncertainty,
      reliability: line.reliability,
    },
    wander: Math.sqrt(sum(rest.map((value) => value ** 2)) / Math.max(1, rest.length)),
    withoutBrake,
  };
}

function piecesOf(tone: Tone, braking: Braking): Piece[] {
  const { timeS, hz } = tone.track;
  const count = Math.max(1, Math.round((tone.to - tone.from) / pieceS));
  const lengthS = (tone.to - tone.from) / count;
  return Array.from({ length: count }, (_, k) => tone.from + k * lengthS).flatMap((fromS) => {
    const toS = fromS + lengthS;
    const frames = hz.filter((_, i) => timeS[i] >= fromS && timeS[i] <= toS).map(Math.log);
    const torque = braking.over(fromS, toS);
    if (frames.length === 0 || torque === null) return [];
    const braked = torque.slowing > braking.leastSlowing;
    return [
      {
        lnHz: sum(frames) / frames.length,
        lnTorque: braked ? Math.log(torque.slowing) : null,
        torqueError: torque.standardUncertainty / torque.slowing,
        durationS: lengthS,
        frames,
      },
    ];
  });
}

/** Least squares weighted by how long a piece sounds. */
function lineOf(
  pieces: readonly Piece[],
): { at0: number; slope: number; standardUncertainty: number; reliability: number } | null {
  const points = pieces.map(({ lnHz, lnTorque, torqueError, durationS }) => ({
    x: lnTorque ?? 0,
    y: lnHz,
    error: torqueError,
    weight: durationS,
  }));
  const n = points.length;
  if (n < 3) return null;
  const all = sum(points.map((p) => p.weight));
  const mx = sum(points.map((p) => p.weight * p.x)) / all;
  const my = sum(points.map((p) => p.weight * p.y)) / all;
  const sxx = sum(points.map((p) => p.weight * (p.x - mx) ** 2)) / all;
  if (Math.sqrt(sxx) < leastSpread) return null;
  const slope = sum(points.map((p) => p.weight * (p.x - mx) * (p.y - my))) / all / sxx;
  const left = sum(points.map((p) => p.weight * (p.y - my - slope * (p.x - mx)) ** 2)) / all;
  const error = sum(points.map((p) => p.weight * p.error ** 2)) / all;
  return {
    at0: my - slope * mx,
    slope,
    // Two points of few make a line by themselves: the floor is what pieces of one tone differ by anyway.
    standardUncertainty: Math.sqrt(
      Math.max(left, leastPieceSpread ** 2) / sxx / Math.max(1, n - 2),
    ),
    reliability: Math.max(leastReliability, 1 - error / sxx),
  };
}

/** Spread of a piece's mean ln f without any torque (ours, no source). */
const leastPieceSpread = 0.0015;
const leastReliability = 0.3;

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);

function offMean(values: readonly number[]): number[] {
  const mean = sum(values) / Math.max(1, values.length);
  return values.map((value) => value - mean);
}
