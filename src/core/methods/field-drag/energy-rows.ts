import type { Balance } from './balance.ts';
import type { BorderedFactor, BorderedSystem } from './bordered.ts';
import { ClosedLaps } from './closed-laps.ts';
import type { Course } from './course.ts';
import { setBlindCrosswind, slowWindMeanSquare } from './crosswind.ts';
import { airVelocityMps, airWorkBy, airWorkJ, pullOfAcross, pullOfAlong } from './model.ts';
import { heightAt, stepKnots, type Layout, type StepKnots } from './wind-layout.ts';
import type { Levels } from './wind-prior.ts';

/** Tails of the energy rows' distribution (Student's): an odd stretch pulls little. */
export const robustDegrees = 8;

/**
 * The measured side of the fit: for each stretch of road in each lap an energy row (model.ts), and with
 * an airspeed sensor an air row, ∫ (γ z − v) dt = ∫ w·h dt. Holds residuals, variances and the design
 * at the unknowns last asked for.
 */
export class EnergyRows {
  readonly count: number;
  readonly residual: Float64Array;
  readonly variance: Float64Array;
  /** Share of full weight by the robust rule. */
  readonly weight: Float64Array;
  readonly meanAirspeed: Float64Array;
  readonly meanCrosswind: Float64Array;
  /** Change of the air work with the mean square of the wind, for each row. */
  readonly byMeanSquare: Float64Array;
  /** Slow wind's mean square where the crosswind follows from it, m²/s². */
  meanSquare: number;

  private readonly balance: Balance;
  private readonly course: Course;
  private readonly layout: Layout;
  private readonly levels: Levels;
  private readonly efficiency: number;
  private readonly knots: StepKnots;
  private readonly firstKnot: Int32Array;
  private readonly index: Int32Array[] = [];
  private readonly value: Float64Array[] = [];
  private readonly entries: Int32Array;
  private readonly hasAirRows: boolean;
  private readonly airResidual: Float64Array;
  private readonly airVariance: Float64Array;
  private readonly airIndex: Int32Array[] = [];
  private readonly airValue: Float64Array[] = [];
  private readonly airEntries: Int32Array;
  private readonly blindCross: Float64Array;
  private readonly closedLaps: ClosedLaps | null;
  private readonly pull: Float64Array;
  private readonly along: Float64Array;
  private readonly slowPull = new Float64Array(8);

  /** Half-bandwidth that the rows need among the wind's unknowns. */
  readonly bandWidth: number;

  constructor(input: {
    balance: Balance;
    course: Course;
    layout: Layout;
    levels: Levels;
    efficiency: number;
    meanSquare: number;
  }) {
    this.balance = input.balance;
    this.course = input.course;
    this.layout = input.layout;
    this.levels = input.levels;
    this.efficiency = input.efficiency;
    this.meanSquare = input.meanSquare;
    const { rows, steps } = input.balance;
    const n = rows.length;
    this.count = n;
    const { hasWind, measuredAir } = input.layout;
    this.knots = stepKnots(input.layout, steps);
    this.firstKnot = new Int32Array(n);
    let reach = 1;
    if (hasWind) {
      for (let r = 0; r < n; r++) {
        let low = this.knots.wind.at[rows[r].firstStep];
        let high = low;
        for (let s = rows[r].firstStep; s < rows[r].firstStep + rows[r].stepCount; s++) {
          low = Math.min(low, this.knots.wind.at[s]);
          high = Math.max(high, this.knots.wind.at[s]);
        }
        this.firstKnot[r] = low;
        reach = Math.max(reach, high + 1 - low);
      }
    }
    this.bandWidth = 2 * reach + 1;
    this.pull = new Float64Array(2 * (reach + 1));
    this.along = new Float64Array(2 * (reach + 1));
    const width = this.pull.length + 16;
    for (let r = 0; r < n; r++) {
      this.index.push(new Int32Array(width));
      this.value.push(new Float64Array(width));
      this.airIndex.push(new Int32Array(hasWind ? width : 0));
      this.airValue.push(new Float64Array(hasWind ? width : 0));
    }
    this.entries = new Int32Array(n);
    this.airEntries = new Int32Array(n);
    this.residual = new Float64Array(n);
    this.variance = new Float64Array(n).fill(1);
    this.weight = new Float64Array(n).fill(1);
    this.meanAirspeed = new Float64Array(n);
    this.meanCrosswind = new Float64Array(n);
    this.byMeanSquare = new Float64Array(n);
    this.airResidual = new Float64Array(n);
    this.airVariance = new Float64Array(n).fill(1);
    this.blindCross = new Float64Array(n);
    this.hasAirRows = measuredAir && hasWind;
    this.closedLaps =
      measuredAir && !hasWind
        ? new ClosedLaps(input.balance, input.course.lapLengthM, input.layout.lapCount)
        : null;
  }

