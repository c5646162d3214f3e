/**
 * A measured cool-down narrows what is not known: the unknowns that cooling shows are fitted to the readings
 * with their prior (maximum a posteriori, Gauss–Newton), and the curvature there is the new covariance.
 */
import type { MeasuredCoolDown } from '../../evidence/index.ts';
import { coolingAir, type CoolingAir } from '../../physics/index.ts';
import { cholesky, choleskyInverse, choleskySolve } from '../../statistics/index.ts';
import { convectionAt } from './convection-band.ts';
import { brakeAt, stepBrake, trackC, type BrakeState } from './model.ts';
import type { BrakeBody } from './parts.ts';
import { guessOf, nothingMeasured, unknowns, type Knowledge } from './spread.ts';

/** Of the unknowns, those that cooling depends on; two more are the cool-down's own. */
const seen = [0, 1, 2, 4];
const own = 2;
const count = seen.length + own;
/** The carrier's excess over the air at the start, as a share of the track's: 0.4 ± 0.2, ours, no source. */
const carrierStart = { mean: 0.4, deviation: 0.2 };

export interface CoolDownFit {
  knowledge: Knowledge;
  /** Root mean square of reading less model, K. */
  scatterK: number;
  /** Convection at the speed of the cool-down and in still shares: centre and 95 % interval, W/(m² K). */
  convectionWPerM2K: { centre: number; ci95: [number, number] };
  /** Whether the readings scatter more than their uncertainty allows; the interval is widened for it. */
  widened: boolean;
}

/** Temperatures of the track at the times of the readings under some numbers. */
function modelled(
  body: BrakeBody,
  measured: MeasuredCoolDown,
  air: CoolingAir,
  wheelRadiusM: number,
  numbers: readonly number[],
): number[] {
  const z = unknowns.map(() => 0);
  seen.forEach((at, i) => (z[at] = numbers[i]));
  const guess = guessOf(z, { weighed: body.weighed, heightDeviation: 0 });
  const startC = measured.temperatureC[0] + measured.uncertaintyK * numbers[seen.length];
  const share = carrierStart.mean + carrierStart.deviation * numbers[seen.length + 1];
  const airC = measured.airTemperatureC;
  const state: BrakeState = brakeAt(body, guess, airC, {
    trackC: startC,
    carrierC: airC + share * (startC - airC),
    padsC: startC,
    caliperC: airC,
  });
  const forced = convectionAt(air, measured.speedMps, { ...body, wheelRadiusM }, guess.convection);
  return measured.timeS.map((time, i) => {
    const whole = i === 0 ? 0 : time - measured.timeS[i - 1];
    const steps = Math.ceil(whole);
    for (let k = 0; k < steps; k++) stepBrake(state, whole / steps, 0, forced);
    return trackC(state);
  });
}

/** Fits the unknowns to a cool-down of the brake that it was measured on. */
export function fitCoolDown(
  body: BrakeBody,
  measured: MeasuredCoolDown,
  densityKgM3: number,
  wheelRadiusM: number,
): CoolDownFit {
  const air = coolingAir(measured.airTemperatureC, densityKgM3);
  const readings = measured.temperatureC.slice(1);
  const model = (numbers: readonly number[]): number[] =>
    modelled(body, measured, air, wheelRadiusM, numbers).slice(1);
  let numbers = Array.from({ length: count }, () => 0);
  let uncertaintyK = measured.uncertaintyK;
  let solved = newton(model, readings, numbers, uncertaintyK);
  numbers = solved.numbers;
  const off = model(numbers).map((value, i) => value - readings[i]);
  const scatterK = Math.sqrt(off.reduce((sum, one) => sum + one * one, 0) / off.length);
  const widened = scatterK > 2 * uncertaintyK;
  if (widened) {
    uncertaintyK = scatterK;
    solved = newton(model, readings, numbers, uncertaintyK);
    numbers = solved.numbers;
  }
  const at = (z: number): number =>
    convectionAt(air, measured.speedMps, { ...body, wheelRadiusM }, z);
  const deviation = Math.sqrt(solved.covariance[0]);
  return {
    knowledge: knowledgeOf(numbers, solved.covariance),
    scatterK,
    convectionWPerM2K: {
      centre: at(numbers[0]),
      ci95: [at(numbers[0] - 1.96 * deviation), at(numbers[0] + 1.96 * deviation)],
    },
    widened,
  };
}

function newton(
  model: (numbers: readonly number[]) => number[],
  readings: readonly number[],
  start: readonly number[],
  uncertaintyK: number,
): { numbers: number[]; covariance: Float64Array } {
  const costOf = (numbers: readonly number[], values: readonly number[]): number =>
    values.reduce((sum, value, i) => sum + ((value - readings[i]) / uncertaintyK) ** 2, 0) +
    numbers.reduce((sum, one) => sum + one * one, 0);
  let numbers = [...start];
  let values = model(numbers);
  let cost = costOf(numbers, values);
  let normal = new Float64Array(count * count);
  for (let turn = 0; turn < 40; turn++) {
    const slopes = numbers.map((_, k) => {
      const moved = numbers.map((one, i) => (i === k ? one + 1e-3 : one));
      return model(moved).map((value, i) => (value - values[i]) / 1e-3 / uncertaintyK);
    });
    normal = new Float64Array(count * count);
    const gradient = new Float64Array(count);
    for (let a = 0; a < count; a++) {
      gradient[a] = -numbers[a];
      values.forEach((value, i) => {
        gradient[a] -= (slopes[a][i] * (value - readings[i])) / uncertaintyK;
      });
      for (let b = 0; b < count; b++) {
        normal[a * count + b] =
          slopes[a].reduce((sum, one, i) => sum + one * slopes[b][i], 0) + (a === b ? 1 : 0);
      }
    }
    const step = choleskySolve(cholesky(normal, count), count, gradient);
    let share = 1;
    let better = false;
    for (let k = 0; k < 8 && !better; k++, share /= 2) {
      const tried = numbers.map((one, i) => Math.max(-6, Math.min(6, one + share * step[i])));
      const triedValues = model(tried);
      const triedCost = costOf(tried, triedValues);
      if (triedCost < cost) {
        better = true;
        const gain = cost - triedCost;
        [numbers, values, cost] = [tried, triedValues, triedCost];
        if (gain < 1e-8 * (1 + cost)) turn = 40;
      }
    }
    if (!better) break;
  }
  return { numbers, covariance: choleskyInverse(cholesky(normal, count), count) };
}

/** The fitted unknowns among those that cooling says nothing of. */
function knowledgeOf(numbers: readonly number[], covariance: Float64Array): Knowledge {
  const n = unknowns.length;
  const whole = Float64Array.from({ length: n * n }, (_, i) => (i % (n + 1) === 0 ? 1 : 0));
  const mean = [...nothingMeasured.mean];
  seen.forEach((row, i) => {
    mean[row] = numbers[i];
    seen.forEach((column, k) => (whole[row * n + column] = covariance[i * count + k]));
  });
  const lower = cholesky(whole, n);
  return {
    mean,
    root: unknowns.map((_, i) => unknowns.map((__, j) => (j <= i ? lower[i * n + j] : 0))),
  };
}
