/**
 * The distributions that intervals and tests stand on: normal, t, chi-square, F. The numbers come
 * from @stdlib; the wrappers add infinite and very large degrees of freedom, upper tails without
 * cancellation, and refuse arguments outside the domain instead of answering NaN.
 */
import chisquareCdfOf from '@stdlib/stats-base-dists-chisquare-cdf';
import chisquareQuantileOf from '@stdlib/stats-base-dists-chisquare-quantile';
import fCdfOf from '@stdlib/stats-base-dists-f-cdf';
import fQuantileOf from '@stdlib/stats-base-dists-f-quantile';
import normalQuantileOf from '@stdlib/stats-base-dists-normal-quantile';
import tCdfOf from '@stdlib/stats-base-dists-t-cdf';
import tQuantileOf from '@stdlib/stats-base-dists-t-quantile';
import { standardNormalCdf } from './normal.ts';

/** Above this many degrees of freedom t and its limit, the normal, agree to 1e-10. */
const practicallyInfinite = 1e10;

function checkDf(name: string, df: number): void {
  if (!(df > 0)) throw new RangeError(`${name} must be above zero, got ${df}`);
}

function checkProbability(p: number): void {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a probability lies from 0 to 1, got ${p}`);
}

function checkNumber(x: number): void {
  if (Number.isNaN(x)) throw new RangeError('the argument is not a number');
}

/** P(Z ≤ x), Z standard normal. */
export function normalCdf(x: number): number {
  checkNumber(x);
  return standardNormalCdf(x);
}

/** The x with P(Z ≤ x) = p. */
export function normalQuantile(p: number): number {
  checkProbability(p);
  return normalQuantileOf(p, 0, 1);
}

/** P(T ≤ t) of Student's t. `df` above zero, may be fractional or Infinity. */
export function tCdf(t: number, df: number): number {
  checkNumber(t);
  checkDf('df', df);
  return df > practicallyInfinite ? standardNormalCdf(t) : tCdfOf(t, df);
}

/** P(|T| ≥ |t|), from the tail itself, so that tiny values keep their digits. */
export function tTwoSidedP(t: number, df: number): number {
  return Math.min(1, 2 * tCdf(-Math.abs(t), df));
}

/** The t with P(T ≤ t) = p. `df` above zero, may be fractional or Infinity. */
export function tQuantile(p: number, df: number): number {
  checkProbability(p);
  checkDf('df', df);
  if (p === 0.5) return 0;
  return df > practicallyInfinite ? normalQuantileOf(p, 0, 1) : tQuantileOf(p, df);
}

/** P(X² ≤ x) of the chi-square distribution, `df` above zero and finite. */
export function chiSquareCdf(x: number, df: number): number {
  checkNumber(x);
  checkDf('df', df);
  return x <= 0 ? 0 : chisquareCdfOf(x, df);
}

/** The x with P(X² ≤ x) = p. */
export function chiSquareQuantile(p: number, df: number): number {
  checkProbability(p);
  checkDf('df', df);
  return chisquareQuantileOf(p, df);
}

/** P(F ≤ x); numerator df first. An infinite denominator gives chi-square over its df. */
export function fCdf(x: number, numeratorDf: number, denominatorDf: number): number {
  checkNumber(x);
  checkDf('numeratorDf', numeratorDf);
  checkDf('denominatorDf', denominatorDf);
  if (x <= 0) return 0;
  if (denominatorDf > practicallyInfinite) return chisquareCdfOf(x * numeratorDf, numeratorDf);
  return fCdfOf(x, numeratorDf, denominatorDf);
}

/** P(F ≥ x), through 1/F so that small values keep their digits. */
export function fUpperTail(x: number, numeratorDf: number, denominatorDf: number): number {
  if (x <= 0) return 1;
  if (denominatorDf > practicallyInfinite) return 1 - fCdf(x, numeratorDf, denominatorDf);
  return fCdf(1 / x, denominatorDf, numeratorDf);
}

/** The x with P(F ≤ x) = p. */
export function fQuantile(p: number, numeratorDf: number, denominatorDf: number): number {
  checkProbability(p);
  checkDf('numeratorDf', numeratorDf);
  checkDf('denominatorDf', denominatorDf);
  if (denominatorDf > practicallyInfinite) {
    return chisquareQuantileOf(p, numeratorDf) / numeratorDf;
  }
  return fQuantileOf(p, numeratorDf, denominatorDf);
}
