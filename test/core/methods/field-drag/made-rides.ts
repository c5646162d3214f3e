import type { Day, DayEvidence, Recording } from '../../../../src/core/evidence/index.ts';

/** A made road: where a distance along the ride lies, m east and north of the start gate. */
export type Road = (rideM: number) => [east: number, north: number];

/** Round and round a circle of this length, anticlockwise, first riding east. */
export const circle =
  (lengthM: number): Road =>
  (s) => {
    const radius = lengthM / (2 * Math.PI);
    return [radius * Math.sin(s / radius), radius * (1 - Math.cos(s / radius))];
  };

/** Straight east for ever. */
export const straight: Road = (s) => [s, 0];

/** East and back, turning after each of the given leg lengths. */
export const thereAndBack =
  (legsM: readonly number[]): Road =>
  (s) => {
    let east = 0;
    let left = s;
    for (let i = 0; i < legsM.length; i++) {
      const part = Math.min(left, legsM[i]);
      east += i % 2 === 0 ? part : -part;
      left -= part;
      if (left <= 0) break;
    }
    return [east, 0];
  };

export interface MadeRun {
  setup?: string;
  road?: Road;
  /** Where the ride begins on the road, and its end, m. */
  fromM?: number;
  toM: number;
  speedMps?: number;
  /** Speed at a distance along the road; wins over `speedMps`. */
  speedAt?: (rideM: number) => number;
  powerW?: number;
  /** Power at a distance along the road, instead. */
  powerAtM?: (rideM: number) => number;
  stepS?: number;
  positions?: boolean;
  /** Where the lap button is pressed, m along the road. */
  marksAtM?: readonly number[];
  /** How much later than there, s, one for each. */
  markDelaysS?: readonly number[];
  /** Airspeed is ground speed plus this; undefined: no sensor. */
  headwindMps?: number;
  altitude?: boolean;
  startEpochS?: number | null;
  startClockS?: number | null;
}

/** The rider's force balance on the flat: what a made ride obeys. */
export interface Riding {
  powerAtM: (rideM: number) => number;
  /** All that holds the rider back at a speed, N. */
  resistanceN: (speedMps: number) => number;
  effectiveMassKg: number;
  efficiency: number;
  startSpeedMps: number;
  fromM: number;
  toM: number;
}

/** Speed along the road by m v dv/ds = η P/v − F(v), Runge-Kutta in steps of half a metre. */
export function ridden(riding: Riding): (rideM: number) => number {
  const { powerAtM, resistanceN, effectiveMassKg, efficiency, fromM, toM } = riding;
  const h = 0.5;
  const slope = (s: number, v: number) =>
    ((efficiency * powerAtM(s)) / v - resistanceN(v)) / (effectiveMassKg * v);
  const speeds = [riding.startSpeedMps];
  for (let s = fromM; s < toM + 20; s += h) {
    const v = speeds[speeds.length - 1];
    const a = slope(s, v);
    const b = slope(s + h / 2, v + (h / 2) * a);
    const c = slope(s + h / 2, v + (h / 2) * b);
    const d = slope(s + h, v + h * c);
    speeds.push(v + (h / 6) * (a + 2 * b + 2 * c + d));
  }
  return (s) => {
    const x = Math.min(speeds.length - 1.001, Math.max(0, (s - fromM) / h));
    const i = Math.floor(x);
    return speeds[i] + (x - i) * (speeds[i + 1] - speeds[i]);
  };
}

const origin = { latDeg: 0.1, lonDeg: -30 }; // open ocean: invented
const metresPerDegree = (Math.PI / 180) * 6371008.8;

