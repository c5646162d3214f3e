import type { Balance } from './balance.ts';
import type { BorderedSystem } from './bordered.ts';

/**
 * What tells an airspeed sensor's scale without headings: round a closed lap the wind along the road
 * adds up to nothing, ∫ (γ z − v) v dt = 0.
 */
export class ClosedLaps {
  private readonly balance: Balance;
  private readonly lapLengthM: number;
  private readonly gap: Float64Array;
  private readonly byScale: Float64Array;
  private readonly variance: Float64Array;

  constructor(balance: Balance, lapLengthM: number, lapCount: number) {
    this.balance = balance;
    this.lapLengthM = lapLengthM;
    this.gap = new Float64Array(lapCount);
    this.byScale = new Float64Array(lapCount);
    this.variance = new Float64Array(lapCount);
  }

  /** Sum of squares over variance at scale `gamma`, gusts of spectral level `gustM2PerS`. */
  evaluate(gamma: number, gustM2PerS: number): number {
    const { gap, byScale, variance } = this;
    const { rows, steps } = this.balance;
    for (const part of [gap, byScale, variance]) part.fill(0);
    const ridden = new Float64Array(gap.length);
    for (const row of rows) {
      for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
        const v = steps.speedMps[s];
        gap[row.lap] += (gamma * steps.airspeedMps[s] - v) * v * steps.dtS[s];
        byScale[row.lap] += steps.airspeedMps[s] * v * steps.dtS[s];
        variance[row.lap] += gustM2PerS * v * v * steps.dtS[s];
      }
      ridden[row.lap] += row.distanceM;
    }
    let objective = 0;
    for (let l = 0; l < gap.length; l++) {
      if (ridden[l] === 0) continue;
      // A part of the lap that is left out leaves its wind unbalanced: 4 m/s allowed for it.
      variance[l] += (4 * Math.max(0, this.lapLengthM - ridden[l])) ** 2;
      objective += gap[l] ** 2 / variance[l];
    }
    return objective;
  }

  addTo(system: BorderedSystem, scaleAt: number): void {
    const { gap, byScale, variance } = this;
    const index = Int32Array.of(scaleAt);
    for (let l = 0; l < gap.length; l++) {
      if (variance[l] > 0) {
        system.add(index, Float64Array.of(byScale[l]), 1, 1 / variance[l], -gap[l]);
      }
    }
  }

  /** Mean square of the gaps over what was allowed for, drawn a little towards one. */
  excess(): number {
    const { gap, variance } = this;
    let excess = 0;
    let laps = 0;
    for (let l = 0; l < gap.length; l++) {
      if (variance[l] === 0) continue;
      excess += gap[l] ** 2 / variance[l];
      laps++;
    }
    return (excess + 1) / Math.max(1, laps);
  }
}
