/** Power in time: its mean, and the power mean with exponent 4 of its means of 30 s (common practice, no source). */

const windowS = 30;
const gridS = 1;

/** Mean power of a ride, W; `elapsedS` at points, `powerW` by step. */
export function meanPowerW(elapsedS: Float64Array, powerW: Float64Array): number {
  let work = 0;
  for (let i = 0; i < powerW.length; i++) work += powerW[i] * (elapsedS[i + 1] - elapsedS[i]);
  return work / elapsedS[elapsedS.length - 1];
}

/**
 * (mean of (30 s means)⁴)^¼, W. The 30 s look back, as on a bike computer; before 30 s have passed they are means
 * of what there is. The mean of a step function over a window is exact; windows end every second.
 */
export function weightedPowerW(elapsedS: Float64Array, powerW: Float64Array): number {
  const n = powerW.length;
  const work = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) work[i + 1] = work[i] + powerW[i] * (elapsedS[i + 1] - elapsedS[i]);
  const totalS = elapsedS[n];
  let [head, tail] = [0, 0];
  let sum = 0;
  let count = 0;
  const workAt = (t: number, i: number): number => work[i] + powerW[i] * (t - elapsedS[i]);
  for (let t = Math.min(gridS, totalS); t <= totalS + 1e-9; t += gridS) {
    const to = Math.min(t, totalS);
    const from = Math.max(0, to - windowS);
    while (head < n - 1 && elapsedS[head + 1] < to) head += 1;
    while (tail < n - 1 && elapsedS[tail + 1] < from) tail += 1;
    sum += ((workAt(to, head) - workAt(from, tail)) / (to - from)) ** 4;
    count += 1;
  }
  return (sum / count) ** 0.25;
}
