/** One-way analysis of variance (Fisher 1925). */
import { mean, sumOfSquaresAboutMean } from './describe.ts';
import { fUpperTail } from './distributions.ts';

export interface OneWayAnova {
  betweenSumOfSquares: number;
  withinSumOfSquares: number;
  betweenDf: number;
  withinDf: number;
  f: number;
  pValue: number;
  rSquared: number;
  residualSd: number;
}

/**
 * One-way layout: `groups` of at least one value each, two groups and one repeated value at least. All
 * values are first taken relative to the first one, so that a large common offset costs no digits.
 */
export function oneWayAnova(groups: readonly ArrayLike<number>[]): OneWayAnova {
  if (groups.length < 2) throw new RangeError('an analysis of variance needs two groups or more');
  const n = groups.reduce((count, group) => count + group.length, 0);
  const withinDf = n - groups.length;
  if (withinDf < 1) throw new RangeError('no group holds a repeated value');
  const origin = groups[0][0];
  const shifted = groups.map((group) => Float64Array.from(group, (value) => value - origin));
  const grand = mean(shifted.flatMap((group) => Array.from(group)));
  let between = 0;
  let within = 0;
  for (const group of shifted) {
    between += group.length * (mean(group) - grand) ** 2;
    within += sumOfSquaresAboutMean(group);
  }
  const betweenDf = groups.length - 1;
  const f = between / betweenDf / (within / withinDf);
  return {
    betweenSumOfSquares: between,
    withinSumOfSquares: within,
    betweenDf,
    withinDf,
    f,
    pValue: fUpperTail(f, betweenDf, withinDf),
    rSquared: between / (between + within),
    residualSd: Math.sqrt(within / withinDf),
  };
}
