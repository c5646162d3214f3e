import { degToRad, standardGravityMps2 } from '../core/units/index.ts';
import { randomStream, wander } from './random.ts';
import { forcesAt, stepSpeed } from './motion.ts';
import { speedLimits } from './turning.ts';
import type { FilledConditions, Incident, SimulatedSetup } from './conditions.ts';
import type { Course } from './course.ts';
import type { Wind } from './weather.ts';
import type { Machine, Surroundings } from './motion.ts';

/** Where the work went, J. `riderJ` is at the wheel, after the drivetrain. */
export interface EnergyLedger {
  riderJ: number;
  aeroJ: number;
  rollingJ: number;
  gradeJ: number;
  bearingJ: number;
  brakeJ: number;
  kineticStartJ: number;
  kineticEndJ: number;
  heightGainM: number;
}

/** A run as it truly was, once a second. */
export interface TrueRide {
  timeS: number[];
  /** At the moment of the sample. */
  speedMps: number[];
  /** Metres from the gate at which lap 1 begins, not wrapped. */
  wayM: number[];
  /** Means over the second before the sample. */
  crankPowerW: number[];
  airspeedMps: number[];
  crosswindMps: number[];
  /** Moments of passing the gate: laps + 1 of them. */
  gateTimesS: number[];
  /** Mean wind along the bike (headwind positive) for each lap. */
  lapHeadwindMps: number[];
  incidentTimesS: { incident: Incident; timeS: number }[];
  energy: EnergyLedger;
}

export interface RideInput {
  conditions: FilledConditions;
  course: Course;
  setup: SimulatedSetup;
  /** True CdA for each lap of this run, m². */
  lapCdaM2: number[];
  /** Null: calm. */
  wind: Wind | null;
  densityKgM3: number;
  targetPowerW: number;
  /** Names the random stream of the rider; null: a rider like clockwork. */
  riderStream: string | null;
  incidents: Incident[];
}

const forceLimitN = 180;
const brakeDecelerationMps2 = 2;
const turnBrakeMps2 = 1.5;

