import type { DayEvidence } from '../../evidence/index.ts';
import { compareSetups, type Comparison } from './compare.ts';
import type { ComparedLap } from './lap-model.ts';
import type { LapResult } from './result.ts';
import type { DaySeries } from './series.ts';
import type { WindFit } from './wind-fit.ts';

/**
 * What the model leaves out of an absolute value: drag that changes with yaw and speed, tyres that warm
 * up, air that shears over the road. Field methods differ by more than this on the same laps
 * (Ordinana-Perez et al. 2021, abstract: direction of change alike, absolute values not).
 */
const modelUncertainty = { around: 0.01, straight: 0.015 };
/** A used lap, and its index among all laps of the fit. */
export interface UsedLap {
  lap: LapResult;
  i: number;
}

/** Hands the used laps with their covariance and the constants' uncertainties to the comparison. */
export function compareLaps(
  evidence: DayEvidence,
  used: UsedLap[],
  fit: WindFit,
  all: number,
  series: DaySeries,
): Comparison {
  const { day } = evidence;
  const idOf = new Map(day.setups.map((setup, index) => [setup.id, index]));
  const laps: ComparedLap[] = used.map(({ lap }) => ({
    setup: idOf.get(lap.setup)!,
    run: lap.run,
    timeH: (lap.dayTimeS + 0.5 * lap.durationS) / 3600,
    cdaM2: lap.cdaM2!,
  }));
  const n = used.length;
  const covariance = new Float64Array(n * n);
  used.forEach((a, i) =>
    used.forEach((b, j) => {
      covariance[i * n + j] = fit.covariance[a.i * all + b.i];
    }),
  );
  const pick = (values: Float64Array) => Float64Array.from(used, ({ i }) => values[i]);
  const { constants, system } = day;
  return compareSetups({
    laps,
    covariance,
    setupCount: day.setups.length,
    control: idOf.get(day.control)!,
    sensitivity: {
      crr: pick(fit.sensitivity.crr),
      massKg: pick(fit.sensitivity.massKg),
      efficiency: pick(fit.sensitivity.efficiency),
      meanSquareM2PerS2: pick(fit.sensitivity.meanSquareM2PerS2),
    },
    uncertainty: {
      crr: constants.crrStandardUncertainty,
      massKg: system.massStandardUncertaintyKg,
      efficiency: Math.hypot(
        constants.drivetrainEfficiencyStandardUncertainty,
        constants.powerScaleStandardUncertainty * constants.drivetrainEfficiency,
      ),
      meanSquareM2PerS2:
        series.usedAirspeed || !Number.isFinite(fit.meanSquareM2PerS2)
          ? 0
          : 0.7 * fit.meanSquareM2PerS2,
      model: fit.cross === 'lap' ? modelUncertainty.straight : modelUncertainty.around,
    },
  });
}
