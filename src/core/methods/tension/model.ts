/**
 * Spoke tensions in equations: a side's mean and spread, how well a reading repeats, and the ratio of the
 * sides. A rim at rest is not pulled sideways: n₁·T₁·sin α₁ = n₂·T₂·sin α₂ (statics; α is the bracing
 * angle), whatever the single tensions are, so the means of the sides must keep a fixed ratio.
 */
import type { BySide, Side, Wheel } from '../../evidence/index.ts';
import { mean, sumOfSquaresAboutMean, tQuantile } from '../../statistics/index.ts';
import { sideShapes } from '../../structure/index.ts';
import type { Interval } from '../../units/index.ts';

export const bothSides: readonly Side[] = ['left', 'right'];

/** A spoke with all its readings. */
export interface ReadSpoke {
  spoke: number;
  side: Side;
  readings: number[];
  /** Of each reading. */
  tensionsN: number[];
  /** Of the mean reading. */
  tensionN: number;
  lines: (number | null)[];
}

/** How well a reading repeats. */
export interface Repeatability {
  standardDeviationN: number;
  degreesOfFreedom: number;
}

/** Pooled over the spokes that were read more than once; null when none was. */
export function pooledRepeatability(spokes: readonly ReadSpoke[]): Repeatability | null {
  let squares = 0;
  let degreesOfFreedom = 0;
  for (const { tensionsN } of spokes) {
    if (tensionsN.length < 2) continue;
    squares += sumOfSquaresAboutMean(tensionsN);
    degreesOfFreedom += tensionsN.length - 1;
  }
  if (degreesOfFreedom === 0) return null;
  return { standardDeviationN: Math.sqrt(squares / degreesOfFreedom), degreesOfFreedom };
}

/** Standard error of a mean over spokes that were read so many times each: s/n·√(Σ 1/times). */
export function standardErrorN(
  spokes: readonly ReadSpoke[],
  { standardDeviationN }: Repeatability,
) {
  const inverse = spokes.reduce((sum, { readings }) => sum + 1 / readings.length, 0);
  return (standardDeviationN * Math.sqrt(inverse)) / spokes.length;
}

/**
 * What one number would be under another calibration: `standard` is one standard uncertainty away, `bound` the
 * other end of what is possible.
 */
export interface Shifted {
  kind: 'standard' | 'bound';
  value: number;
}

/** 95 % interval from scatter (Student) and calibration; null when nothing tells. */
export function intervalOf(
  value: number,
  standardError: number | null,
  degreesOfFreedom: number,
  shifted: Shifted | null,
): Interval | null {
  const scatter = standardError === null ? 0 : tQuantile(0.975, degreesOfFreedom) * standardError;
  if (shifted?.kind === 'bound') {
    const [low, high] = [Math.min(value, shifted.value), Math.max(value, shifted.value)];
    return [low - scatter, high + scatter];
  }
  const systematic = shifted === null ? 0 : normalQuantile95 * (shifted.value - value);
  if (standardError === null && systematic === 0) return null;
  const half = Math.hypot(scatter, systematic);
  return [value - half, value + half];
}

/** Two-sided 95 % of the normal distribution. */
const normalQuantile95 = 1.959963984540054;

/** Left tension through right tension that keeps the rim from being pulled sideways. */
export function demandedRatio(wheel: Wheel): number {
  const { shapes } = sideShapes(wheel);
  const pull = (side: Side): number => shapes[side].count * Math.sin(shapes[side].bracingAngleRad);
  return pull('right') / pull('left');
}

export const meanTensionN = (spokes: readonly { tensionN: number }[]): number =>
  mean(spokes.map(({ tensionN }) => tensionN));

/** Spokes of each side in the order round the rim. */
export function bySide<Spoke extends { spoke: number; side: Side }>(
  spokes: readonly Spoke[],
): BySide<Spoke[]> {
  const own = (side: Side): Spoke[] =>
    spokes.filter((one) => one.side === side).sort((a, b) => a.spoke - b.spoke);
  return { left: own('left'), right: own('right') };
}