  /**
   * Evaluates all rows at x and answers minus twice the log likelihood, up to a constant. Variances
   * follow x only when asked: held still within a step, a lower objective means a better fit.
   */
  evaluate(x: Float64Array, freshVariance: boolean): number {
    let objective = 0;
    for (let r = 0; r < this.count; r++) objective += this.evaluateRow(x, r, freshVariance);
    const { scaleAt } = this.layout;
    if (this.hasAirRows) {
      // The gusts are in the reading, so its density carries the scale: without this term the fit
      // would shrink the scale to shrink the gusts.
      objective -= 2 * this.count * Math.log(Math.max(1e-3, x[scaleAt]));
    } else if (this.closedLaps) {
      objective += this.closedLaps.evaluate(x[scaleAt], this.levels.gustM2PerS);
    }
    return objective;
  }

  private evaluateRow(x: Float64Array, r: number, freshVariance: boolean): number {
    const { layout, levels, knots, pull, along, slowPull } = this;
    const { steps } = this.balance;
    const row = this.balance.rows[r];
    const { cross: mode, measuredAir, hasWind, firstMean, scaleAt } = layout;
    const area = x[layout.firstLap + row.lap];
    const gamma = measuredAir ? x[scaleAt] : 1;
    const firstKnot = this.firstKnot[r];
    const firstMeanKnot = knots.mean.at[row.firstStep];
    const fromSquare = mode === 'lap' || mode === 'fixed';
    const square = mode === 'lap' ? x[layout.firstCross + row.lap] : this.meanSquare;
    const sideGust = fromSquare ? levels.gustVarianceM2PerS2 : 0;
    pull.fill(0);
    along.fill(0);
    slowPull.fill(0);
    let air = 0;
    let byScale = 0;
    let bySquare = 0;
    let gap = 0;
    let rawSum = 0;
    let force = 0;
    let airSum = 0;
    let crossSum = 0;
    let lastKnot = firstKnot;
    for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
      const dt = steps.dtS[s];
      const v = steps.speedMps[s];
      const he = steps.headingEast[s];
      const hn = steps.headingNorth[s];
      const half = 0.5 * steps.densityKgM3[s] * v * dt;
      let head = 0;
      let cross = 0;
      let extra = 0;
      const k = knots.wind.at[s];
      const share = knots.wind.share[s];
      if (hasWind) {
        const we = (1 - share) * x[2 * k] + share * x[2 * k + 2];
        const wn = (1 - share) * x[2 * k + 1] + share * x[2 * k + 3];
        head = we * he + wn * hn;
        if (mode === 'vector') cross = -we * hn + wn * he;
      }
      let u = v + head;
      if (measuredAir) {
        u = gamma * steps.airspeedMps[s];
        if (mode === 'measured') cross = Math.abs(u * steps.yawTangent[s]);
        gap += (u - v - head) * dt;
        rawSum += steps.airspeedMps[s] * dt;
      }
      if (fromSquare) {
        // |V| u ≈ u² + c²/2 with c² = Q − (slow wind along the road)² + side gusts.
        const j = firstMean + 2 * knots.mean.at[s];
        const on = knots.mean.share[s];
        const slow =
          ((1 - on) * x[j] + on * x[j + 2]) * he + ((1 - on) * x[j + 1] + on * x[j + 3]) * hn;
        extra = square + sideGust - slow * slow;
        bySquare += 0.5 * half;
        const o = 2 * (knots.mean.at[s] - firstMeanKnot);
        slowPull[o] -= half * slow * (1 - on) * he;
        slowPull[o + 1] -= half * slow * (1 - on) * hn;
        slowPull[o + 2] -= half * slow * on * he;
        slowPull[o + 3] -= half * slow * on * hn;
      } else if (mode === 'blind') extra = this.blindCross[r];
      const speed = airVelocityMps(u, cross);
      air += half * (speed * u + 0.5 * extra);
      airSum += u * dt;
      crossSum += (Math.abs(cross) + Math.sqrt(Math.max(0, extra))) * dt;
      const byAir = pullOfAlong(u, speed);
      force += half * byAir;
      if (measuredAir) {
        let byReading = byAir;
        // A measured yaw makes the crosswind follow the reading's scale.
        if (mode === 'measured') byReading += pullOfAcross(u, cross, speed) * (cross / u || 0);
        byScale += half * byReading * steps.airspeedMps[s];
      }
      if (!hasWind) continue;
      lastKnot = Math.max(lastKnot, k);
      const o = 2 * (k - firstKnot);
      let east = 0;
      let north = 0;
      if (!measuredAir) {
        east = byAir * he;
        north = byAir * hn;
      }
      if (mode === 'vector') {
        const byCross = pullOfAcross(u, cross, speed);
        east -= byCross * hn;
        north += byCross * he;
      }
      pull[o] += half * east * (1 - share);
      pull[o + 1] += half * north * (1 - share);
      pull[o + 2] += half * east * share;
      pull[o + 3] += half * north * share;
      along[o] += he * dt * (1 - share);
      along[o + 1] += hn * dt * (1 - share);
      along[o + 2] += he * dt * share;
      along[o + 3] += hn * dt * share;
    }
    this.meanAirspeed[r] = airSum / row.durationS;
    this.meanCrosswind[r] = crossSum / row.durationS;
    this.byMeanSquare[r] = mode === 'fixed' ? area * bySquare : 0;

