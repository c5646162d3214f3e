/** The plan of least time for the reference, told against the plan of the sheet. */
import { bestPlan } from './best-plan.ts';
import { riddenPower } from './energy.ts';
import type { RaceEvidence } from './evidence.ts';
import type { Bike } from './model.ts';
import { powerBySteps } from './power-plan.ts';
import type { RacePlan } from './result.ts';
import { newTape, rideRoad } from './ride.ts';
import { roadOf, type Road } from './road.ts';
import { meanPowerW, weightedPowerW } from './weighted-power.ts';

/** Stretches are no shorter than the half minute over which the weighted mean looks, at usual speeds, m. */
const shortestStretchM = 250;
const mostStretches = 160;
/** Step of the search, m; the plan found is ridden again on the course's own steps. */
const searchStepM = 10;
/** Without a bound from the sheet: this many times the highest power of its plan. */
const usualMost = 1.5;

/** Rides a plan on the whole road: time, mean and weighted power as ridden. */
function ridden(road: Road, bike: Bike, evidence: RaceEvidence, powerW: Float64Array) {
  const tape = newTape(road.steps);
  const elapsedS = new Float64Array(road.steps + 1);
  const timeS = rideRoad(road, bike, evidence.rider, powerW, undefined, elapsedS, tape);
  const riddenW = riddenPower(road, bike, evidence.rider, powerW, tape);
  return {
    timeS,
    mean: meanPowerW(elapsedS, riddenW),
    weighted: weightedPowerW(elapsedS, riddenW),
  };
}

function meansByStretch(powerW: Float64Array, stretches: number): Float64Array {
  const n = powerW.length;
  return Float64Array.from({ length: stretches }, (_, j) => {
    const [from, to] = [Math.round((j * n) / stretches), Math.round(((j + 1) * n) / stretches)];
    let sum = 0;
    for (let i = from; i < to; i++) sum += powerW[i];
    return sum / (to - from);
  });
}

export function findPlan(
  evidence: RaceEvidence,
  road: Road,
  bike: Bike,
  sheetW: Float64Array,
): Omit<RacePlan, 'gainCi95'> {
  const { course, conditions, rider, plan } = evidence;
  const { holds, leastW } = plan!;
  const mostW = plan!.mostW ?? usualMost * sheetW.reduce((most, w) => Math.max(most, w), 0);
  const search = roadOf(course, conditions, Math.max(searchStepM, course.stepM));
  const stretches = Math.min(
    mostStretches,
    search.steps,
    Math.max(1, Math.round(course.lengthM / shortestStretchM)),
  );
  const found = bestPlan({
    road: search,
    bike,
    rider,
    startW: powerBySteps(evidence.power, search, course),
    exponent: holds === 'mean' ? 1 : 4,
    leastW,
    mostW,
    stretches,
  });
  const before = ridden(road, bike, evidence, sheetW);
  const heldW = before[holds];
  const clip = (w: number): number => Math.min(mostW, Math.max(leastW, w));
  const onRoad = (stretchW: Float64Array): Float64Array =>
    Float64Array.from({ length: road.steps }, (_, i) => {
      const step = Math.min(search.steps - 1, Math.floor((i * search.steps) / road.steps));
      return stretchW[Math.min(stretches - 1, Math.floor((step * stretches) / search.steps))];
    });
  // The search held the mean of its own stretches. Now the mean that is quoted is held, on the whole road.
  const held = (wished: Float64Array) => {
    let factor = 1;
    let stretchW = wished;
    let after = ridden(road, bike, evidence, onRoad(stretchW));
    for (let turn = 0; turn < 6 && Math.abs(after[holds] / heldW - 1) > 1e-7; turn++) {
      factor *= heldW / after[holds];
      stretchW = wished.map((w) => clip(w * factor));
      after = ridden(road, bike, evidence, onRoad(stretchW));
    }
    return { stretchW, ...after };
  };
  // Between the sheet's plan and the one found: the quoted mean may like less of the change.
  const sheetByStretch = meansByStretch(sheetW, stretches);
  const tried = [0, 0.5, 0.75, 1].map((share) =>
    held(sheetByStretch.map((w, k) => clip(w + share * (found.stretchW[k] - w)))),
  );
  const kept = tried.filter((one) => Math.abs(one[holds] / heldW - 1) < 1e-4);
  const after = (kept.length > 0 ? kept : tried.slice(0, 1)).reduce((a, b) =>
    b.timeS < a.timeS ? b : a,
  );
  const { stretchW } = after;
  const at = (j: number): number => Math.round((j * road.steps) / stretches);
  return {
    holds,
    heldW,
    timeS: after.timeS,
    gainS: after.timeS - before.timeS,
    meanPowerW: after.mean,
    weightedPowerW: after.weighted,
    leastW,
    mostW,
    stretches: Array.from(stretchW, (powerW, j) => {
      const [a, b] = [at(j), at(j + 1)];
      const sine = (road.altitudeM[b] - road.altitudeM[a]) / ((b - a) * road.stepM);
      return {
        fromM: a * road.stepM,
        toM: b * road.stepM,
        powerW,
        gradientPercent: (100 * sine) / Math.sqrt(Math.max(1e-9, 1 - sine * sine)),
      };
    }),
  };
}
