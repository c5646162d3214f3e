import type { BorderedFactor, BorderedSystem } from './bordered.ts';
import { between, type Between, type Layout } from './wind-layout.ts';

/** How lively the air of the day was, and how noisy the energy rows. Learnt from the day. */
export interface Levels {
  /** Spectral level of gusts quicker than the knots, m²/s. */
  gustM2PerS: number;
  /** Variance of gusts about the slow mean, m²/s², for each component, and their time scale, s. */
  gustVarianceM2PerS2: number;
  gustTimeS: number;
  /** Rate at which the slow mean wanders across its direction, m²/s³, and along it as a share of that. */
  wanderM2PerS3: number;
  speedShare: number;
  /** Variance of the energy rows over what sensors of common quality would give. */
  energyFactor: number;
}

/**
 * Wandering of the slow wind's speed as a share of that across it: direction turns more readily than
 * speed changes. On an out-and-back only the part along the road is seen, so the share is taken as
 * known there; a loop sees both and cares little.
 */
const speedShareSeenOneWay = 0.05;
const speedShareSeenAround = 0.3;
/** Gusts quicker than the knots, as a share of the gust variance: about a fifth of a knot's span. */
export const quickGustS = 4;
/** The fixed point creeps; going further than it says is quicker and ends at the same place. */
const eager = 1.6;
/** Spread of the wind's mean before the day is looked at, m/s for each component. */
const windPriorMps = 5;

export function startLevels(layout: Layout, gustTimeS: number): Levels {
  const gustVarianceM2PerS2 = 0.4;
  return {
    gustM2PerS: layout.measuredAir ? 1 : quickGustS * gustVarianceM2PerS2,
    gustVarianceM2PerS2,
    gustTimeS,
    wanderM2PerS3: 0.0003,
    speedShare: layout.loop ? speedShareSeenAround : speedShareSeenOneWay,
    energyFactor: 1,
  };
}

/**
 * What is believed of the wind before the day: gusts as an Ornstein-Uhlenbeck process (they die away
 * exponentially) about a slow mean that is a random walk. Each belief is a row over a few unknowns
 * whose product with them has mean zero and a known variance.
 */
export class WindPrior {
  private readonly layout: Layout;
  private readonly levels: Levels;
  private readonly index = new Int32Array(8);
  private readonly value = new Float64Array(8);
  private readonly knotMean: Between;
  /** Unit vector of the slow wind at each of its knots; held still within a step of the fit. */
  private readonly direction: Float64Array;

  constructor(layout: Layout, levels: Levels) {
    this.layout = layout;
    this.levels = levels;
    this.knotMean = between(layout.meanKnotsS, layout.knotsS);
    this.direction = new Float64Array(2 * layout.meanKnotsS.length);
  }

  /** Takes the slow wind's present direction as the one along which its speed would change. */
  turnTo(x: Float64Array): void {
    const { firstMean, meanKnotsS } = this.layout;
    for (let j = 1; j < meanKnotsS.length; j++) {
      const at = firstMean + 2 * j;
      const east = x[at] + x[at - 2];
      const north = x[at + 1] + x[at - 1];
      const size = Math.hypot(east, north);
      this.direction[2 * j] = size > 0.2 ? east / size : 1;
      this.direction[2 * j + 1] = size > 0.2 ? north / size : 0;
    }
  }

  /** Minus twice the log density at x, up to a constant. */
  objective(x: Float64Array): number {
    let sum = 0;
    this.each((count, variance) => {
      sum += this.product(x, count) ** 2 / variance + Math.log(variance);
    });
    return sum;
  }

  addTo(system: BorderedSystem, x: Float64Array): void {
    this.each((count, variance) => {
      system.add(this.index, this.value, count, 1 / variance, -this.product(x, count));
    });
  }