    // Height at entry and exit: the table, corrected on straight lines between gates.
    const { gatesM } = this.course;
    const g0 = heightAt(layout, row.cell);
    const g1 = heightAt(layout, row.cell + 1);
    const travel = (row.leavesM - row.entersM) / (gatesM[row.cell + 1] - gatesM[row.cell]);
    const rise = row.riseM + travel * ((g1 >= 0 ? x[g1] : 0) - (g0 >= 0 ? x[g0] : 0));
    this.residual[r] = airWorkJ(row, this.efficiency, rise) - area * air;
    if (freshVariance) this.variance[r] = this.varianceOfRow(r, area * force);
    const z2 = this.residual[r] ** 2 / this.variance[r];
    this.weight[r] = (robustDegrees + 1) / (robustDegrees + z2);

    const index = this.index[r];
    const value = this.value[r];
    let n = 0;
    const put = (i: number, v: number): void => {
      if (v === 0) return;
      index[n] = i;
      value[n++] = v;
    };
    const touched = 2 * (lastKnot - firstKnot + 2);
    if (hasWind) for (let q = 0; q < touched; q++) put(2 * firstKnot + q, area * pull[q]);
    put(layout.firstLap + row.lap, air);
    const lift = -airWorkBy.riseM(row) * travel;
    if (g0 >= 0) put(g0, -lift);
    if (g1 >= 0) put(g1, lift);
    if (fromSquare) {
      for (let q = 0; q < 8; q++) put(firstMean + 2 * firstMeanKnot + q, area * slowPull[q]);
      if (mode === 'lap') put(layout.firstCross + row.lap, area * bySquare);
    }
    if (measuredAir) put(scaleAt, area * byScale);
    this.entries[r] = n;

