/** The rim's unknown stiffness out of the whole wheel's on the bench. */
import type { Wheel } from '../evidence/index.ts';
import { LapbenchError } from '../units/index.ts';
import { lateralStiffness } from './mechanics.ts';
import type { LateralPlace } from './mechanics.ts';
import { wheelModel } from './model.ts';
import type { ModelOptions, WheelModel } from './model.ts';

export interface FitOptions extends ModelOptions {
  /** Where the bench loaded the rim. Default the mean of at a spoke and midway, the headline. */
  at?: LateralPlace;
}

export interface RimStiffnessFit {
  /** The wheel with its rim's `iLateralM4` and `torsionM4` times `scale`. */
  wheel: Wheel;
  scale: number;
  /** Of that wheel, at the place asked, N/mm. */
  lateralNPerMm: number;
}

const leastScale = 1e-3;
const mostScale = 1e3;

/** Copy of a model with the rim's lateral bending and torsion scaled. */
const scaled = (model: WheelModel, scale: number): WheelModel => ({
  ...model,
  section: {
    ...model.section,
    lateralBendingNm2: model.section.lateralBendingNm2 * scale,
    torsionNm2: model.section.torsionNm2 * scale,
  },
});

/**
 * Scales the rim's `iLateralM4` and `torsionM4` together, by one factor, until the wheel's lateral
 * stiffness is the measured one: a single reading cannot tell the two apart, and in a section of given shape
 * they grow together with the wall. Pretension counts, and so do the bearings' springs when the sheet has any.
 *
 * Throws `wheel-fit` when no factor between 1/1000 and 1000 reaches the reading (the message gives the range
 * that can be reached), `wheel-geometry` and `wheel-cannot-stand`.
 */
export function fitRimStiffness(
  wheel: Wheel,
  measuredLateralNPerMm: number,
  options: FitOptions = {},
): RimStiffnessFit {
  const { model } = wheelModel(wheel, options);
  const bearing = wheel.hub.bearingStiffness ?? null;
  const at = options.at ?? 'mean';
  // A rim too soft to stand under its own tension counts as no stiffness at all.
  const value = (logScale: number): number =>
    lateralStiffness(scaled(model, Math.exp(logScale)), at, bearing) ?? 0;
  let [low, high] = [Math.log(leastScale), Math.log(mostScale)];
  const [least, most] = [value(low), value(high)];
  if (!(measuredLateralNPerMm > least && measuredLateralNPerMm < most)) {
    throw new LapbenchError({
      code: 'wheel-fit',
      message:
        `No rim stiffness gives ${measuredLateralNPerMm} N/mm on these spokes: ` +
        `from ${least.toFixed(1)} N/mm (a rim next to none) to ${most.toFixed(1)} N/mm (a rigid one) can be reached.`,
      remedy: 'Check the reading (slop taken off, N/mm), the spokes and the flange offsets.',
    });
  }
  for (let i = 0; i < 60 && high - low > 1e-12; i++) {
    const middle = (low + high) / 2;
    if (value(middle) < measuredLateralNPerMm) low = middle;
    else high = middle;
  }
  const scale = Math.exp((low + high) / 2);
  const rim = {
    ...wheel.rim,
    iLateralM4: wheel.rim.iLateralM4 * scale,
    torsionM4: wheel.rim.torsionM4 * scale,
  };
  return { wheel: { ...wheel, rim }, scale, lateralNPerMm: value(Math.log(scale)) };
}
