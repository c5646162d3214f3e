import { standardGravityMps2 } from '../../units/index.ts';
import { airWorkJ, type Balance, type BalanceRow } from './balance.ts';
import { BorderedSystem, type BorderedFactor } from './bordered.ts';
import type { Course } from './course.ts';

/** How lively the wind of the day was, for each component. */
export interface WindLevels {
  /** Spectral level of what is quicker than the knots, m²/s. */
  gustM2PerS: number;
  /** Variance of gusts about the slow mean, m²/s², and their time scale, s. */
  gustVarianceM2PerS2: number;
  gustTimeS: number;
  /** Rate at which the slow mean wanders across its direction, m²/s³, and along it as a share of that. */
  wanderM2PerS3: number;
  speedShare: number;
  /** Variance of the energy rows over what sensors of common quality would give. */
  energyFactor: number;
}

export interface WindFitInput {
  balance: Balance;
  course: Course;
  usedAirspeed: boolean;
  usedYaw: boolean;
  efficiency: number;
  /** Start and end of each run in day time, s: wind knots are laid there only. */
  runSpans: { fromS: number; toS: number }[];
  /** Start from an earlier fit of the same day. */
  start?: WindFit;
  gustTimeS?: number;
  /** Keep the levels of `start`. */
  fixedLevels?: boolean;
}

/** Change of each lap's drag area for one unit of a constant. */
export interface Sensitivities {
  crr: Float64Array;
  massKg: Float64Array;
  efficiency: Float64Array;
  meanSquareM2PerS2: Float64Array;
}

export interface WindFit {
  sensitivity: Sensitivities;
  /** Drag area of each lap, m²; NaN for laps without rows. */
  cdaM2: Float64Array;
  /** Covariance of the laps' drag areas (laps with rows only matter), lap by lap. */
  covariance: Float64Array;
  /** Mean square of the slow wind where the crosswind follows from it, m²/s²; NaN otherwise. */
  meanSquareM2PerS2: number;
  airspeedScale: number;
  airspeedScaleVariance: number;
  knotsS: Float64Array;
  /** Wind at the knots: the way it comes from, east and north, m/s. */
  windEast: Float64Array;
  windNorth: Float64Array;
  /** Correction of the height table at the gates, m. */
  heightCorrectionM: Float64Array;
  levels: WindLevels;
  /** Laplace approximation of the log evidence, up to a constant. */
  logEvidence: number;
  /** Standardised residual of each energy row, and its weight by the robust rule (1 = full). */
  residualZ: Float64Array;
  weight: Float64Array;
  /** Mean airspeed along the bike of each row, and mean crosswind magnitude. */
  rowAirspeed: Float64Array;
  rowCrosswind: Float64Array;
  unknowns: Float64Array;
  converged: boolean;
}

/** Time between knots of the slow wind, s. */
const knotSpacingS = 20;
/** Time between knots of the slow mean, s. */
const meanSpacingS = 900;
/** Spread of the wind's mean before the day is looked at, m/s for each component. */
const windPriorMps = 5;
/** Airspeed sensors are trusted to this relative standard uncertainty before calibration in place. */
const airspeedScalePrior = 0.15;
const robustDegrees = 8;
/** Gusts quicker than the knots, as a share of the gust variance: about a fifth of a knot's span. */
const quickGustS = 4;
/** The fixed point creeps; going further than it says is quicker and ends at the same place. */
const eager = 1.6;
/**
 * Wandering of the slow wind's speed as a share of that across it: direction turns more readily than
 * speed changes. Taken as known where only one direction of riding is seen.
 */
const turningSpeedShare = 0.05;

/**
 * Fits all laps of a day at once: a drag area for each lap, the wind as a vector that wanders with
 * time, the road's height at the gates, the airspeed sensor's scale.
 *
 * Energy row: η W − ΔKE − m g Δh − Crr m g Δs − bearings = A ∫ ½ ρ |V| u v dt, with u the air speed
 * along the bike and |V|² = u² + c² its square with the crosswind c put back.
 * Airspeed row (with a sensor): ∫ (γ z − v) dt = ∫ w·h dt.
 * The wind between knots is a random walk; its rate and the gust level are learnt from the day
 * (fixed-point form of the type-II likelihood, MacKay 1992).
 */