/** A recording of a made run, without any noise. */
export function madeRecording(run: MadeRun, file: string, index = 0): Recording {
  const { fromM = 0, toM, stepS = 1, road = straight } = run;
  const speedAt = run.speedAt ?? (() => run.speedMps ?? 10);
  const timeS: number[] = [];
  const rideM: number[] = [];
  const speedMps: number[] = [];
  // Small steps between samples: the sampled speeds belong to one ride, whatever the rate.
  const parts = Math.round(stepS / 0.05);
  let s = fromM;
  for (let i = 0; s <= toM; i++) {
    timeS.push(i * stepS);
    rideM.push(s);
    speedMps.push(speedAt(s));
    for (let k = 0; k < parts; k++) {
      const h = stepS / parts;
      s += h * speedAt(s + 0.5 * h * speedAt(s));
    }
  }
  const column = (f: (i: number) => number) => Float64Array.from(timeS, (_, i) => f(i));
  const channels: Recording['channels'] = {
    speedMps: Float64Array.from(speedMps),
    powerW: column((i) => run.powerAtM?.(rideM[i]) ?? run.powerW ?? 250),
  };
  if (run.positions ?? true) {
    const cosLat = Math.cos((origin.latDeg * Math.PI) / 180);
    channels.latDeg = column((i) => origin.latDeg + road(rideM[i])[1] / metresPerDegree);
    channels.lonDeg = column((i) => origin.lonDeg + road(rideM[i])[0] / (metresPerDegree * cosLat));
  }
  if (run.headwindMps !== undefined) {
    channels.airspeedMps = column((i) => speedMps[i] + run.headwindMps!);
  }
  if (run.altitude) channels.altitudeM = column(() => 50);
  const timeAt = (m: number): number => {
    const i = Math.max(
      1,
      rideM.findIndex((value) => value >= m),
    );
    return timeS[i - 1] + (stepS * (m - rideM[i - 1])) / (rideM[i] - rideM[i - 1]);
  };
  return {
    file,
    format: 'fit',
    timeS: Float64Array.from(timeS),
    startEpochS: run.startEpochS === undefined ? 1_779_004_800 + 1200 * index : run.startEpochS,
    startClockS: run.startClockS,
    channels,
    lapMarksS: Float64Array.from(
      run.marksAtM ?? [],
      (m, i) => timeAt(m) + (run.markDelaysS?.[i] ?? 0),
    ),
    pauses: [],
    warnings: [],
  };
}

/** A day of made runs: the setups take turns unless the runs say theirs. */
export function madeDay(
  kind: Day['course']['kind'],
  runs: readonly MadeRun[],
  more: { lapLengthM?: number; change?: (day: Day) => void } = {},
): DayEvidence {
  const setupOf = (i: number) => runs[i].setup ?? (i % 2 === 0 ? 'control' : 'other');
  const file = (i: number) => `run-${i + 1}.fit`;
  const setup = (id: string) => ({
    id,
    name: id,
    wheelInertiaKgM2: 0.14,
    massOffsetKg: 0,
    wheelRadiusM: 0.336,
    crr: null,
  });
  const day: Day = {
    title: 'Made rides',
    date: '2026-05-17',
    invented: true,
    system: { massKg: 85, massStandardUncertaintyKg: 0.3 },
    constants: {
      crr: 0.0045,
      crrStandardUncertainty: 0.0004,
      drivetrainEfficiency: 0.975,
      drivetrainEfficiencyStandardUncertainty: 0.005,
      powerScaleStandardUncertainty: 0.01,
      bearingLosses: true,
    },
    weather: { temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60 },
    course: { kind, lapLengthM: more.lapLengthM ?? null, gate: null },
    setups: [...new Set(['control', ...runs.map((_, i) => setupOf(i))])].map(setup),
    control: 'control',
    runs: runs.map((_, i) => ({
      setup: setupOf(i),
      file: file(i),
      fromS: null,
      toS: null,
      remark: null,
    })),
    overrules: [],
    csvColumns: null,
    reference: { speedKmh: 40, airDensityKgM3: 1.2 },
    placeOf: (field) => ({ field }),
  };
  more.change?.(day);
  const recordings = runs.map((run, i) => madeRecording(run, file(i), i));
  return {
    day,
    recordings,
    inputs: recordings.map((one) => ({ file: one.file, sha256: '0'.repeat(64) })),
    warnings: [],
  };
}