/** Rides all laps of one run from near rest, in steps of `conditions.stepS`, and eight seconds on. */
export function rideRun(input: RideInput): TrueRide {
  const { conditions, course, setup, wind, densityKgM3, lapCdaM2 } = input;
  const { rider, physics } = conditions;
  const dt = conditions.stepS;
  const lapLength = course.lapLengthM;
  const lapCount = lapCdaM2.length;
  const massKg = physics.massKg + setup.massOffsetKg;
  const machine: Machine = {
    massKg,
    effectiveMassKg: massKg + setup.wheelInertiaKgM2 / physics.wheelRadiusM ** 2,
    crr: physics.crr,
    bearingLosses: physics.bearingLosses,
  };
  const cruiseMps = lapLength / rider.lapTimeS;
  const random =
    input.riderStream === null ? null : randomStream(conditions.seed, input.riderStream);
  const slowWander = random && wander(random, rider.slowWander, 120);
  const quickWander = random && wander(random, rider.quickWander, 4);
  const runFactor = random ? 1 + rider.runWander * random.normal() : 1;
  const meanWind = wind
    ? { eastMps: wind.eastMps, northMps: wind.northMps }
    : { eastMps: 0, northMps: 0 };
  const limitAt = speedLimits({
    conditions,
    course,
    machine,
    halfRhoCda: 0.5 * densityKgM3 * lapCdaM2[0],
    meanWind,
    turnBrakeMps2,
  });

  const ride: TrueRide = {
    timeS: [],
    speedMps: [],
    wayM: [],
    crankPowerW: [],
    airspeedMps: [],
    crosswindMps: [],
    gateTimesS: [],
    lapHeadwindMps: new Array<number>(lapCount).fill(0),
    incidentTimesS: [],
    energy: {
      riderJ: 0,
      aeroJ: 0,
      rollingJ: 0,
      gradeJ: 0,
      bearingJ: 0,
      brakeJ: 0,
      kineticStartJ: 0.5 * machine.effectiveMassKg * rider.startSpeedMps ** 2,
      kineticEndJ: 0,
      heightGainM: 0,
    },
  };
  const startWay = conditions.course.kind === 'loop' ? -4 : -2;
  let way = startWay;
  let v = rider.startSpeedMps;
  const perSecond = Math.round(1 / dt);
  const lapSteps = new Array<number>(lapCount).fill(0);
  const waiting = [...input.incidents];
  let brakingTo: number | null = null;
  let sittingUp: { untilStep: number; factor: number } | null = null;
  let powerSum = 0;
  let airSum = 0;
  let crossSum = 0;
  const around: Surroundings = { halfRhoCda: 0, slope: 0, headwindMps: 0, crosswindMps: 0 };

  const lookAround = (lap: number, step: number): void => {
    const shelter = course.shelter(way);
    const heading = course.headingRad(way);
    const east = wind ? wind.eastMps * shelter : 0;
    const north = wind ? wind.northMps * shelter : 0;
    around.headwindMps = -(east * Math.sin(heading) + north * Math.cos(heading));
    around.crosswindMps = east * Math.cos(heading) - north * Math.sin(heading);
    around.slope = course.slope(way + 0.5 * v * dt);
    let cda = lapCdaM2[lap];
    if (physics.cdaYawSlopePerDeg !== 0) {
      const yaw = Math.atan2(Math.abs(around.crosswindMps), Math.abs(v + around.headwindMps));
      cda *= 1 - (physics.cdaYawSlopePerDeg * Math.min(yaw, degToRad(15))) / degToRad(1);
    }
    if (sittingUp) {
      if (step < sittingUp.untilStep) cda *= sittingUp.factor;
      else sittingUp = null;
    }
    around.halfRhoCda = 0.5 * densityKgM3 * cda;
  };

  const sample = (timeS: number, count: number): void => {
    ride.timeS.push(timeS);
    ride.speedMps.push(v);
    ride.wayM.push(way);
    ride.crankPowerW.push(powerSum / count);
    ride.airspeedMps.push(count === 1 ? v + around.headwindMps : airSum / count);
    ride.crosswindMps.push(count === 1 ? around.crosswindMps : crossSum / count);
    powerSum = airSum = crossSum = 0;
  };

  lookAround(0, 0);
  sample(0, 1);
  const longestS = 40 * rider.lapTimeS * lapCount;
  let finishedAt: number | null = null;
  for (let step = 0; ; step++) {
    const time = step * dt;
    if (time > longestS)
      throw new RangeError('cannot invent this day: the rider does not get round');
    const lap = Math.min(lapCount - 1, Math.max(0, Math.floor(way / lapLength)));
    wind?.step(dt);
    lookAround(lap, step);

    for (let i = 0; i < waiting.length; i++) {
      const incident = waiting[i];
      if (way < (incident.lap - 1) * lapLength + incident.atM) continue;
      waiting.splice(i--, 1);
      ride.incidentTimesS.push({ incident, timeS: time });
      if (incident.kind === 'braking') brakingTo = incident.toSpeedMps ?? 4;
      if (incident.kind === 'sitting-up') {
        sittingUp = {
          untilStep: step + Math.round((incident.seconds ?? 10) / dt),
          factor: incident.cdaFactor ?? 1.25,
        };
      }
    }

    // What the rider wants, before the road and the brakes have their say.
    const limit = limitAt(way);
    const faster = Math.min(0.6, Math.max(0, 1.5 * (v / cruiseMps - 1.1)));
    const uphill = Math.min(0.15, Math.max(-0.15, 4 * around.slope));
    const mood =
      1 + (slowWander ? slowWander.step(dt) : 0) + (quickWander ? quickWander.step(dt) : 0);
    const gettingGoing = Math.min(1, (time + 1) / 8);
    let wanted =
      input.targetPowerW * runFactor * mood * gettingGoing * (1 + rider.easing * (uphill - faster));
    wanted *= Math.min(1, Math.max(0, (limit.pedalMps - v) / 0.4));
    let brakeN = 0;
    if (brakingTo !== null) {
      if (v <= brakingTo) brakingTo = null;
      else brakeN = brakeDecelerationMps2 * massKg;
    } else if (v > limit.brakeMps) brakeN = turnBrakeMps2 * massKg;
    if (brakeN > 0 || finishedAt !== null) wanted = 0;
    wanted = Math.max(0, wanted);
    const driveN = Math.min(
      forceLimitN,
      (physics.drivetrainEfficiency * wanted) / Math.max(0.5, v),
    );

    const before = v;
    v = stepSpeed(before, dt, driveN - brakeN, machine, around);
    const advance = 0.5 * (before + v) * dt;
    const middle = 0.5 * (before + v);
    const f = forcesAt(middle, machine, around);
    ride.energy.riderJ += driveN * advance;
    ride.energy.brakeJ += brakeN * advance;
    ride.energy.aeroJ += f.aeroN * advance;
    ride.energy.rollingJ += f.rollingN * advance;
    ride.energy.gradeJ += f.gradeN * advance;
    ride.energy.bearingJ += f.bearingN * advance;

    powerSum += (driveN * middle) / physics.drivetrainEfficiency;
    airSum += middle + around.headwindMps;
    crossSum += around.crosswindMps;
    if (finishedAt === null && way >= 0) {
      ride.lapHeadwindMps[lap] += around.headwindMps;
      lapSteps[lap]++;
    }
    const gate = ride.gateTimesS.length * lapLength;
    if (ride.gateTimesS.length <= lapCount && way + advance >= gate) {
      // Within the step the speed changes evenly: solve way + before·τ + ½a·τ² = gate.
      const a = (v - before) / dt;
      const gap = gate - way;
      const root = Math.sqrt(Math.max(0, before * before + 2 * a * gap));
      ride.gateTimesS.push(time + (before + root > 0 ? (2 * gap) / (before + root) : dt));
      if (ride.gateTimesS.length === lapCount + 1) finishedAt = time;
    }
    way += advance;
    if ((step + 1) % perSecond === 0) {
      sample((step + 1) / perSecond, perSecond);
      if (finishedAt !== null && time > finishedAt + 8) break;
    }
  }
  ride.lapHeadwindMps = ride.lapHeadwindMps.map((sum, i) => sum / Math.max(1, lapSteps[i]));
  ride.energy.kineticEndJ = 0.5 * machine.effectiveMassKg * v * v;
  ride.energy.heightGainM = course.heightM(way) - course.heightM(startWay);
  return ride;
}

/** Work that the ledger cannot account for, J: zero up to the error of the integration. */
export function unaccountedJ(e: EnergyLedger): number {
  return (
    e.riderJ -
    e.aeroJ -
    e.rollingJ -
    e.gradeJ -
    e.bearingJ -
    e.brakeJ -
    (e.kineticEndJ - e.kineticStartJ)
  );
}

/** Potential energy gained, J, from the heights alone. */
export const potentialGainJ = (massKg: number, e: EnergyLedger): number =>
  massKg * standardGravityMps2 * e.heightGainM;
