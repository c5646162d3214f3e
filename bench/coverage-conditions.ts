/**
 * The invented days of the coverage benchmark: six fixed rows (sharpness), and a spread of conditions
 * drawn by seed (coverage).
 */
import { randomStream } from '../src/simulation/index.ts';
import type { ConditionsInput, SimulatedSetup } from '../src/simulation/index.ts';

/** One day to simulate and reduce. */
export interface DayJob {
  /** Row of the sharpness table, or `spread`. */
  row: string;
  seed: number;
  conditions: ConditionsInput;
  /** Groups in which this day is counted in the coverage table. */
  groups: string[];
}

/** A row of the sharpness table with the median absolute error it must not exceed, m². */
export interface SharpnessRow {
  row: string;
  conditions: ConditionsInput;
  atMostM2: number;
}

/**
 * 3 setups, 3 runs of 3 laps of about 4 minutes in mirrored order, lap of 2.5 km, gusts, power noise
 * 1.5 %, airspeed noise 1 %, lap-to-lap scatter 0.4 %, starts near rest: the simulation's defaults.
 */
export const sharpnessRows: SharpnessRow[] = [
  {
    row: 'loop, airspeed, wind 2 m/s',
    conditions: { course: { kind: 'loop' }, wind: { speedMps: 2 } },
    atMostM2: 0.0004,
  },
  {
    row: 'same, power drifts 2 %, airspeed sensor 5 % off',
    conditions: {
      course: { kind: 'loop' },
      wind: { speedMps: 2 },
      sensors: { powerDrift: 0.02, airspeedScaleError: 0.05 },
    },
    atMostM2: 0.0004,
  },
  {
    row: 'loop, airspeed, wind 4 m/s',
    conditions: { course: { kind: 'loop' }, wind: { speedMps: 4 } },
    atMostM2: 0.001,
  },
  {
    row: 'out-and-back, airspeed, wind 4 m/s',
    conditions: { course: { kind: 'out-and-back' }, wind: { speedMps: 4 } },
    atMostM2: 0.0018,
  },
  {
    row: 'out-and-back, no airspeed, wind 2 m/s',
    conditions: {
      course: { kind: 'out-and-back' },
      wind: { speedMps: 2 },
      sensors: { airspeed: false },
    },
    atMostM2: 0.0016,
  },
  {
    row: 'out-and-back, no airspeed, wind 4 m/s',
    conditions: {
      course: { kind: 'out-and-back' },
      wind: { speedMps: 4 },
      sensors: { airspeed: false },
    },
    atMostM2: 0.0045,
  },
];

/** `days` days for each sharpness row. The same seeds in every row. */
export function sharpnessJobs(days: number, seed: number): DayJob[] {
  return sharpnessRows.flatMap(({ row, conditions }) =>
    Array.from({ length: days }, (_, i) => ({
      row,
      seed: seed + i,
      conditions: { ...conditions, seed: seed + i },
      groups: [row],
    })),
  );
}

/**
 * One day of the spread. Course and airspeed go round in fours, so each of the four kinds has the same
 * number of days; all else is drawn: wind 0 to 5 m/s, gust strength and time scale, 2 to 5 setups,
 * power noise 1 to 3 %, meter drift up to 2 % either way, airspeed sensor up to 5 % off either way,
 * remounts with and without scatter, altitude sometimes missing, and constants on the sheet that are
 * wrong by as much as their stated uncertainty allows.
 */
export function spreadJob(index: number, seed: number): DayJob {
  const random = randomStream(seed + index, 'coverage');
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const either = (size: number): number => (random.uniform() < 0.5 ? -size : size);
  const kind = index % 2 === 0 ? ('loop' as const) : ('out-and-back' as const);
  const airspeed = index % 4 < 2;
  const windMps = between(0, 5);
  const count = 2 + Math.floor(4 * random.uniform());
  const controlCda = between(0.2, 0.28);
  const setups: SimulatedSetup[] = Array.from({ length: count }, (_, i) => ({
    id: `setup-${i + 1}`,
    name: `Setup ${i + 1}`,
    cdaM2: i === 0 ? controlCda : controlCda + 0.004 * random.normal(),
    wheelInertiaKgM2: between(0.12, 0.19),
    massOffsetKg: i === 0 ? 0 : between(-0.2, 0.3),
  }));
  const altitude = random.uniform() < 0.75;
  const remount = random.uniform() < 0.5;
  const conditions: ConditionsInput = {
    seed: seed + index,
    course: { kind, reliefM: between(2, 12), lapLengthM: between(2000, 3000) },
    setups,
    wind: {
      speedMps: windMps,
      gustIntensity: between(0.2, 0.3),
      gustTimeScaleS: between(5, 60),
      turningDeg: between(20, 40),
    },
    physics: {
      runScatter: remount ? 0.003 : 0,
      crr: 0.0045 + 0.0004 * random.normal(),
      massKg: 83.2 + 0.3 * random.normal(),
    },
    sensors: {
      airspeed,
      altitude,
      powerNoise: between(0.01, 0.03),
      powerDrift: either(0.02),
      powerScaleError: 0.01 * random.normal(),
      airspeedScaleError: either(0.05),
    },
    stated: { crr: 0.0045, massKg: 83.2 },
  };
  const wind =
    windMps < 1.5
      ? 'wind 0 to 1.5 m/s'
      : windMps < 3.5
        ? 'wind 1.5 to 3.5 m/s'
        : 'wind 3.5 to 5 m/s';
  return {
    row: 'spread',
    seed: seed + index,
    conditions,
    groups: [
      'all days',
      `${kind}, ${airspeed ? 'airspeed' : 'no airspeed'}`,
      wind,
      `${count} setups`,
      altitude ? 'with altitude' : 'without altitude',
      remount ? 'remount scatter 0.3 %' : 'no remount scatter',
    ],
  };
}

/**
 * A day of the spread made worse than any the method was built on: the mean wind rises and falls, hedges
 * shelter parts of the road, drag falls with yaw, turns are braked, the lap button is pressed late or not
 * at all, the speed sensor is a little off, one lap has a mishap. Whether intervals still hold here says
 * how far the method can be trusted outside its assumptions.
 */
export function hardJob(index: number, seed: number): DayJob {
  const random = randomStream(seed + index, 'hard');
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const { conditions, groups } = spreadJob(index, seed);
  const lapMarks = random.uniform() < 0.7;
  const kinds = ['braking', 'power-dropout', 'power-spike', 'gap', 'sitting-up'] as const;
  const kind = kinds[Math.floor(kinds.length * random.uniform())];
  return {
    row: 'hard',
    seed: seed + index,
    conditions: {
      ...conditions,
      course: { ...conditions.course, turning: random.uniform() < 0.5 ? 'brake' : 'coast' },
      wind: {
        ...conditions.wind,
        slowVariation: between(0, 0.15),
        shelterSpread: between(0, 0.2),
      },
      physics: { ...conditions.physics, cdaYawSlopePerDeg: between(0, 0.004) },
      sensors: {
        ...conditions.sensors,
        lapMarks,
        lapMarkJitterS: between(0, 1),
        speedScaleError: 0.003 * random.normal(),
      },
      incidents: [
        { run: 2, lap: 2, atM: between(200, 1500), kind, seconds: between(5, 40), toSpeedMps: 4 },
      ],
    },
    groups: [
      ...groups.slice(0, 3),
      lapMarks ? 'with lap marks' : 'without lap marks',
      `mishap: ${kind}`,
    ],
  };
}
