/**
 * What an invented day is like. Every field has a default; `conditionsOf` fills them in.
 */

/** One setup with its true drag area. */
export interface SimulatedSetup {
  id: string;
  name: string;
  /** The truth, m². */
  cdaM2: number;
  /** Both wheels together. */
  wheelInertiaKgM2: number;
  massOffsetKg: number;
}

/** Something that happens in one lap and breaks the model of steady riding. */
export interface Incident {
  /** From 1. */
  run: number;
  /** From 1 within its run. */
  lap: number;
  /** Where in the lap it begins, m from the gate. */
  atM: number;
  /**
   * `braking`: brakes down to `toSpeedMps` at 2 m/s²; `power-dropout`: power reads 0 for `seconds`;
   * `power-spike`: power reads `powerW` for `seconds`; `gap`: nothing recorded for `seconds`;
   * `sitting-up`: drag area up by `cdaFactor` for `seconds`.
   */
  kind: 'braking' | 'power-dropout' | 'power-spike' | 'gap' | 'sitting-up';
  seconds?: number;
  toSpeedMps?: number;
  powerW?: number;
  cdaFactor?: number;
}

export interface Conditions {
  seed: number;
  startEpochS: number;
  course: {
    kind: 'loop' | 'out-and-back';
    lapLengthM: number;
    /** Height from the lowest to the highest point, about, m. */
    reliefM: number;
    /** Compass bearing of the road at the gate, degrees; null: drawn by the seed. */
    bearingDeg: number | null;
    /** Of the gate. The default is open ocean: invented. */
    latDeg: number;
    lonDeg: number;
    /** Height above sea level at the gate, m. */
    heightM: number;
    /** Speed aimed at in the turns of an out-and-back, m/s. */
    turnSpeedMps: number;
    turnRadiusM: number;
    /** `coast`: rolls out to the turn; `brake`: rides on and brakes at 1.5 m/s². */
    turning: 'coast' | 'brake';
  };
  lapsPerRun: number;
  runsPerSetup: number;
  setups: SimulatedSetup[];
  /** Setup ids, one for each run; null: mirrored rounds, A B C, C B A, A B C. */
  runOrder: string[] | null;
  /** Pause between runs for changing the setup, minutes. */
  changeoverMin: number;
  rider: {
    /** Crank power aimed at; null: such that a calm lap takes `lapTimeS` (null: 240 s, or 265 s with turns). */
    targetPowerW: number | null;
    lapTimeS: number | null;
    /** Slow wander (two minutes), relative standard deviation. */
    slowWander: number;
    /** Quick wander (four seconds). */
    quickWander: number;
    /** Difference between runs. */
    runWander: number;
    /** How far power eases off downhill and with the wind: 0 not at all, 1 strongly. */
    easing: number;
    /** Speed at the first sample, m/s. */
    startSpeedMps: number;
  };
  physics: {
    massKg: number;
    crr: number;
    drivetrainEfficiency: number;
    wheelRadiusM: number;
    bearingLosses: boolean;
    /** Lap-to-lap scatter of CdA, relative standard deviation. */
    lapScatter: number;
    /** Run-to-run (remount) scatter of CdA, relative standard deviation. */
    runScatter: number;
    /** Relative fall of CdA for each degree of yaw; 0: the same at all yaw. */
    cdaYawSlopePerDeg: number;
  };
  wind: {
    /** Mean speed at rider's height, m/s. */
    speedMps: number;
    /** Direction it blows from at the start, degrees; null: drawn by the seed. */
    fromDeg: number | null;
    /** How far the direction turns over the day, degrees. */
    turningDeg: number;
    /** Random wander of direction about that (ten minutes), degrees. */
    directionWanderDeg: number;
    /** Gusts along the wind: relative standard deviation and time scale. */
    gustIntensity: number;
    gustTimeScaleS: number;
    /** Gusts across the wind, relative to the mean speed. */
    lateralIntensity: number;
    /** Slow rise and fall of the mean speed (a quarter of an hour), relative. */
    slowVariation: number;
    /** Spread of the shelter factor from place to place, relative; 0: none. */
    shelterSpread: number;
  };
  air: {
    temperatureC: number;
    /** Change over the day. */
    temperatureTrendC: number;
    pressureHPa: number;
    pressureTrendHPa: number;
    relativeHumidityPercent: number;
  };
  sensors: {
    /** White, relative. */
    powerNoise: number;
    powerScaleError: number;
    /** Linear, from the first to the last sample of the day, relative. */
    powerDrift: number;
    speedNoiseMps: number;
    speedScaleError: number;
    distance: boolean;
    distanceNoiseM: number;
    airspeed: boolean;
    /** White, relative. */
    airspeedNoise: number;
    airspeedScaleError: number;
    altitude: boolean;
    altitudeNoiseM: number;
    altitudeResolutionM: number;
    /** Slow wander (ten minutes) and linear drift of the barometer. */
    altitudeWanderM: number;
    altitudeDriftMPerHour: number;
    position: boolean;
    positionNoiseM: number;
    /** Slow wander (one minute). */
    positionWanderM: number;
    temperature: boolean;
    temperatureResolutionC: number;
    pressure: boolean;
    /** Yaw angle of the air, as a probe with side holes gives it. */
    yaw: boolean;
    yawNoiseDeg: number;
    lapMarks: boolean;
    /** Standard deviation of the moment the lap button is pressed, s. */
    lapMarkJitterS: number;
  };
  /** What the tester writes on the day sheet, right or wrong; null: the truth. */
  stated: {
    massKg: number | null;
    massStandardUncertaintyKg: number;
    crr: number | null;
    crrStandardUncertainty: number;
    drivetrainEfficiency: number | null;
    powerScaleStandardUncertainty: number;
  };
  incidents: Incident[];
  /** Step of the integration, s; must divide one second. */
  stepS: number;
}