  /**
   * Moves gust variance and wandering towards what the fitted wind shows: sum of squares over the
   * number of rows that the day itself determines (MacKay 1992).
   */
  learn(x: Float64Array, factor: BorderedFactor): void {
    const { levels } = this;
    let gust = 0;
    let gustDetermined = 0;
    let wander = 0;
    let wanderDetermined = 0;
    this.each((count, variance, kind) => {
      if (kind === 'start') return;
      const square = this.product(x, count) ** 2 / variance;
      const left = factor.varianceOf(this.index, this.value, count) / variance;
      if (kind === 'gust') {
        gust += square;
        gustDetermined += Math.max(0, 1 - left);
      } else {
        wander += square;
        wanderDetermined += Math.max(0, 1 - left);
      }
    });
    const step = (ratio: number): number => Math.min(4, Math.max(0.25, ratio)) ** eager;
    const within = (low: number, high: number, value: number): number =>
      Math.min(high, Math.max(low, value));
    levels.gustVarianceM2PerS2 = within(
      1e-3,
      25,
      levels.gustVarianceM2PerS2 * step((gust + 1) / (gustDetermined + 1)),
    );
    levels.wanderM2PerS3 = within(
      1e-6,
      5e-3,
      levels.wanderM2PerS3 * step((wander + 2) / (wanderDetermined + 2)),
    );
    // Without a sensor the two gust levels cannot be told apart: the quick one follows.
    if (!this.layout.measuredAir) levels.gustM2PerS = quickGustS * levels.gustVarianceM2PerS2;
  }

  private product(x: Float64Array, count: number): number {
    let sum = 0;
    for (let i = 0; i < count; i++) sum += this.value[i] * x[this.index[i]];
    return sum;
  }

  private each(
    visit: (count: number, variance: number, kind: 'gust' | 'mean' | 'start') => void,
  ): void {
    const { index, value, levels, layout } = this;
    const { knotsS, meanKnotsS, firstMean } = layout;
    for (let k = 0; k < knotsS.length; k++) {
      const decay = k === 0 ? 0 : Math.exp(-(knotsS[k] - knotsS[k - 1]) / levels.gustTimeS);
      const variance = levels.gustVarianceM2PerS2 * (1 - decay * decay);
      const j = this.knotMean.at[k];
      const share = this.knotMean.share[k];
      for (let c = 0; c < 2; c++) {
        let n = 0;
        const put = (i: number, v: number): void => {
          index[n] = i;
          value[n++] = v;
        };
        let here = -(1 - share);
        let next = -share;
        put(2 * k + c, 1);
        if (k > 0) {
          put(2 * k - 2 + c, -decay);
          const before = this.knotMean.at[k - 1];
          const beforeShare = this.knotMean.share[k - 1];
          if (before === j) {
            here += decay * (1 - beforeShare);
            next += decay * beforeShare;
          } else {
            put(firstMean + 2 * before + c, decay * (1 - beforeShare));
            if (before + 1 === j) here += decay * beforeShare;
            else put(firstMean + 2 * (before + 1) + c, decay * beforeShare);
          }
        }
        put(firstMean + 2 * j + c, here);
        put(firstMean + 2 * (j + 1) + c, next);
        visit(n, variance, 'gust');
      }
    }
    for (let j = 0; j < meanKnotsS.length; j++) {
      const at = firstMean + 2 * j;
      if (j === 0) {
        for (let c = 0; c < 2; c++) {
          index[0] = at + c;
          value[0] = 1;
          visit(1, windPriorMps ** 2, 'start');
        }
        continue;
      }
      const span = meanKnotsS[j] - meanKnotsS[j - 1];
      const east = this.direction[2 * j];
      const north = this.direction[2 * j + 1];
      for (let c = 0; c < 2; c++) {
        const [pe, pn] = c === 0 ? [east, north] : [-north, east];
        index.set([at, at + 1, at - 2, at - 1]);
        value.set([pe, pn, -pe, -pn]);
        visit(4, levels.wanderM2PerS3 * span * (c === 0 ? levels.speedShare : 1), 'mean');
      }
    }
  }
}
