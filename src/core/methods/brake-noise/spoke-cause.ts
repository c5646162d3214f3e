/** Spokes of a known wheel, or plucked ones, as a cause: every spoke's pitch at the torque of every moment heard. */
import {
  normal,
  type Cause,
  type CauseInputs,
  type Setting,
  type SpokeCauseId,
  type TorquePrior,
} from './cause.ts';
import { logFit, residualOf } from './fit.ts';
import type { SoundingSpoke } from './model.ts';
import { secondModeShare, spokeScatter } from './priors.ts';

/** Mean torques tried, in spreads of what is held of it. */
const torqueSteps = Array.from({ length: 13 }, (_, i) => (i - 6) * 0.4);
/** Common errors of pitch tried, in their spread, and no further apart than this in ln f. */
const shiftReach = 2;
const widestShiftStep = 0.008;

/** One spoke in one mode, its ln f over ln torque as a table. */
interface State {
  spoke: SoundingSpoke;
  mode: 1 | 2;
  share: number;
  lnHzAt: (lnTorque: number) => number | null;
}

const table = { lowNm: 2, highNm: 400, points: 120 };

function statesOf(spokes: readonly SoundingSpoke[]): State[] {
  return spokes.flatMap((spoke) =>
    ([1, 2] as const).map((mode): State => {
      const low = Math.log(table.lowNm);
      const step = Math.log(table.highNm / table.lowNm) / (table.points - 1);
      const values = Array.from({ length: table.points }, (_, i) => {
        const hz = spoke.hzAt(Math.exp(low + i * step), mode);
        return hz === null || hz < 1 ? null : Math.log(hz);
      });
      return {
        spoke,
        mode,
        share: (mode === 1 ? 1 - secondModeShare : secondModeShare) / spokes.length,
        lnHzAt: (lnTorque) => {
          const at = Math.min(table.points - 1.001, Math.max(0, (lnTorque - low) / step));
          const i = Math.floor(at);
          const [a, b] = [values[i], values[i + 1]];
          return a === null || b === null ? null : a + (at - i) * (b - a);
        },
      };
    }),
  );
}

export function spokeCause(
  id: SpokeCauseId,
  spokes: readonly SoundingSpoke[],
  { hearing, torque, commonSpread }: CauseInputs,
): Cause {
  const states = statesOf(spokes);
  const shares = states.map(({ share }) => share);
  const settings = torqueSteps.flatMap((z) => {
    const lnMean = Math.log(torque.medianNm) + z * torque.spread;
    return settingsAt(lnMean, -0.5 * z * z, states, shares, hearing, torque, commonSpread);
  });
  const total = Math.log(settings.reduce((sum, { log }) => sum + Math.exp(log), 0));
  for (const setting of settings) setting.log -= total;
  return { id, most: 3, settings, pitchDensity: densityOf(states, torque, commonSpread) };
}

function settingsAt(
  lnMean: number,
  log: number,
  states: readonly State[],
  shares: readonly number[],
  hearing: CauseInputs['hearing'],
  torque: TorquePrior,
  commonSpread: number,
): Setting[] {
  const { heard, torqueError } = hearing;
  const torqueStep = (torqueSteps[1] - torqueSteps[0]) * torque.spread;
  const errors = states.map(({ spoke }) => Math.hypot(commonSpread, spoke.spread));
  const widest = Math.max(...errors);
  const steps = Math.max(2, Math.ceil((shiftReach * widest) / widestShiftStep));
  const shifts = Array.from(
    { length: 2 * steps + 1 },
    (_, i) => (shiftReach * (i - steps)) / steps,
  );
  const rests = states.map(({ lnHzAt }) =>
    heard.map(({ pieces }) => residualOf(pieces, ({ lnTorque }) => lnHzAt(lnMean + lnTorque))),
  );
  const slopes = states.map(({ lnHzAt }) => {
    const [a, b] = [lnHzAt(lnMean - 0.05), lnHzAt(lnMean + 0.05)];
    return a === null || b === null ? null : (b - a) / 0.1;
  });
  const predicted: Setting['predicted'] = (emitter, tone) => {
    const { spoke, mode, lnHzAt } = states[emitter];
    const { pieces } = heard[tone];
    const lnTorque = lnMean + pieces.reduce((sum, one) => sum + one.lnTorque, 0) / pieces.length;
    const lnHz = lnHzAt(lnTorque);
    return lnHz === null
      ? null
      : { hz: Math.exp(lnHz), torqueNm: Math.exp(lnTorque), spoke: spoke.spoke, mode };
  };
  return spokeScatter.flatMap((scatter) =>
    shifts.map((z): Setting => ({
      log: log - 0.5 * z * z + Math.log(scatter.weight),
      needsBrake: true,
      shares,
      predicted,
      fits: rests.map((own, s) => {
        const slope = slopes[s];
        if (slope === null) return new Float64Array(heard.length).fill(-Infinity);
        // Half a step of torque and of the common error lies between what is tried and what may be.
        const between =
          Math.hypot(slope * torqueStep, (errors[s] * shiftReach) / steps) / Math.sqrt(12);
        const change = states[s].spoke.slopeSpread * Math.abs(slope);
        const tone = Math.hypot(
          scatter.tone,
          slope * torqueError.tones * Math.max(0.5, scatter.unsteady),
          between,
          change * 0.3,
        );
        const piece = Math.hypot(scatter.piece, slope * torqueError.pieces * scatter.unsteady);
        return Float64Array.from(own, (rest) =>
          rest === null ? -Infinity : logFit(rest, z * errors[s], tone, piece),
        );
      }),
    })),
  );
}

/** Density over ln f of one tone's pitch, torque and common error spread out. */
function densityOf(
  states: readonly State[],
  torque: TorquePrior,
  commonSpread: number,
): (lnHz: number) => number {
  const weights = torqueSteps.map((z) => Math.exp(-0.5 * z * z));
  const all = weights.reduce((sum, value) => sum + value, 0);
  const places = states.flatMap(({ share, lnHzAt, spoke }) =>
    torqueSteps.flatMap((z, k) => {
      const lnTorque = Math.log(torque.medianNm) + z * torque.spread;
      const [middle, more] = [lnHzAt(lnTorque), lnHzAt(lnTorque + 0.4 * torque.spread)];
      if (middle === null) return [];
      const step = more === null ? 0.02 : Math.abs(more - middle) / 2;
      const spread = Math.hypot(spoke.spread, commonSpread, step, 0.002);
      return [{ middle, spread, weight: (share * weights[k]) / all }];
    }),
  );
  return (lnHz) =>
    places.reduce((sum, one) => sum + one.weight * normal(lnHz, one.middle, one.spread), 0);
}