/** Conditions with nothing left to choose but by the seed. */
export type FilledConditions = Omit<Conditions, 'rider'> & {
  rider: Conditions['rider'] & { lapTimeS: number };
};

type Part<T> = {
  [K in keyof T]?: T[K] extends unknown[] | null
    ? T[K]
    : T[K] extends object
      ? Partial<T[K]>
      : T[K];
};

/** Conditions as a caller gives them: any part may be left out. `setups` may be a number from 2 to 5. */
export type ConditionsInput = Omit<Part<Conditions>, 'setups'> & {
  setups?: SimulatedSetup[] | number;
};

const invented: SimulatedSetup[] = [
  { id: 'shallow', name: 'Shallow pair', cdaM2: 0.236, wheelInertiaKgM2: 0.14, massOffsetKg: 0 },
  { id: 'mid', name: 'Mid pair', cdaM2: 0.2325, wheelInertiaKgM2: 0.155, massOffsetKg: 0.05 },
  { id: 'deep', name: 'Deep pair', cdaM2: 0.23, wheelInertiaKgM2: 0.17, massOffsetKg: 0.1 },
  {
    id: 'disc',
    name: 'Closed rear wheel',
    cdaM2: 0.2275,
    wheelInertiaKgM2: 0.185,
    massOffsetKg: 0.3,
  },
  { id: 'box', name: 'Box-section pair', cdaM2: 0.239, wheelInertiaKgM2: 0.13, massOffsetKg: 0.1 },
];

