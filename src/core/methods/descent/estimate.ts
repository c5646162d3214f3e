import type { Descent, DescentLeg, DescentRide } from '../../evidence/index.ts';
import { airDensityKgM3, coolingAir, type CoolingAir } from '../../physics/index.ts';
import { mpsToKmh, type Problem } from '../../units/index.ts';
import { bandOf, guessCount, guessesOf, type DescentBand, type Doubt } from './band.ts';
import { brakeFinding } from './brake-finding.ts';
import type { Rest, RoadForces } from './braking.ts';
import { cautionsFor } from './cautions.ts';
import { convectionOf, fitOf } from './convection-finding.ts';
import { fitCoolDown, type CoolDownFit } from './cool-down-fit.ts';
import { energyOf, fallOf, lostOf } from './energy-finding.ts';
import { prepare, type PreparedDescent } from './heat.ts';
import { descentsInARow } from './in-a-row.ts';
import { bodyOf } from './parts.ts';
import { otherPlan, planRemarks, planRide, type PlannedRide, type Way } from './plan.ts';
import { trialsOf, variantOf, type Trial } from './remedies.ts';
import type { DescentFinding } from './result.ts';
import { nothingMeasured } from './spread.ts';

/** A descent with its road, or with the ride that was ridden. */
export interface DescentEvidence {
  sheet: Descent;
  /** The road from its top to its foot; for a ride, what was ridden. */
  legs: DescentLeg[];
  /** Null unless the plan is a ride. */
  ride: DescentRide | null;
  /** Relative standard uncertainty of the height lost; 0 where the sheet gives the slope. */
  heightDeviation: number;
  warnings: Problem[];
  inputs: { file: string; sha256: string }[];
}

/** Guesses for the finding, and for what is tried beside it. */
const manyGuesses = 256;
const fewGuesses = 64;

/**
 * Heat of both brakes on a descent as a band, laid against their limits.
 *
 * @throws LapbenchError `sheet-field` when pulses cannot keep the mean speed
 */
export function estimateDescent(evidence: DescentEvidence): DescentFinding {
  const { sheet } = evidence;
  const way: Way = { legs: evidence.legs, ride: evidence.ride };
  const density = airDensityKgM3({ ...sheet.air, relativeHumidityPercent: 50 });
  const air = coolingAir(sheet.air.temperatureC, density);
  const forces: RoadForces = {
    massKg: sheet.massKg,
    cdaM2: sheet.cdaM2,
    crr: sheet.crr,
    airDensityKgM3: density,
  };
  const planned = planRide(sheet.plan, way, forces);
  const descent = prepared(sheet, planned, air);
  const fit = sheet.coolDown
    ? fitCoolDown(bodyOf(sheet[sheet.coolDown.brake]), sheet.coolDown, density, sheet.wheelRadiusM)
    : null;
  const doubt: Doubt = {
    knowledge: fit?.knowledge ?? nothingMeasured,
    weighed: descent.front.body.weighed && descent.rear.body.weighed,
    heightDeviation: evidence.heightDeviation,
  };
  const guesses = guessesOf(doubt, guessCount(planned.steps.dtS.length, manyGuesses));
  const band = bandOf(descent, sheet, guesses);

  const tried = (trial: Pick<Trial, 'kind' | 'change' | 'sheet' | 'rests'>) =>
    variantOf(trial, tryOut(trial.sheet, trial.rests, way, forces, air, doubt));
  const remedies =
    band.verdict === 'within' ? [] : trialsOf(sheet, lengthOf(evidence.legs)).map(tried);
  const energy = energyOf(sheet, way, descent, planned, band);
  const few = guessesOf(doubt, guessCount(planned.steps.dtS.length, fewGuesses));
  const row = descentsInARow(descent, sheet, few, air, betweenOf(sheet, evidence.legs));
  const cooling = { guesses: [few.centre, ...few.others], ends: row.ends };
  const durationS = planned.steps.dtS.reduce((sum, one) => sum + one, 0);
  return {
    schema: 'lapbench/descent@1',
    title: sheet.title,
    invented: sheet.invented,
    front: brakeFinding('front', sheet, descent, band, cooling, air),
    rear: brakeFinding('rear', sheet, descent, band, cooling, air),
    verdict: band.verdict,
    limits: band.limits,
    cautions: cautionsFor(band.verdict),
    road: {
      lengthM: lengthOf(evidence.legs),
      fallM: fallOf(evidence.legs),
      lostM: lostOf(evidence.legs),
      fallUncertainty: evidence.heightDeviation,
      durationS,
      meanKmh: mpsToKmh(lengthOf(evidence.legs) / durationS),
      fastestKmh: mpsToKmh(planned.fastestMps),
      plan: planned.words,
    },
    energy,
    dragAndPulse: dragAndPulse(sheet, way, forces, air, doubt, band),
    remedies,
    bringsBack: remedies.some((one) => one.verdict === 'within'),
    inARow: {
      within: row.within,
      noLimitFound: row.noLimitFound,
      betweenS: row.betweenS,
      betweenKmh: mpsToKmh(row.betweenMps),
      peaksC: row.peaksC,
    },
    coolDownFit: fitOf(sheet, fit, air),
    convection: convectionOf(descent, sheet, air, doubt),
    trace: traceOf(planned, band),
    warnings: [
      ...evidence.warnings,
      ...planRemarks(planned, sheet, energy.brakedJ),
      ...fitRemarks(sheet, fit),
      ...goneRemarks(band),
    ],
    method: 'descent 1',
    inputs: evidence.inputs,
  };
}

