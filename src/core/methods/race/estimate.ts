/** A course, the weather, a plan of power and setups: their times, their differences, and where those come from. */
import { LapbenchError } from '../../units/index.ts';
import { normal95 } from './covariance.ts';
import { drawTimes, interval95 } from './draws.ts';
import { energyOf, riddenPower } from './energy.ts';
import type { RaceEvidence } from './evidence.ts';
import { findPlan } from './find-plan.ts';
import type { Bike } from './model.ts';
import { powerBySteps } from './power-plan.ts';
import { cautions, remarksOf } from './remarks.ts';
import { alongOf, byKindOfRoad, walksOf } from './report.ts';
import type {
  RaceDifference,
  RaceFinding,
  RacePlan,
  RaceSensitivities,
  RaceSetup,
} from './result.ts';
import { newTape, rideRoad, type Shift } from './ride.ts';
import { roadOf, type Road } from './road.ts';
import { meanPowerW, weightedPowerW } from './weighted-power.ts';

/** Step of the drawn rides, m: against 1 m it moves a time by some parts in a million, and differences by less. */
const drawStepM = 20;
/** Where corners limit the speed, they must not fall between steps, m. */
const drawStepInCornersM = 10;

interface Ridden {
  setup: RaceSetup;
  elapsedS: Float64Array;
  riddenW: Float64Array;
}

/**
 * Rides the course on every setup.
 *
 * @throws LapbenchError `heading-missing` for wind by direction on a course without directions; `setup-unknown`
 */
export function estimateRace(evidence: RaceEvidence): RaceFinding {
  const { course, conditions } = evidence;
  refuse(evidence);
  const road = roadOf(course, conditions);
  const powerW = powerBySteps(evidence.power, road, course);
  const bikes = bikesOf(evidence);
  const reference = evidence.setups.findIndex(({ id }) => id === evidence.reference);

  const drawStep = conditions.corners ? drawStepInCornersM : drawStepM;
  const coarse = roadOf(course, conditions, Math.max(drawStep, course.stepM));
  const coarseW = powerBySteps(evidence.power, coarse, course);
  const plan = evidence.plan === null ? null : findPlan(evidence, road, bikes[reference], powerW);
  const planW = plan && wattsOf(plan, coarse);
  const drawn = drawTimes(evidence, coarse, bikes, coarseW, planW, reference);
  const plainS = bikes.map((bike) => rideRoad(coarse, bike, evidence.rider, coarseW));

  const gainOf = (gainS: number): [number, number] => {
    const coarseS = rideRoad(coarse, bikes[reference], evidence.rider, planW!);
    const gains = drawn[bikes.length].map((timeS, draw) => timeS - drawn[reference][draw]);
    return interval95(gains, gainS - (coarseS - plainS[reference]));
  };

  const rides = bikes.map((bike, i): Ridden => {
    const ride = rideOne(evidence, road, bike, powerW, i);
    const timeCi95 = interval95(drawn[i], ride.setup.timeS - plainS[i]);
    return { ...ride, setup: { ...ride.setup, timeCi95 } };
  });
  const setups = rides.map(({ setup }) => setup);
  const base = rides[reference];
  const differences = rides.flatMap((ride, i): RaceDifference[] => {
    if (i === reference) return [];
    const deltaS = ride.setup.timeS - base.setup.timeS;
    const apart = drawn[i].map((timeS, draw) => timeS - drawn[reference][draw]);
    const ci95 = interval95(apart, deltaS - (plainS[i] - plainS[reference]));
    return [
      {
        setup: ride.setup.id,
        reference: evidence.reference,
        deltaS,
        ci95,
        verdict: ci95[1] < 0 ? 'faster' : ci95[0] > 0 ? 'slower' : 'not separable',
        ...byKindOfRoad(road, ride.elapsedS, base.elapsedS),
      },
    ];
  });
  const others = rides
    .filter((_, i) => i !== reference)
    .map(({ setup, elapsedS }) => ({ setup: setup.id, elapsedS }));
  const topMps = topSpeed(road, base.elapsedS);
  return {
    schema: 'lapbench/race@1',
    name: evidence.name,
    invented: evidence.invented,
    course: courseFacts(evidence),
    reference: evidence.reference,
    setups,
    differences,
    sensitivities: sensitivitiesOf(evidence, coarse, bikes[reference], coarseW),
    along: alongOf(road, base.riddenW, others, base.elapsedS),
    plan: plan && { ...plan, gainCi95: gainOf(plan.gainS) },
    draws: evidence.draws,
    warnings: [...evidence.warnings, ...course.warnings, ...remarksOf(evidence, setups, topMps)],
    cautions: [...cautions],
    method: 'race 1',
    inputs: evidence.inputs,
  };
}

/** Watts of a plan by step of another road. */
function wattsOf({ stretches }: Pick<RacePlan, 'stretches'>, road: Road): Float64Array {
  let j = 0;
  return Float64Array.from({ length: road.steps }, (_, i) => {
    const middle = (i + 0.5) * road.stepM;
    while (j < stretches.length - 1 && stretches[j].toM <= middle) j += 1;
    return stretches[j].powerW;
  });
}