    let objective =
      (robustDegrees + 1) * Math.log1p(z2 / robustDegrees) + Math.log(this.variance[r]);
    if (this.hasAirRows) {
      this.airResidual[r] = gap;
      this.airVariance[r] = levels.gustM2PerS * row.durationS;
      objective += gap ** 2 / this.airVariance[r] + Math.log(this.airVariance[r]);
      let a = 0;
      const airIndex = this.airIndex[r];
      const airValue = this.airValue[r];
      for (let q = 0; q < touched; q++) {
        if (along[q] === 0) continue;
        airIndex[a] = 2 * firstKnot + q;
        airValue[a++] = along[q];
      }
      airIndex[a] = scaleAt;
      airValue[a++] = -rawSum;
      this.airEntries[r] = a;
    }
    return objective;
  }

  /** Sensors of common quality: power 1.5 % white at 1 Hz, speed at a crossing 0.03 m/s; and gusts. */
  private varianceOfRow(r: number, force: number): number {
    const row = this.balance.rows[r];
    const meanPower = Math.max(60, row.workJ / row.durationS);
    const meanSpeed = row.distanceM / row.durationS;
    const sensor =
      (0.015 * meanPower) ** 2 * row.durationS + 2 * (row.effectiveMassKg * meanSpeed * 0.03) ** 2;
    const gust = this.layout.measuredAir
      ? 0
      : (force ** 2 * this.levels.gustM2PerS) / row.durationS;
    return this.levels.energyFactor * sensor + gust;
  }

  addTo(system: BorderedSystem, x: Float64Array): void {
    for (let r = 0; r < this.count; r++) {
      system.add(
        this.index[r],
        this.value[r],
        this.entries[r],
        this.weight[r] / this.variance[r],
        this.residual[r],
      );
      if (this.hasAirRows) {
        system.add(
          this.airIndex[r],
          this.airValue[r],
          this.airEntries[r],
          1 / this.airVariance[r],
          this.airResidual[r],
        );
      }
    }
    const { scaleAt } = this.layout;
    if (this.hasAirRows) {
      const gamma = x[scaleAt];
      const scale = Int32Array.of(scaleAt);
      system.add(scale, Float64Array.of(1), 1, this.count / gamma ** 2, gamma);
    }
    this.closedLaps?.addTo(system, scaleAt);
  }

  /** Moves the noise levels towards what the residuals show (fixed point, as in WindPrior.learn). */
  learn(factor: BorderedFactor): void {
    const { levels } = this;
    const bound = (ratio: number, most: number) => Math.min(most, Math.max(1 / most, ratio));
    if (this.hasAirRows) {
      let squares = 0;
      let free = 0;
      for (let r = 0; r < this.count; r++) {
        const used = factor.varianceOf(this.airIndex[r], this.airValue[r], this.airEntries[r]);
        squares += this.airResidual[r] ** 2 / this.balance.rows[r].durationS;
        free += Math.max(0, 1 - used / this.airVariance[r]);
      }
      levels.gustM2PerS = Math.max(1e-4, squares / Math.max(1, free));
    } else if (this.closedLaps) {
      const ratio = bound(this.closedLaps.excess(), 4);
      levels.gustM2PerS = Math.min(50, Math.max(0.05, levels.gustM2PerS * ratio));
    }
    // Without a sensor gusts make up the rows' variance, and WindPrior learns those.
    if (!this.layout.measuredAir && this.layout.hasWind) return;
    let squares = 0;
    let free = 0;
    for (let r = 0; r < this.count; r++) {
      const precision = this.weight[r] / this.variance[r];
      const used = precision * factor.varianceOf(this.index[r], this.value[r], this.entries[r]);
      squares += precision * this.residual[r] ** 2;
      free += Math.max(0, 1 - used);
    }
    const ratio = bound(squares / Math.max(1, free), 3);
    levels.energyFactor = Math.min(400, Math.max(0.05, levels.energyFactor * ratio));
  }

  /** Sets the crosswind that nothing measures from the wind along the road as now fitted. */
  learnCrosswind(x: Float64Array): void {
    const { cross } = this.layout;
    if (cross === 'blind') {
      setBlindCrosswind(this.blindCross, this.balance, this.meanAirspeed, this.layout.lapCount);
    } else if (cross === 'fixed' || cross === 'lap') {
      this.meanSquare = slowWindMeanSquare(x, this.layout, this.balance, this.knots.mean);
    }
  }

  /** Right-hand side of a unit change of something that enters the rows' energy by `byUnit`. */
  addShift(system: BorderedSystem, byUnit: (r: number) => number): void {
    for (let r = 0; r < this.count; r++) {
      system.addRight(
        this.index[r],
        this.value[r],
        this.entries[r],
        this.weight[r] / this.variance[r],
        byUnit(r),
      );
    }
  }
}
