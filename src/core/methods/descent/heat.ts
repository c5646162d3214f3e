/** Both brakes through one descent under one guess. */
import type { BrakePosition, Descent } from '../../evidence/index.ts';
import type { CoolingAir } from '../../physics/index.ts';
import { brakePower, type BrakingSteps } from './braking.ts';
import { convectionBand, publishedConvection, type LogConvection } from './convection-band.ts';
import { leastLimit } from './limits.ts';
import { brakeAt, caliperC, padsC, stepBrake, trackC, type BrakeState } from './model.ts';
import type { BrakeBody } from './parts.ts';
import type { Guess } from './spread.ts';

/** Temperatures whose time above is counted, °C. */
export const thresholdsC = [300, 400, 600] as const;

/** One brake with the band of its convection in every step. */
export interface PreparedBrake {
  body: BrakeBody;
  /** Least of the track's limits, °C. */
  leastLimitC: number;
  /** Share of the braking, without the offset of a guess; the rear has one less the front. */
  front: boolean;
  bands: (LogConvection | null)[];
}

/** A descent ready to be run under many guesses. */
export interface PreparedDescent {
  steps: BrakingSteps;
  frontShare: number;
  airC: number;
  front: PreparedBrake;
  rear: PreparedBrake;
}

export interface BrakeRun {
  peakC: number;
  peakAtS: number;
  padsPeakC: number;
  caliperPeakC: number;
  /** At the thresholds. */
  secondsAbove: number[];
  /** When the track first meets the least of its limits, s; Infinity when it does not. */
  reachedS: number;
  heatedJ: number;
  greatestW: number;
  /** Temperature of the track at the end of every step; null unless asked for. */
  trackC: Float64Array | null;
  end: BrakeState;
}

const standstillMps = 0.3;

/** Works out each brake's convection in every step; equal speeds are worked out once. */
export function prepare(
  steps: BrakingSteps,
  bodies: { front: BrakeBody; rear: BrakeBody },
  air: CoolingAir,
  sheet: Pick<Descent, 'front' | 'rear' | 'fluid' | 'frontShare' | 'wheelRadiusM'>,
): PreparedDescent {
  const { frontShare, wheelRadiusM } = sheet;
  const bandsOf = (body: BrakeBody): (LogConvection | null)[] => {
    const known = new Map<number, LogConvection>();
    return Array.from(steps.speedMps, (speed) => {
      if (speed < standstillMps) return null;
      const band =
        known.get(speed) ??
        convectionBand(publishedConvection(air, speed, { ...body, wheelRadiusM }));
      known.set(speed, band);
      return band;
    });
  };
  const brake = (body: BrakeBody, position: BrakePosition): PreparedBrake => ({
    body,
    leastLimitC: leastLimit(position, sheet[position], sheet.fluid),
    front: position === 'front',
    bands: bandsOf(body),
  });
  return {
    steps,
    frontShare,
    airC: air.temperatureC,
    front: brake(bodies.front, 'front'),
    rear: brake(bodies.rear, 'rear'),
  };
}

/** Share of the braking at the front under a guess; a brake that was said to do all or nothing keeps to it. */
export function frontShareOf({ frontShare }: PreparedDescent, guess: Guess): number {
  if (frontShare === 0 || frontShare === 1) return frontShare;
  return Math.min(1, Math.max(0, frontShare + guess.frontShareOffset));
}

/**
 * Runs one descent.
 *
 * @param from The brakes as an earlier descent left them; both at the air's temperature without
 * @param trace Whether to keep the track's temperature at every step
 */
export function runDescent(
  descent: PreparedDescent,
  guess: Guess,
  from?: { front: BrakeState; rear: BrakeState },
  trace = false,
): { front: BrakeRun; rear: BrakeRun; powerW: Float64Array } {
  const powerW = brakePower(descent.steps, guess);
  const share = frontShareOf(descent, guess);
  const one = (brake: PreparedBrake, start: BrakeState | undefined): BrakeRun =>
    runBrake(
      descent,
      brake,
      guess,
      start ?? brakeAt(brake.body, guess, descent.airC),
      { powerW, share: brake.front ? share : 1 - share },
      trace,
    );
  return {
    front: one(descent.front, from?.front),
    rear: one(descent.rear, from?.rear),
    powerW,
  };
}

function runBrake(
  { steps }: PreparedDescent,
  { bands, leastLimitC }: PreparedBrake,
  guess: Guess,
  start: BrakeState,
  { powerW, share }: { powerW: Float64Array; share: number },
  trace: boolean,
): BrakeRun {
  const state: BrakeState = { ...start, heatJ: start.heatJ.slice() };
  const { dtS } = steps;
  const kept = trace ? new Float64Array(dtS.length) : null;
  const secondsAbove = thresholdsC.map(() => 0);
  let before = trackC(state);
  let reachedS = before >= leastLimitC ? 0 : Infinity;
  let [peakC, peakAtS, time, heatedJ, greatestW] = [before, 0, 0, 0, 0];
  let [padsPeakC, caliperPeakC] = [padsC(state), caliperC(state)];
  for (let i = 0; i < dtS.length; i++) {
    const band = bands[i];
    const power = share * powerW[i];
    const forced = band === null ? 0 : Math.exp(band.mean + guess.convection * band.deviation);
    stepBrake(state, dtS[i], power, forced);
    time += dtS[i];
    heatedJ += power * dtS[i];
    greatestW = Math.max(greatestW, power);
    const now = trackC(state);
    if (now > peakC) [peakC, peakAtS] = [now, time];
    padsPeakC = Math.max(padsPeakC, padsC(state));
    caliperPeakC = Math.max(caliperPeakC, caliperC(state));
    thresholdsC.forEach((limit, k) => (secondsAbove[k] += dtS[i] * shareAbove(before, now, limit)));
    if (reachedS === Infinity && now >= leastLimitC)
      reachedS = time - (dtS[i] * (now - leastLimitC)) / (now - before);
    before = now;
    if (kept) kept[i] = now;
  }
  return {
    peakC,
    peakAtS,
    padsPeakC,
    caliperPeakC,
    secondsAbove,
    reachedS,
    heatedJ,
    greatestW,
    trackC: kept,
    end: state,
  };
}

/** Share of a straight line from one temperature to another that lies above a limit. */
function shareAbove(from: number, to: number, limit: number): number {
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  if (low >= limit) return 1;
  if (high <= limit) return 0;
  return (high - limit) / (high - low);
}