function refuse({ course, conditions, setups, reference }: RaceEvidence): void {
  const { wind } = conditions;
  if (wind && 'fromDeg' in wind && wind.speedMps > 0 && course.headingDeg === null) {
    throw new LapbenchError({
      code: 'heading-missing',
      message: 'The wind has a direction, and the course has none.',
      remedy: 'Give a course with positions (or headingDeg), or the wind as headMps.',
    });
  }
  if (!setups.some(({ id }) => id === reference)) {
    throw new LapbenchError({
      code: 'setup-unknown',
      message: `There is no setup ${JSON.stringify(reference)} to set the others against.`,
      remedy: `The setups are ${setups.map(({ id }) => id).join(', ')}.`,
    });
  }
}

function bikesOf({ setups, system }: RaceEvidence): Bike[] {
  return setups.map((setup) => ({
    massKg: system.massKg + setup.massOffsetKg,
    wheelInertiaKgM2: setup.wheelInertiaKgM2,
    wheelRadiusM: system.wheelRadiusM,
    cdaM2: setup.cdaM2,
    yaw: setup.yaw,
    crrOffset: setup.crrOffset,
  }));
}

function rideOne(
  evidence: RaceEvidence,
  road: Road,
  bike: Bike,
  powerW: Float64Array,
  i: number,
): Ridden {
  const { rider, setups } = evidence;
  const tape = newTape(road.steps);
  const elapsedS = new Float64Array(road.steps + 1);
  const timeS = rideRoad(road, bike, rider, powerW, undefined, elapsedS, tape);
  const riddenW = riddenPower(road, bike, rider, powerW, tape);
  const half = normal95 * Math.sqrt(evidence.cdaCovariance[i * (setups.length + 1)]);
  const setup: RaceSetup = {
    id: setups[i].id,
    name: setups[i].name,
    cdaM2: bike.cdaM2,
    cdaCi95: [bike.cdaM2 - half, bike.cdaM2 + half],
    massKg: bike.massKg,
    timeS,
    timeCi95: [timeS, timeS],
    meanSpeedMps: (road.steps * road.stepM) / timeS,
    meanPowerW: meanPowerW(elapsedS, riddenW),
    weightedPowerW: weightedPowerW(elapsedS, riddenW),
    energy: energyOf(road, bike, rider, powerW, tape),
    walks: walksOf(road, tape),
  };
  return { setup, elapsedS, riddenW };
}

/** What one unit of each costs, by small differences both ways. */
function sensitivitiesOf(
  { rider, conditions }: RaceEvidence,
  road: Road,
  bike: Bike,
  powerW: Float64Array,
): RaceSensitivities {
  const both = (of: (h: number) => number, h: number): number => (of(h) - of(-h)) / (2 * h);
  const shifted = (change: Partial<Shift>): number =>
    rideRoad(road, bike, rider, powerW, {
      density: 1,
      power: 1,
      crr: 0,
      windEastMps: 0,
      windNorthMps: 0,
      headMps: 0,
      sine: null,
      ...change,
    });
  const withBike = (change: Partial<Bike>): number =>
    rideRoad(road, { ...bike, ...change }, rider, powerW);
  const withCda = (h: number): number =>
    withBike({
      cdaM2: bike.cdaM2 + h,
      yaw: bike.yaw && { ...bike.yaw, cdaM2: bike.yaw.cdaM2.map((value) => value + h) },
    });
  const { wind } = conditions;
  const windBy = (h: number): number => {
    if (wind && 'headMps' in wind) return shifted({ headMps: h });
    const share = wind && wind.speedMps > 0 ? h / wind.speedMps : 0;
    return shifted({
      windEastMps: road.windEastMps * share,
      windNorthMps: road.windNorthMps * share,
    });
  };
  const still = wind === null || ('speedMps' in wind && wind.speedMps === 0);
  return {
    perThousandthM2: 0.001 * both(withCda, 0.001),
    perKg: both((h) => withBike({ massKg: bike.massKg + h }), 0.5),
    perTenThousandthCrr: 0.0001 * both((h) => shifted({ crr: h }), 0.0001),
    perWatt: both(
      (h) =>
        rideRoad(
          road,
          bike,
          rider,
          powerW.map((w) => Math.max(0, w + h)),
        ),
      0.5,
    ),
    perMpsOfWind: still ? null : both(windBy, 0.1),
  };
}

function courseFacts({ course, conditions }: RaceEvidence): RaceFinding['course'] {
  const squares = course.gradientStandardUncertainty.reduce((sum, sd) => sum + sd * sd, 0);
  return {
    name: course.name,
    lengthM: course.lengthM,
    climbM: course.climbM,
    stepM: course.stepM,
    closed: course.closed,
    gradientStandardUncertaintyPercent: 100 * Math.sqrt(squares / course.gradient.length),
    steepestPercent: 100 * course.gradient.reduce((most, g) => Math.max(most, g), -Infinity),
    corners: course.corners,
    cornersLimit: conditions.corners !== null && course.corners.length > 0,
  };
}

function topSpeed(road: Road, elapsedS: Float64Array): number {
  let top = 0;
  for (let i = 0; i < road.steps; i++) {
    top = Math.max(top, road.stepM / (elapsedS[i + 1] - elapsedS[i]));
  }
  return top;
}
