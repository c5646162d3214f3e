/** Whether values that follow one another are independent. */
import { mean, median, sumOfSquaresAboutMean } from './describe.ts';
import { chiSquareCdf, normalCdf } from './distributions.ts';

/** Lag-k autocorrelation: Σ(y_i − ȳ)(y_{i+k} − ȳ)/Σ(y_i − ȳ)² (Box & Jenkins 1976; NIST StRD). */
export function autocorrelation(values: ArrayLike<number>, lag = 1): number {
  if (!(lag >= 0 && lag < values.length)) {
    throw new RangeError(`lag ${lag} does not fit ${values.length} values`);
  }
  const center = mean(values);
  let sum = 0;
  for (let i = 0; i + lag < values.length; i++) {
    sum += (values[i] - center) * (values[i + lag] - center);
  }
  const total = sumOfSquaresAboutMean(values);
  if (total === 0) throw new RangeError('all values are equal: no autocorrelation');
  return sum / total;
}

export interface TestResult {
  statistic: number;
  pValue: number;
}

/**
 * Ljung & Box (1978), Biometrika 65:297: are the first `lags` autocorrelations all zero?
 * `fittedParameters` of a time-series model reduce the degrees of freedom.
 */
export function ljungBox(
  values: ArrayLike<number>,
  lags: number,
  fittedParameters = 0,
): TestResult & { df: number } {
  const n = values.length;
  let sum = 0;
  for (let k = 1; k <= lags; k++) sum += autocorrelation(values, k) ** 2 / (n - k);
  const statistic = n * (n + 2) * sum;
  const df = lags - fittedParameters;
  return { statistic, df, pValue: 1 - chiSquareCdf(statistic, df) };
}

/**
 * Runs above and below the median (Wald & Wolfowitz 1940), normal approximation; values equal to the
 * median are left out. Needs values on both sides.
 */
export function runsTest(values: ArrayLike<number>): TestResult & { runs: number } {
  const center = median(values);
  const sides = Array.from(values)
    .filter((value) => value !== center)
    .map((value) => value > center);
  const above = sides.filter(Boolean).length;
  const below = sides.length - above;
  if (above === 0 || below === 0) throw new RangeError('all values lie on one side');
  const runs = 1 + sides.filter((side, i) => i > 0 && side !== sides[i - 1]).length;
  const n = above + below;
  const expected = (2 * above * below) / n + 1;
  const variance = (2 * above * below * (2 * above * below - n)) / (n * n * (n - 1));
  const statistic = (runs - expected) / Math.sqrt(variance);
  return { runs, statistic, pValue: 2 * normalCdf(-Math.abs(statistic)) };
}