const lengthOf = (legs: readonly DescentLeg[]): number =>
  legs.reduce((sum, leg) => sum + leg.lengthM, 0);
function prepared(sheet: Descent, planned: PlannedRide, air: CoolingAir): PreparedDescent {
  const bodies = { front: bodyOf(sheet.front), rear: bodyOf(sheet.rear) };
  return prepare(planned.steps, bodies, air, sheet);
}

function tryOut(
  sheet: Descent,
  rests: Rest[],
  way: Way,
  forces: RoadForces,
  air: CoolingAir,
  doubt: Doubt,
): DescentBand {
  const planned = planRide(sheet.plan, way, forces, rests);
  const descent = prepared(sheet, planned, air);
  const count = guessCount(planned.steps.dtS.length, fewGuesses);
  return bandOf(descent, sheet, guessesOf(doubt, count));
}

/** The way back up at the given speed, two hours at most, unless minutes are given. */
function betweenOf(sheet: Descent, legs: readonly DescentLeg[]) {
  const { minutes, speedMps } = sheet.between;
  const back = speedMps > 0 ? lengthOf(legs) / speedMps : 600;
  return { seconds: minutes === null ? Math.min(7200, back) : 60 * minutes, speedMps };
}

function dragAndPulse(
  sheet: Descent,
  way: Way,
  forces: RoadForces,
  air: CoolingAir,
  doubt: Doubt,
  band: DescentBand,
): DescentFinding['dragAndPulse'] {
  const other = otherPlan(sheet.plan, way, forces);
  if (other === null) return null;
  const pulsePlan = sheet.plan.kind === 'pulse' ? sheet.plan : other;
  if (pulsePlan.kind !== 'pulse') return null;
  const pulsed = planRide(pulsePlan, way, forces);
  const otherBand = tryOut({ ...sheet, plan: other }, [], way, forces, air, doubt);
  const [drag, pulse] = sheet.plan.kind === 'drag' ? [band, otherBand] : [otherBand, band];
  return {
    drag: variantOf({ kind: 'drag', change: 'dragging' }, drag),
    pulse: {
      ...variantOf({ kind: 'pulse', change: pulsed.words }, pulse),
      onS: pulsePlan.onS,
      offS: pulsePlan.offS,
      fastestKmh: mpsToKmh(pulsed.fastestMps),
      hardestShare: pulsed.hardestShare ?? 0,
    },
  };
}

function fitRemarks({ coolDown }: Descent, fit: CoolDownFit | null): Problem[] {
  const warnings: Problem[] = [];
  if (fit?.widened) {
    warnings.push({
      code: 'readings-contradict',
      place: { field: 'cooldown.readings' },
      message: `The readings of the cool-down lie ${fit.scatterK.toFixed(0)} K from the curve of cooling that fits them best; the interval is widened for it.`,
      remedy: 'Check the times, that the brake was off, and that the speed was steady.',
    });
  }
  if (coolDown && coolDown.speedMps < 1) {
    warnings.push({
      code: 'value-invalid',
      place: { field: 'cooldown.kmh' },
      message: 'A cool-down while standing says next to nothing of how the ride cools the brakes.',
      remedy:
        'Use a logger, or read at short stops of a steady roll away from traffic; never read while riding.',
    });
  }
  return warnings;
}

/** Where steel’s own data end, °C (EN 1993-1-2). */
const dataEndC = 1200;

function goneRemarks({ front, rear }: DescentBand): Problem[] {
  if (Math.max(front.peakCi95[1], rear.peakCi95[1]) <= dataEndC) return [];
  return [
    {
      code: 'value-invalid',
      message: `Temperatures above ${dataEndC} °C only mean that the rotor is gone: the data of its steel end there.`,
      remedy: 'Check mass, gradient and speed if that is not what was meant.',
    },
  ];
}

const mostPlaces = 240;

function traceOf(
  { steps }: PlannedRide,
  { front, rear, powerW }: DescentBand,
): DescentFinding['trace'] {
  const every = Math.ceil(steps.dtS.length / mostPlaces);
  const trace: DescentFinding['trace'] = {
    timeS: [],
    speedKmh: [],
    brakeW: [],
    frontC: [],
    rearC: [],
  };
  let time = 0;
  steps.dtS.forEach((dtS, i) => {
    time += dtS;
    if ((i + 1) % every !== 0 && i !== steps.dtS.length - 1) return;
    trace.timeS.push(time);
    trace.speedKmh.push(mpsToKmh(steps.speedMps[i]));
    trace.brakeW.push(powerW[i]);
    trace.frontC.push(front.centre.trackC?.[i] ?? NaN);
    trace.rearC.push(rear.centre.trackC?.[i] ?? NaN);
  });
  return trace;
}
