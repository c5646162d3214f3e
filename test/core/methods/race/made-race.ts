/** Invented races for the tests. */
import { plainCourse, type Course, type PlainStretch } from '../../../../src/core/courses/index.ts';
import type { RaceEvidence } from '../../../../src/core/methods/race/evidence.ts';
import type { Bike, Rider } from '../../../../src/core/methods/race/model.ts';
import { newTape, rideRoad, type Tape } from '../../../../src/core/methods/race/ride.ts';
import { roadOf, type Conditions, type Road } from '../../../../src/core/methods/race/road.ts';

export const bike: Bike = {
  massKg: 82,
  wheelInertiaKgM2: 0.14,
  wheelRadiusM: 0.335,
  cdaM2: 0.31,
  yaw: null,
  crrOffset: 0,
};

export const rider: Rider = {
  drivetrainEfficiency: 0.975,
  startSpeedMps: 0,
  walkBelowMps: 1,
  bearingLosses: true,
};

export const conditions: Conditions = {
  air: { temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 50 },
  airHeightM: null,
  wind: null,
  crr: 0.004,
  surfaces: [],
  corners: null,
};

/** A road whose air is the same everywhere, for closed forms. */
export function evenAir(course: Course, densityKgM3: number, stepM?: number): Road {
  const road = roadOf(course, conditions, stepM);
  road.halfDensity.fill(densityKgM3 / 2);
  return road;
}

export const evenPower = (road: Road, powerW: number): Float64Array =>
  new Float64Array(road.steps).fill(powerW);

/** Time, speed at the end and the small steps of a ride. */
export function ridden(
  road: Road,
  powerW: Float64Array,
  of: { bike?: Bike; rider?: Rider } = {},
): { timeS: number; endMps: number; tape: Tape; elapsedS: Float64Array } {
  const tape = newTape(road.steps);
  const elapsedS = new Float64Array(road.steps + 1);
  const own = of.bike ?? bike;
  const timeS = rideRoad(road, own, of.rider ?? rider, powerW, undefined, elapsedS, tape);
  return { timeS, endMps: tape.toMps[tape.count - 1], tape, elapsedS };
}

export function evidenceOf(
  stretches: PlainStretch[],
  change: Partial<RaceEvidence> = {},
): RaceEvidence {
  const setup = (id: string, cdaM2: number) => ({
    id,
    name: id,
    cdaM2,
    yaw: null,
    massOffsetKg: 0,
    wheelInertiaKgM2: 0.14,
    crrOffset: 0,
    crrOffsetStandardUncertainty: 0,
  });
  return {
    name: 'Invented race',
    invented: true,
    course: plainCourse(stretches),
    conditions,
    system: { massKg: 82, wheelRadiusM: 0.335 },
    rider,
    power: { kind: 'constant', powerW: 250 },
    setups: [setup('shallow', 0.32), setup('deep', 0.312)],
    cdaCovariance: new Float64Array(4),
    reference: 'shallow',
    doubt: { massKg: 0, crr: 0, windMps: 0, airDensity: 0, power: 0 },
    draws: 400,
    plan: null,
    warnings: [],
    inputs: [],
    ...change,
  };
}
