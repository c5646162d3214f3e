import { conditionsOf, runOrderOf } from './conditions.ts';
import { courseOf } from './course.ts';
import { measure } from './measure.ts';
import { randomStream, wander } from './random.ts';
import { rideRun } from './ride.ts';
import { airAt, windOf } from './weather.ts';
import type { FilledConditions, ConditionsInput, SimulatedSetup } from './conditions.ts';
import type { Course } from './course.ts';
import type { Recorded } from './measure.ts';
import type { EnergyLedger } from './ride.ts';

/** One run as recorded, with what really happened. */
export interface SimulatedRun extends Recorded {
  setup: string;
  /** Clock of the first sample, whole seconds since 1970-01-01 UTC. */
  startEpochS: number;
  /** Seconds from the day's first sample to this run's first. */
  dayTimeS: number;
  truth: {
    /** For each lap, m². */
    lapCdaM2: number[];
    /** Passing the gate, seconds from the first sample; laps + 1 of them. */
    gateTimesS: number[];
    /** Mean wind along the bike for each lap, m/s, headwind positive. */
    lapHeadwindMps: number[];
    airDensityKgM3: number;
    energy: EnergyLedger;
  };
}

/** An invented test day: recordings as a tester would bring them home, and the truth behind them. */
export interface SimulatedDay {
  conditions: FilledConditions;
  course: Course;
  setups: SimulatedSetup[];
  control: string;
  runs: SimulatedRun[];
  /** What is written on the day sheet. */
  stated: {
    massKg: number;
    massStandardUncertaintyKg: number;
    crr: number;
    crrStandardUncertainty: number;
    drivetrainEfficiency: number;
    powerScaleStandardUncertainty: number;
    temperatureC: number;
    pressureHPa: number;
    relativeHumidityPercent: number;
  };
  truth: {
    /** True CdA by setup id, m². */
    cdaM2: Record<string, number>;
    targetPowerW: number;
  };
}

/**
 * Rides an invented test day. The first setup is the control. Same conditions, same day, to the last
 * bit. Throws RangeError on conditions that cannot be ridden.
 */
export function simulateDay(input: ConditionsInput = {}): SimulatedDay {
  const conditions = conditionsOf(input);
  const { setups, physics, rider, lapsPerRun, stated } = conditions;
  const course = courseOf(conditions);
  const order = runOrderOf(conditions);
  const targetPowerW = rider.targetPowerW ?? powerForLapTime(conditions, course);

  const pauseS = Math.round(60 * conditions.changeoverMin);
  // Only for where in the day we are: weather trends and the meter's drift use the planned length.
  const plannedS = order.length * lapsPerRun * rider.lapTimeS + (order.length - 1) * pauseS;
  const wind = windOf(conditions, plannedS);
  const scatter = randomStream(conditions.seed, 'scatter');
  const barometer = wander(
    randomStream(conditions.seed, 'barometer'),
    conditions.sensors.altitudeWanderM,
    600,
  );
  const airOfDay = (part: number) => airAt(conditions, part);

  const runs: SimulatedRun[] = [];
  let dayTimeS = 0;
  order.forEach((id, runIndex) => {
    const setup = setups.find((candidate) => candidate.id === id) as SimulatedSetup;
    const remount = 1 + physics.runScatter * scatter.normal();
    const lapCdaM2 = Array.from(
      { length: lapsPerRun },
      () => setup.cdaM2 * remount * (1 + physics.lapScatter * scatter.normal()),
    );
    const middle = (dayTimeS + (lapsPerRun * rider.lapTimeS) / 2) / plannedS;
    const { densityKgM3 } = airOfDay(middle);
    const ride = rideRun({
      conditions,
      course,
      setup,
      lapCdaM2,
      wind,
      densityKgM3,
      targetPowerW,
      riderStream: `rider ${runIndex}`,
      incidents: conditions.incidents.filter((incident) => incident.run === runIndex + 1),
    });
    const recorded = measure({
      conditions,
      course,
      ride,
      runIndex,
      dayTimeS,
      dayLengthS: plannedS,
      airAt: airOfDay,
      barometer,
    });
    runs.push({
      ...recorded,
      setup: id,
      startEpochS: conditions.startEpochS + dayTimeS,
      dayTimeS,
      truth: {
        lapCdaM2,
        gateTimesS: ride.gateTimesS,
        lapHeadwindMps: ride.lapHeadwindMps,
        airDensityKgM3: densityKgM3,
        energy: ride.energy,
      },
    });
    const lastS = ride.timeS[ride.timeS.length - 1];
    wind.step(pauseS);
    barometer.step(pauseS);
    dayTimeS += lastS + pauseS;
  });

  const middleAir = airOfDay(0.5);
  return {
    conditions,
    course,
    setups,
    control: setups[0].id,
    runs,
    stated: {
      massKg: stated.massKg ?? physics.massKg,
      massStandardUncertaintyKg: stated.massStandardUncertaintyKg,
      crr: stated.crr ?? physics.crr,
      crrStandardUncertainty: stated.crrStandardUncertainty,
      drivetrainEfficiency: stated.drivetrainEfficiency ?? physics.drivetrainEfficiency,
      powerScaleStandardUncertainty: stated.powerScaleStandardUncertainty,
      temperatureC: middleAir.temperatureC,
      pressureHPa: middleAir.pressureHPa,
      relativeHumidityPercent: conditions.air.relativeHumidityPercent,
    },
    truth: {
      cdaM2: Object.fromEntries(setups.map((setup) => [setup.id, setup.cdaM2])),
      targetPowerW,
    },
  };
}

/** Crank power at which the second lap of a calm ride takes the time asked for, W. */
function powerForLapTime(conditions: FilledConditions, course: Course): number {
  const setup = conditions.setups[0];
  const { densityKgM3 } = airAt(conditions, 0.5);
  let power = 220;
  for (let i = 0; i < 6; i++) {
    const { gateTimesS } = rideRun({
      conditions: { ...conditions, stepS: 0.2 },
      course,
      setup,
      lapCdaM2: [setup.cdaM2, setup.cdaM2],
      wind: null,
      densityKgM3,
      targetPowerW: power,
      riderStream: null,
      incidents: [],
    });
    // Time falls as about the cube root of power, a little slower with rolling resistance.
    power *= ((gateTimesS[2] - gateTimesS[1]) / conditions.rider.lapTimeS) ** 2.4;
  }
  return power;
}