const defaults: Conditions = {
  seed: 1,
  startEpochS: 1_779_004_800, // 2026-05-17 08:00 UTC
  course: {
    kind: 'loop',
    lapLengthM: 2500,
    reliefM: 6,
    bearingDeg: null,
    latDeg: 0.2,
    lonDeg: -30,
    heightM: 120,
    turnSpeedMps: 5.2,
    turnRadiusM: 5,
    turning: 'coast',
  },
  lapsPerRun: 3,
  runsPerSetup: 3,
  setups: invented.slice(0, 3),
  runOrder: null,
  changeoverMin: 6,
  rider: {
    targetPowerW: null,
    lapTimeS: null,
    slowWander: 0.03,
    quickWander: 0.05,
    runWander: 0.01,
    easing: 0.5,
    startSpeedMps: 1,
  },
  physics: {
    massKg: 83.2,
    crr: 0.0045,
    drivetrainEfficiency: 0.975,
    wheelRadiusM: 0.336,
    bearingLosses: true,
    lapScatter: 0.004,
    runScatter: 0,
    cdaYawSlopePerDeg: 0,
  },
  wind: {
    speedMps: 2,
    fromDeg: null,
    turningDeg: 30,
    directionWanderDeg: 4,
    gustIntensity: 0.3,
    gustTimeScaleS: 30,
    lateralIntensity: 0.2,
    slowVariation: 0,
    shelterSpread: 0,
  },
  air: {
    temperatureC: 14,
    temperatureTrendC: 3,
    pressureHPa: 1000,
    pressureTrendHPa: -0.5,
    relativeHumidityPercent: 60,
  },
  sensors: {
    powerNoise: 0.015,
    powerScaleError: 0,
    powerDrift: 0,
    speedNoiseMps: 0.02,
    speedScaleError: 0,
    distance: true,
    distanceNoiseM: 0.3,
    airspeed: true,
    airspeedNoise: 0.01,
    airspeedScaleError: 0,
    altitude: true,
    altitudeNoiseM: 0.1,
    altitudeResolutionM: 0.2,
    altitudeWanderM: 0.4,
    altitudeDriftMPerHour: 1,
    position: true,
    positionNoiseM: 0.4,
    positionWanderM: 2.5,
    temperature: true,
    temperatureResolutionC: 0.1,
    pressure: true,
    yaw: false,
    yawNoiseDeg: 1,
    lapMarks: true,
    lapMarkJitterS: 0,
  },
  stated: {
    massKg: null,
    massStandardUncertaintyKg: 0.3,
    crr: null,
    crrStandardUncertainty: 0.0004,
    drivetrainEfficiency: null,
    powerScaleStandardUncertainty: 0.01,
  },
  incidents: [],
  stepS: 0.1,
};

/** Fills in what the caller left out. Throws RangeError on what cannot be ridden. */
export function conditionsOf(input: ConditionsInput = {}): FilledConditions {
  const course = { ...defaults.course, ...input.course };
  const rider = { ...defaults.rider, ...input.rider };
  const filled: FilledConditions = {
    ...defaults,
    ...input,
    course,
    // With turns the same lap takes longer: nobody rides harder for it.
    rider: { ...rider, lapTimeS: rider.lapTimeS ?? (course.kind === 'loop' ? 240 : 265) },
    physics: { ...defaults.physics, ...input.physics },
    wind: { ...defaults.wind, ...input.wind },
    air: { ...defaults.air, ...input.air },
    sensors: { ...defaults.sensors, ...input.sensors },
    stated: { ...defaults.stated, ...input.stated },
    setups:
      typeof input.setups === 'number'
        ? invented.slice(0, input.setups)
        : (input.setups ?? defaults.setups),
    runOrder: input.runOrder ?? null,
    incidents: input.incidents ?? [],
  };
  const refuse = (what: string): never => {
    throw new RangeError(`cannot invent this day: ${what}`);
  };
  if (filled.setups.length < 1) refuse('no setups');
  if (typeof input.setups === 'number' && filled.setups.length !== input.setups)
    refuse('2 to 5 setups by number');
  if (filled.course.lapLengthM < 200) refuse('a lap under 200 m');
  if (filled.lapsPerRun < 1 || filled.runsPerSetup < 1) refuse('no laps');
  const stepsPerSecond = 1 / filled.stepS;
  if (!(stepsPerSecond >= 2) || Math.abs(stepsPerSecond - Math.round(stepsPerSecond)) > 1e-9) {
    refuse('the step must divide one second, at most 0.5 s');
  }
  for (const id of filled.runOrder ?? []) {
    if (!filled.setups.some((setup) => setup.id === id))
      refuse(`run order names an unknown setup ${id}`);
  }
  return filled;
}

/** The order in which setups are ridden, one id for each run. */
export function runOrderOf({ runOrder, setups, runsPerSetup }: FilledConditions): string[] {
  if (runOrder) return runOrder;
  const ids = setups.map((setup) => setup.id);
  const rounds = Array.from({ length: runsPerSetup }, (_, round) =>
    round % 2 === 0 ? ids : [...ids].reverse(),
  );
  return rounds.flat();
}