export function fitWind(input: WindFitInput): WindFit {
  const { balance, course } = input;
  const { rows, steps } = balance;
  const lapCount = course.laps.length;
  const gates = course.gatesM.length;
  const hasHeading = course.tangentEast !== null;
  const loop = course.kind === 'loop';

  // Numbering of unknowns: wind knots (east, north), then laps, then gate heights, then the scale.
  const knots = layKnots(input.runSpans);
  const windCount = hasHeading ? 2 * knots.length : 0;
  const heightCount = loop ? gates - 2 : gates - 1;
  const meanKnots = hasHeading ? layMeanKnots(knots) : [];
  const firstMean = windCount;
  const firstLap = windCount + 2 * meanKnots.length;
  const firstHeight = firstLap + lapCount;
  const scaleAt = firstHeight + heightCount;
  const hasScale = input.usedAirspeed;
  // Without a sensor the crosswind is not a state of its own (only its square acts, which has no
  // slope at zero): what the slow wind's mean square Q leaves beside its part along the road is cross.
  // Q itself is taken as twice the mean square seen along the road, and its doubt carried along.
  const hasMeanSquare = hasHeading && !hasScale;
  const total = scaleAt + (hasScale ? 1 : 0);

  const x = new Float64Array(total);
  x.fill(0.25, firstLap, firstHeight);
  if (hasScale) x[scaleAt] = 1;
  let meanSquare = input.start?.meanSquareM2PerS2 ?? 4;
  const stepKnot = new Int32Array(steps.count);
  const stepShare = new Float64Array(steps.count);
  for (let s = 0, k = 0; s < steps.count; s++) {
    const t = steps.dayTimeS[s];
    while (k > 0 && knots[k] > t) k--;
    while (k < knots.length - 2 && knots[k + 1] <= t) k++;
    stepKnot[s] = k;
    const span = knots[k + 1] - knots[k];
    stepShare[s] = Math.min(1, Math.max(0, (t - knots[k]) / span));
  }
  const stepMean = new Int32Array(steps.count);
  const stepMeanShare = new Float64Array(steps.count);
  if (hasHeading) {
    const span = meanKnots[1] - meanKnots[0];
    for (let s = 0; s < steps.count; s++) {
      const position = (steps.dayTimeS[s] - meanKnots[0]) / span;
      const j = Math.min(meanKnots.length - 2, Math.max(0, Math.floor(position)));
      stepMean[s] = j;
      stepMeanShare[s] = Math.min(1, Math.max(0, position - j));
    }
  }
  let width = 3;
  if (hasHeading) {
    for (const row of rows) {
      let low = Infinity;
      let high = -Infinity;
      for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
        low = Math.min(low, stepKnot[s]);
        high = Math.max(high, stepKnot[s] + 1);
      }
      width = Math.max(width, 2 * (high - low) + 1);
    }
  }
  const system = new BorderedSystem(windCount, width, total - windCount);

  const heightUnknown = (gate: number): number => {
    if (gate === 0 || (loop && gate === gates - 1)) return -1;
    return firstHeight + gate - 1;
  };
  const heightPrior = course.hasHeight ? Math.max(0.3, course.heightUncertaintyM) : 25;

  if (input.start && input.start.unknowns.length === total) x.set(input.start.unknowns);
  else startWind();

  let levels: WindLevels = input.start?.levels ?? {
    gustM2PerS: input.usedAirspeed ? 1 : quickGustS * 0.4,
    gustVarianceM2PerS2: 0.4,
    gustTimeS: input.gustTimeS ?? 30,
    wanderM2PerS3: 0.0003,
    speedShare: course.kind === 'out-and-back' ? turningSpeedShare : 0.3,
    energyFactor: 1,
  };

  // Work arrays of one evaluation.
  const rowCount = rows.length;
  const energyResidual = new Float64Array(rowCount);
  const energyVariance = new Float64Array(rowCount);
  const airResidual = new Float64Array(rowCount);
  const airVariance = new Float64Array(rowCount);
  const weight = new Float64Array(rowCount).fill(1);
  const rowAirspeed = new Float64Array(rowCount);
  const rowCrosswind = new Float64Array(rowCount);
  const byMeanSquareOf = new Float64Array(rowCount);
  const energyIndex: Int32Array[] = [];
  const energyValue: Float64Array[] = [];
  const energyCount = new Int32Array(rowCount);
  const airIndex: Int32Array[] = [];
  const airValue: Float64Array[] = [];
  const airCount = new Int32Array(rowCount);
  for (let r = 0; r < rowCount; r++) {
    energyIndex.push(new Int32Array(width + 16));
    energyValue.push(new Float64Array(width + 16));
    airIndex.push(new Int32Array(width + 8));
    airValue.push(new Float64Array(width + 8));
  }
  const priorIndex = new Int32Array(8);
  const priorValue = new Float64Array(8);
  const alongWind = new Float64Array(2 * meanKnots.length);
  const meanAt = new Int32Array(knots.length);
  const meanShare = new Float64Array(knots.length);
  for (let k = 0, j = 0; k < knots.length && meanKnots.length > 0; k++) {
    while (j < meanKnots.length - 2 && meanKnots[j + 1] <= knots[k]) j++;
    meanAt[k] = j;
    meanShare[k] = (knots[k] - meanKnots[j]) / (meanKnots[j + 1] - meanKnots[j]);
  }
  const airRows = hasScale && hasHeading;
  // Without headings a closed lap still says that the wind along it adds up to nothing.
  const closedRows = hasScale && !hasHeading;
  const closedGap = new Float64Array(lapCount);
  const closedByScale = new Float64Array(lapCount);
  const closedVariance = new Float64Array(lapCount);
  const blindCross = new Float64Array(rowCount);
  const gateM = course.gatesM;

  function startWind(): void {
    if (!hasHeading) return;
    // Cross part: a start away from zero, where its pull on the drag is flat.
    const te = course.tangentEast![0];
    const tn = course.tangentNorth![0];
    let along = 0;
    if (hasScale && course.kind === 'out-and-back') {
      let sum = 0;
      let time = 0;
      for (let s = 0; s < steps.count; s++) {
        const sense = steps.headingEast[s] * te + steps.headingNorth[s] * tn > 0 ? 1 : -1;
        sum += sense * (steps.airspeedMps[s] - steps.speedMps[s]) * steps.dtS[s];
        time += steps.dtS[s];
      }
      along = time > 0 ? sum / time : 0;
    }
    const across = Math.max(1, 0.5 * Math.abs(along));
    for (let k = 0; k < knots.length; k++) {
      x[2 * k] = along * te - across * tn;
      x[2 * k + 1] = along * tn + across * te;
    }
    for (let j = 0; j < meanKnots.length; j++) {
      x[firstMean + 2 * j] = along * te - across * tn;
      x[firstMean + 2 * j + 1] = along * tn + across * te;
    }
  }

  /** Residuals, variances and rows of the design at `x`; answers the objective. */
  function evaluate(jacobian: boolean, freshVariance = false): number {
    const touched = new Float64Array(2 * (width + 4));
    const along = new Float64Array(2 * (width + 4));
    const slowPull = new Float64Array(8);
    let objective = 0;
    const gamma = hasScale ? x[scaleAt] : 1;
    for (let r = 0; r < rowCount; r++) {
      const row = rows[r];
      const area = x[firstLap + row.lap];
      const from = row.firstStep;
      const to = from + row.stepCount;
      let firstKnot = Infinity;
      if (hasHeading) {
        for (let s = from; s < to; s++) firstKnot = Math.min(firstKnot, stepKnot[s]);
      }
      touched.fill(0);
      along.fill(0);
      slowPull.fill(0);
      let byMeanSquare = 0;
      const firstMeanKnot = stepMean[from];
      let air = 0;
      let byScale = 0;
      let gap = 0;
      let rawSum = 0;
      let aroundForce = 0;
      let meanAir = 0;
      let meanCross = 0;
      let lastKnot = firstKnot;
      for (let s = from; s < to; s++) {
        const dt = steps.dtS[s];
        const v = steps.speedMps[s];
        const he = steps.headingEast[s];
        const hn = steps.headingNorth[s];
        const half = 0.5 * steps.densityKgM3[s] * v * dt;
        let head = 0;
        let cross = 0;
        const k = stepKnot[s];
        const share = stepShare[s];
        if (hasHeading) {
          const we = (1 - share) * x[2 * k] + share * x[2 * k + 2];
          const wn = (1 - share) * x[2 * k + 1] + share * x[2 * k + 3];
          head = we * he + wn * hn;
          cross = hasScale ? -we * hn + wn * he : 0;
        }
        let u: number;
        let freeCross = hasScale;
        if (hasScale) {
          u = gamma * steps.airspeedMps[s];
          if (input.usedYaw) {
            cross = Math.abs(u * steps.yawTangent[s]);
            freeCross = false;
          }
          gap += (u - v - head) * dt;
          rawSum += steps.airspeedMps[s] * dt;
        } else u = v + head;
        const speed = Math.sqrt(u * u + cross * cross) || 1e-9;
        air += half * speed * u;
        if (hasMeanSquare) {
          // |V| u ≈ u² + c²/2, c² = Q − (M·h)².
          const j = firstMean + 2 * stepMean[s];
          const portion = stepMeanShare[s];
          const slow =
            ((1 - portion) * x[j] + portion * x[j + 2]) * he +
            ((1 - portion) * x[j + 1] + portion * x[j + 3]) * hn;
          air += 0.5 * half * (meanSquare + levels.gustVarianceM2PerS2 - slow * slow);
          byMeanSquare += 0.5 * half;
          const pull = -half * slow;
          const o = 2 * (stepMean[s] - firstMeanKnot);
          slowPull[o] += pull * (1 - portion) * he;
          slowPull[o + 1] += pull * (1 - portion) * hn;
          slowPull[o + 2] += pull * portion * he;
          slowPull[o + 3] += pull * portion * hn;
        }
        meanAir += u * dt;
        meanCross += Math.abs(cross) * dt;
        if (!jacobian) {
          const dUm = speed + (u * u) / speed;
          aroundForce += half * dUm;
          continue;
        }
        const dU = speed + (u * u) / speed;
        const dC = (u * cross) / speed;
        aroundForce += half * dU;
        if (hasScale) byScale += half * dU * steps.airspeedMps[s];
        if (hasHeading) {
          const o = 2 * (k - firstKnot);
          lastKnot = Math.max(lastKnot, k);
          let ge = 0;
          let gn = 0;
          if (!hasScale) {
            ge = dU * he;
            gn = dU * hn;
          }
          if (freeCross) {
            ge -= dC * hn;
            gn += dC * he;
          }
          touched[o] += half * ge * (1 - share);
          touched[o + 1] += half * gn * (1 - share);
          touched[o + 2] += half * ge * share;
          touched[o + 3] += half * gn * share;
          along[o] += he * dt * (1 - share);
          along[o + 1] += hn * dt * (1 - share);
          along[o + 2] += he * dt * share;
          along[o + 3] += hn * dt * share;
        }
      }
      if (closedRows) {
        // Crosswind squared: what the lap's mean square leaves beside the part along the road.
        for (let s = from; s < to; s++) {
          air += 0.25 * steps.densityKgM3[s] * steps.speedMps[s] * steps.dtS[s] * blindCross[r];
        }
      }
      rowAirspeed[r] = meanAir / row.durationS;
      rowCrosswind[r] = meanCross / row.durationS;
      // Height at entry and exit: the table, and the correction on straight lines between gates.
      const cellWidth = gateM[row.cell + 1] - gateM[row.cell];
      const g0 = heightUnknown(row.cell);
      const g1 = heightUnknown(row.cell + 1);
      const travel = (row.leavesM - row.entersM) / cellWidth;
      const c0 = g0 >= 0 ? x[g0] : 0;
      const c1 = g1 >= 0 ? x[g1] : 0;
      const rise = row.riseM + travel * (c1 - c0);
      const available = airWorkJ(row, input.efficiency, rise);
      energyResidual[r] = available - area * air;
      // Sensors of common quality: power 1.5 % white at 1 Hz, speed at a crossing 0.03 m/s.
      const meanPower = Math.max(60, row.workJ / row.durationS);
      const meanSpeed = row.distanceM / row.durationS;
      const sensor =
        (0.015 * meanPower) ** 2 * row.durationS +
        2 * (row.effectiveMassKg * meanSpeed * 0.03) ** 2;
      const perGust = (area * aroundForce) / row.durationS;
      const gust = hasScale ? 0 : perGust * perGust * levels.gustM2PerS * row.durationS;
      // Held still within a step: only so does a lower objective mean a better fit.
      if (freshVariance) energyVariance[r] = levels.energyFactor * sensor + gust;
      const z2 = energyResidual[r] ** 2 / energyVariance[r];
      objective += (robustDegrees + 1) * Math.log1p(z2 / robustDegrees) + Math.log(energyVariance[r]);
      if (airRows) {
        airResidual[r] = gap;
        airVariance[r] = levels.gustM2PerS * row.durationS;
        objective += gap ** 2 / airVariance[r] + Math.log(airVariance[r]);
      }
      if (!jacobian) continue;
      weight[r] = (robustDegrees + 1) / (robustDegrees + z2);
      const ei = energyIndex[r];
      const ev = energyValue[r];
      let n = 0;
      if (hasHeading) {
        const knotsTouched = lastKnot - firstKnot + 2;
        for (let q = 0; q < 2 * knotsTouched; q++) {
          if (touched[q] === 0) continue;
          ei[n] = 2 * firstKnot + q;
          ev[n++] = area * touched[q];
        }
      }
      ei[n] = firstLap + row.lap;
      ev[n++] = air;
      const weightRise = row.massKg * standardGravityMps2 * travel;
      if (g0 >= 0) {
        ei[n] = g0;
        ev[n++] = -weightRise;
      }
      if (g1 >= 0) {
        ei[n] = g1;
        ev[n++] = weightRise;
      }
      if (hasScale) {
        ei[n] = scaleAt;
        ev[n++] = area * byScale;
      }
      if (hasMeanSquare) {
        byMeanSquareOf[r] = area * byMeanSquare;
        for (let q = 0; q < 8; q++) {
          if (slowPull[q] === 0) continue;
          ei[n] = firstMean + 2 * firstMeanKnot + q;
          ev[n++] = area * slowPull[q];
        }
      }
      energyCount[r] = n;
      if (airRows) {
        const ai = airIndex[r];
        const av = airValue[r];
        let a = 0;
        const knotsTouched = lastKnot - firstKnot + 2;
        for (let q = 0; q < 2 * knotsTouched; q++) {
          if (along[q] === 0) continue;
          ai[a] = 2 * firstKnot + q;
          av[a++] = along[q];
        }
        ai[a] = scaleAt;
        av[a++] = -rawSum;
        airCount[r] = a;
      }
    }
    if (closedRows) {
      closedGap.fill(0);
      closedByScale.fill(0);
      closedVariance.fill(0);
      const ridden = new Float64Array(lapCount);
      for (const row of rows) {
        for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
          const v = steps.speedMps[s];
          closedGap[row.lap] += (gamma * steps.airspeedMps[s] - v) * v * steps.dtS[s];
          closedByScale[row.lap] += steps.airspeedMps[s] * v * steps.dtS[s];
          closedVariance[row.lap] += levels.gustM2PerS * v * v * steps.dtS[s];
        }
        ridden[row.lap] += row.distanceM;
      }
      for (let l = 0; l < lapCount; l++) {
        if (ridden[l] === 0) continue;
        // A part of the lap that is left out leaves its wind unbalanced: 4 m/s allowed for it.
        closedVariance[l] += (4 * Math.max(0, course.lapLengthM - ridden[l])) ** 2;
        objective += closedGap[l] ** 2 / closedVariance[l];
      }
    }
    // Priors.
    if (hasHeading) {
      eachWindPrior((count, variance) => {
        let residual = 0;
        for (let i = 0; i < count; i++) residual -= priorValue[i] * x[priorIndex[i]];
        objective += residual ** 2 / variance + Math.log(variance);
      });
    }
    for (let g = firstHeight; g < scaleAt; g++) objective += (x[g] / heightPrior) ** 2;
    for (let l = firstLap; l < firstHeight; l++) objective += ((x[l] - 0.25) / 2) ** 2;
    if (hasScale) {
      objective += ((x[scaleAt] - 1) / airspeedScalePrior) ** 2;
      // The gusts are in the reading, so its density carries the scale: without this term the fit
      // would shrink the scale to shrink the gusts.
      if (airRows) objective -= 2 * rowCount * Math.log(Math.max(1e-3, x[scaleAt]));
    }
    return objective;
  }

  /**
   * Visits each prior of the wind as a row (priorIndex, priorValue) whose product with the unknowns
   * has mean zero and the given variance: gusts as an Ornstein-Uhlenbeck process about a slow mean
   * that is itself a random walk.
   */
  function eachWindPrior(
    visit: (count: number, variance: number, kind: 'gust' | 'mean', spanS: number) => void,
  ): void {
    for (let k = 0; k < knots.length; k++) {
      const decay = k === 0 ? 0 : Math.exp(-(knots[k] - knots[k - 1]) / levels.gustTimeS);
      const variance = levels.gustVarianceM2PerS2 * (1 - decay * decay);
      for (let c = 0; c < 2; c++) {
        let n = 0;
        priorIndex[n] = 2 * k + c;
        priorValue[n++] = 1;
        const j = meanAt[k];
        const share = meanShare[k];
        const here = [1 - share, share];
        if (k > 0) {
          priorIndex[n] = 2 * k - 2 + c;
          priorValue[n++] = -decay;
          const before = meanAt[k - 1];
          const beforeShare = meanShare[k - 1];
          if (before === j) {
            here[0] -= decay * (1 - beforeShare);
            here[1] -= decay * beforeShare;
          } else {
            priorIndex[n] = firstMean + 2 * before + c;
            priorValue[n++] = decay * (1 - beforeShare);
            if (before + 1 === j) here[0] -= decay * beforeShare;
            else {
              priorIndex[n] = firstMean + 2 * (before + 1) + c;
              priorValue[n++] = decay * beforeShare;
            }
          }
        }
        priorIndex[n] = firstMean + 2 * j + c;
        priorValue[n++] = -here[0];
        priorIndex[n] = firstMean + 2 * (j + 1) + c;
        priorValue[n++] = -here[1];
        visit(n, variance, 'gust', 0);
      }
    }
    for (let j = 0; j < meanKnots.length; j++) {
      const at = firstMean + 2 * j;
      if (j === 0) {
        for (let c = 0; c < 2; c++) {
          priorIndex[0] = at + c;
          priorValue[0] = 1;
          visit(1, windPriorMps ** 2, 'mean', 0);
        }
        continue;
      }
      const span = meanKnots[j] - meanKnots[j - 1];
      const re = alongWind[2 * j];
      const rn = alongWind[2 * j + 1];
      for (let c = 0; c < 2; c++) {
        const [pe, pn] = c === 0 ? [re, rn] : [-rn, re];
        priorIndex[0] = at;
        priorValue[0] = pe;
        priorIndex[1] = at + 1;
        priorValue[1] = pn;
        priorIndex[2] = at - 2;
        priorValue[2] = -pe;
        priorIndex[3] = at - 1;
        priorValue[3] = -pn;
        visit(4, levels.wanderM2PerS3 * span * (c === 0 ? levels.speedShare : 1), 'mean', span);
      }
    }
  }

  /** Unit vector of the slow wind at each of its knots; held still within a step of the fit. */
  function setAlongWind(): void {
    for (let j = 1; j < meanKnots.length; j++) {
      const at = firstMean + 2 * j;
      const east = x[at] + x[at - 2];
      const north = x[at + 1] + x[at - 1];
      const size = Math.hypot(east, north);
      alongWind[2 * j] = size > 0.2 ? east / size : 1;
      alongWind[2 * j + 1] = size > 0.2 ? north / size : 0;
    }
  }

  const pairIndex = new Int32Array(2);
  const pairValue = new Float64Array(2);
  function assemble(): void {
    system.clear();
    for (let r = 0; r < rowCount; r++) {
      system.add(
        energyIndex[r],
        energyValue[r],
        energyCount[r],
        weight[r] / energyVariance[r],
        energyResidual[r],
      );
      if (airRows) {
        system.add(airIndex[r], airValue[r], airCount[r], 1 / airVariance[r], airResidual[r]);
      }
    }
    const prior = (index: number, target: number, sd: number) => {
      pairIndex[0] = index;
      pairValue[0] = 1;
      system.add(pairIndex, pairValue, 1, 1 / sd ** 2, target - x[index]);
    };
    if (hasHeading) {
      eachWindPrior((count, variance) => {
        let residual = 0;
        for (let i = 0; i < count; i++) residual -= priorValue[i] * x[priorIndex[i]];
        system.add(priorIndex, priorValue, count, 1 / variance, residual);
      });
    }
    for (let g = firstHeight; g < scaleAt; g++) prior(g, 0, heightPrior);
    for (let l = firstLap; l < firstHeight; l++) prior(l, 0.25, 2);
    if (closedRows) {
      pairIndex[0] = scaleAt;
      for (let l = 0; l < lapCount; l++) {
        if (closedVariance[l] === 0) continue;
        pairValue[0] = closedByScale[l];
        system.add(pairIndex, pairValue, 1, 1 / closedVariance[l], -closedGap[l]);
      }
    }
    if (hasScale) {
      prior(scaleAt, 1, airspeedScalePrior);
      if (airRows) {
        pairIndex[0] = scaleAt;
        pairValue[0] = 1;
        const gamma = x[scaleAt];
        system.add(pairIndex, pairValue, 1, rowCount / gamma ** 2, gamma);
      }
    }
  }

  function learnLevels(factor: BorderedFactor): void {
    // Fixed point: variance = sum of squares / (observations − what the fit used up of them).
    let squares = 0;
    let free = 0;
    if (airRows) {
      for (let r = 0; r < rowCount; r++) {
        const used = factor.varianceOf(airIndex[r], airValue[r], airCount[r]) / airVariance[r];
        squares += airResidual[r] ** 2 / rows[r].durationS;
        free += Math.max(0, 1 - used);
      }
      levels.gustM2PerS = Math.max(1e-4, squares / Math.max(1, free));
    }
    let energySquares = 0;
    let energyFree = 0;
    for (let r = 0; r < rowCount; r++) {
      const used =
        (weight[r] * factor.varianceOf(energyIndex[r], energyValue[r], energyCount[r])) /
        energyVariance[r];
      energySquares += (weight[r] * energyResidual[r] ** 2) / energyVariance[r];
      energyFree += Math.max(0, 1 - used);
    }
    const ratio = energySquares / Math.max(1, energyFree);
    const bounded = Math.min(3, Math.max(1 / 3, ratio));
    if (hasScale || !hasHeading) {
      levels.energyFactor = Math.min(400, Math.max(0.05, levels.energyFactor * bounded));
    }
    if (closedRows) {
      let excess = 0;
      let laps = 0;
      for (let l = 0; l < lapCount; l++) {
        if (closedVariance[l] === 0) continue;
        excess += closedGap[l] ** 2 / closedVariance[l];
        laps++;
      }
      const ratio = Math.min(4, Math.max(0.25, (excess + 1) / Math.max(1, laps)));
      levels.gustM2PerS = Math.min(50, Math.max(0.05, levels.gustM2PerS * ratio));
    }
    if (hasHeading) {
      let gustSquares = 0;
      let gustFree = 0;
      let wander = 0;
      let wanderFree = 0;
      eachWindPrior((count, variance, kind, span) => {
        if (kind === 'mean' && span === 0) return;
        let product = 0;
        for (let i = 0; i < count; i++) product += priorValue[i] * x[priorIndex[i]];
        const left = factor.varianceOf(priorIndex, priorValue, count) / variance;
        if (kind === 'gust') {
          gustSquares += product ** 2 / variance;
          gustFree += Math.max(0, 1 - left);
        } else {
          wander += product ** 2 / variance;
          wanderFree += Math.max(0, 1 - left);
        }
      });
      const bound = (value: number) => Math.min(4, Math.max(0.25, value));
      const gustRatio = bound((gustSquares + 1) / (gustFree + 1)) ** eager;
      levels.gustVarianceM2PerS2 = Math.min(
        25,
        Math.max(1e-3, levels.gustVarianceM2PerS2 * gustRatio),
      );
      // Without a sensor the two gust levels cannot be told apart: the quick one follows.
      if (!hasScale) levels.gustM2PerS = quickGustS * levels.gustVarianceM2PerS2;
      levels.wanderM2PerS3 = Math.min(
        5e-3,
        Math.max(1e-6, levels.wanderM2PerS3 * bound((wander + 2) / (wanderFree + 2)) ** eager),
      );
    }
  }

  let damping = 1e-4;
  setAlongWind();
  let objective = evaluate(true, true);
  let converged = false;
  const most = input.fixedLevels ? 8 : 30;
  for (let iteration = 0; iteration < most && !converged; iteration++) {
    assemble();
    const before = x.slice();
    let moved = Infinity;
    let factor: BorderedFactor | null = null;
    for (let attempt = 0; attempt < 10; attempt++) {
      factor = system.factorise(damping);
      const step = factor.solve();
      for (let i = 0; i < total; i++) x[i] = before[i] + step[i];
      const trial = evaluate(true);
      if (trial <= objective + 1e-7 * Math.abs(objective)) {
        moved = 0;
        for (let l = firstLap; l < firstHeight; l++) moved = Math.max(moved, Math.abs(step[l]));
        objective = trial;
        damping = Math.max(1e-8, damping / 10);
        break;
      }
      x.set(before);
      damping = Math.max(1e-5, damping * 10);
    }
    if (moved === Infinity) {
      // No step lowers the objective any more: at the bottom, to rounding.
      evaluate(true);
      converged = true;
      break;
    }
    let changed = 0;
    if (!input.fixedLevels) {
      const old = { ...levels };
      if (damping > 1e-6) {
        assemble();
        factor = system.factorise(0);
      }
      learnLevels(factor!);
      setAlongWind();
      if (closedRows) {
        const square = new Float64Array(lapCount);
        const time = new Float64Array(lapCount);
        rows.forEach((row, r) => {
          const head = rowAirspeed[r] - row.distanceM / row.durationS;
          square[row.lap] += head * head * row.durationS;
          time[row.lap] += row.durationS;
        });
        rows.forEach((row, r) => {
          const head = rowAirspeed[r] - row.distanceM / row.durationS;
          blindCross[r] = (2 * square[row.lap]) / time[row.lap] - head * head;
        });
      }
      if (hasMeanSquare && iteration < 6) {
        // The wind lies across the road as likely as along it: twice the mean square seen along.
        let square = 0;
        let time = 0;
        for (let s = 0; s < steps.count; s++) {
          const j = firstMean + 2 * stepMean[s];
          const portion = stepMeanShare[s];
          const slow =
            ((1 - portion) * x[j] + portion * x[j + 2]) * steps.headingEast[s] +
            ((1 - portion) * x[j + 1] + portion * x[j + 3]) * steps.headingNorth[s];
          square += slow * slow * steps.dtS[s];
          time += steps.dtS[s];
        }
        meanSquare = Math.max(0.5, (2 * square) / time);
      }
      changed = Math.max(
        Math.abs(Math.log(levels.gustM2PerS / old.gustM2PerS)),
        Math.abs(Math.log(levels.gustVarianceM2PerS2 / old.gustVarianceM2PerS2)),
        Math.abs(Math.log(levels.energyFactor / old.energyFactor)),
        0.3 * Math.abs(Math.log(levels.wanderM2PerS3 / old.wanderM2PerS3)),
      );
    }
    objective = evaluate(true, true);
    converged = moved < 3e-5 && changed < 0.06;
  }
  assemble();
  const factor = system.factorise(0);

  // How the laps' drag areas follow the constants, by the same linear solution.
  const sensitivityTo = (byConstant: (row: BalanceRow, r: number) => number): Float64Array => {
    system.rightBand.fill(0);
    system.rightBorder.fill(0);
    for (let r = 0; r < rowCount; r++) {
      system.addRight(
        energyIndex[r],
        energyValue[r],
        energyCount[r],
        weight[r] / energyVariance[r],
        byConstant(rows[r], r),
      );
    }
    return factor.solve().slice(firstLap, firstHeight);
  };
  const g = standardGravityMps2;
  const sensitivity: Sensitivities = {
    crr: sensitivityTo((row) => -row.massKg * g * row.distanceM),
    massKg: sensitivityTo(
      (row) => -row.kineticPerKg - g * row.riseM - row.crr * g * row.distanceM,
    ),
    efficiency: sensitivityTo((row) => row.workJ),
    meanSquareM2PerS2: sensitivityTo((_row, r) => -byMeanSquareOf[r]),
  };

  const covariance = new Float64Array(lapCount * lapCount);
  for (let a = 0; a < lapCount; a++) {
    for (let b = 0; b < lapCount; b++) {
      covariance[a * lapCount + b] = factor.covariance(firstLap + a, firstLap + b);
    }
  }
  const ridden = new Uint8Array(lapCount);
  for (const row of rows) ridden[row.lap] = 1;
  const cdaM2 = Float64Array.from({ length: lapCount }, (_, l) =>
    ridden[l] ? x[firstLap + l] : NaN,
  );
  const correction = new Float64Array(gates);
  for (let g = 0; g < gates; g++) {
    const i = heightUnknown(g);
    correction[g] = i >= 0 ? x[i] : 0;
  }
  return {
    sensitivity,
    cdaM2,
    covariance,
    meanSquareM2PerS2: hasMeanSquare ? meanSquare : NaN,
    airspeedScale: hasScale ? x[scaleAt] : NaN,
    airspeedScaleVariance: hasScale ? factor.covariance(scaleAt, scaleAt) : NaN,
    knotsS: Float64Array.from(knots),
    windEast: Float64Array.from(knots, (_, k) => (hasHeading ? x[2 * k] : NaN)),
    windNorth: Float64Array.from(knots, (_, k) => (hasHeading ? x[2 * k + 1] : NaN)),
    heightCorrectionM: correction,
    levels,
    logEvidence: -0.5 * (objective + factor.logDeterminant),
    residualZ: energyResidual.map((value, r) => value / Math.sqrt(energyVariance[r])),
    weight,
    rowAirspeed,
    rowCrosswind,
    unknowns: x,
    converged,
  };
}

function layMeanKnots(knots: number[]): number[] {
  const first = knots[0];
  const last = knots[knots.length - 1];
  const pieces = Math.max(1, Math.round((last - first) / meanSpacingS));
  return Array.from({ length: pieces + 1 }, (_, j) => first + (j / pieces) * (last - first));
}

function layKnots(spans: { fromS: number; toS: number }[]): number[] {
  const knots: number[] = [];
  const sorted = [...spans].sort((a, b) => a.fromS - b.fromS);
  for (const { fromS, toS } of sorted) {
    const pieces = Math.max(1, Math.round((toS - fromS) / knotSpacingS));
    for (let k = 0; k <= pieces; k++) {
      const t = fromS + (k / pieces) * (toS - fromS);
      if (knots.length === 0 || t > knots[knots.length - 1] + 1) knots.push(t);
    }
  }
  return knots;
}
