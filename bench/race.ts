/**
 * `npm run bench:race`: a course of 200 km in steps of 1 m ridden once; 1,000 draws of a 40 km course; its plan of
 * least time; the course of a recording of 200 km; and, as ratio, the same 200 km by a classical Runge–Kutta method of
 * fourth order in time with steps as fine.
 *
 *   --repeat N   each measurement N times, the median is printed (7)
 */
import { cpus, loadavg } from 'node:os';
import { parseArgs } from 'node:util';
import { median } from './coverage-statistics.ts';
import type { Recording } from '../src/core/evidence/index.ts';
import { courseFrom, plainCourse } from '../src/core/courses/index.ts';
import { estimateRace, type RaceEvidence } from '../src/core/methods/index.ts';
import { newTape, resistance, rideRoad } from '../src/core/methods/race/ride.ts';
import { energyOf } from '../src/core/methods/race/energy.ts';
import { roadOf } from '../src/core/methods/race/road.ts';

const { values } = parseArgs({ options: { repeat: { type: 'string', default: '7' } } });
const repeat = Number(values.repeat);
if (!(repeat >= 1)) {
  console.error('--repeat wants a count.');
  process.exit(2);
}

/** Invented: rolls, and turns through every direction. */
const course = (kilometres: number) =>
  plainCourse(
    Array.from({ length: kilometres }, (_, i) => ({
      lengthM: 1000,
      gradient: 0.05 * Math.sin(1.3 * i),
      headingDeg: (37 * i) % 360,
    })),
  );

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
const a = 0.008 ** 2 + 0.001 ** 2;
const evidence = (kilometres: number, change: Partial<RaceEvidence>): RaceEvidence => ({
  name: 'bench',
  invented: true,
  course: course(kilometres),
  conditions: {
    air: { temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 50 },
    airHeightM: null,
    wind: { speedMps: 3, fromDeg: 240 },
    crr: 0.004,
    surfaces: [],
    corners: null,
  },
  system: { massKg: 82, wheelRadiusM: 0.335 },
  rider: { drivetrainEfficiency: 0.975, startSpeedMps: 0, walkBelowMps: 1, bearingLosses: true },
  power: { kind: 'constant', powerW: 250 },
  setups: [setup('shallow', 0.32), setup('deep', 0.312)],
  cdaCovariance: Float64Array.of(a, 0.008 ** 2, 0.008 ** 2, a),
  reference: 'shallow',
  doubt: { massKg: 0.5, crr: 0.0003, windMps: 0.5, airDensity: 0.005, power: 0.01 },
  draws: 1000,
  plan: null,
  warnings: [],
  inputs: [],
  ...change,
});

/** First call and median of the rest, ms. */
function timed(run: () => unknown): string {
  const ms = Array.from({ length: repeat + 1 }, () => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  return `${ms[0].toFixed(0).padStart(8)}${median(ms.slice(1)).toFixed(0).padStart(10)}`;
}

const long = evidence(200, {});
const road = roadOf(long.course, long.conditions);
const bike = {
  massKg: 82,
  wheelInertiaKgM2: 0.14,
  wheelRadiusM: 0.335,
  cdaM2: 0.32,
  yaw: null,
  crrOffset: 0,
};
const powerW = new Float64Array(road.steps).fill(250);

/** The same road by RK4 in time, a tenth of a second a step: about the length of ours. */
function byRungeKutta(): number {
  const mass = bike.massKg + 0.14 / 0.335 ** 2;
  const slope = (s: number, v: number): number => {
    const step = Math.min(road.steps - 1, Math.floor(s / road.stepM));
    const r = resistance(road, bike, long.rider, step, v);
    const drive = (0.975 * 250) / Math.max(v, 1);
    return (drive - r.gravityN - r.rollingN - r.aeroN - r.bearingN) / mass;
  };
  const length = road.steps * road.stepM;
  let [s, v, t] = [0, 0, 0];
  const h = 0.1;
  for (;;) {
    const a1 = slope(s, v);
    const [v2, a2] = [v + (h / 2) * a1, slope(s + (h / 2) * v, v + (h / 2) * a1)];
    const [v3, a3] = [v + (h / 2) * a2, slope(s + (h / 2) * v2, v + (h / 2) * a2)];
    const [v4, a4] = [v + h * a3, slope(s + h * v3, v + h * a3)];
    const ds = (h / 6) * (v + 2 * v2 + 2 * v3 + v4);
    if (s + ds >= length) return t + (h * (length - s)) / ds;
    s += ds;
    v += (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
    t += h;
  }
}

/** A noisy recording of 200 km, a sample a second at 10 m/s. */
const n = 20_000;
const noisy: Recording = {
  file: 'bench.fit',
  format: 'fit',
  timeS: Float64Array.from({ length: n }, (_, i) => i),
  startEpochS: null,
  channels: {
    latDeg: Float64Array.from({ length: n }, (_, i) => 10 + 0.05 * Math.sin(i / 700)),
    lonDeg: Float64Array.from({ length: n }, (_, i) => 20 + i * 8.5e-5),
    distanceM: Float64Array.from({ length: n }, (_, i) => 10 * i),
    altitudeM: Float64Array.from(
      { length: n },
      (_, i) => 200 + 60 * Math.sin(i / 90) + ((i * 7919) % 13) / 10,
    ),
  },
  lapMarksS: new Float64Array(),
  pauses: [],
  warnings: [],
};

console.log(`${cpus().length} × ${cpus()[0].model.trim()}, Node ${process.versions.node}.`);
console.log(`Others at work on this machine: load ${loadavg()[0].toFixed(1)}, ours counted.\n`);
console.log(`${''.padEnd(58)}first, ms  median, ms`);
const line = (name: string, run: () => unknown): void =>
  console.log(`${name.padEnd(58)}${timed(run)}`);
line('200 km in 1 m steps, one ride', () => rideRoad(road, bike, long.rider, powerW));
line('the same by Runge–Kutta, 0.1 s', byRungeKutta);
line('the road of it made ready (air, wind, slopes)', () => roadOf(long.course, long.conditions));
const tape = newTape(road.steps);
rideRoad(road, bike, long.rider, powerW, undefined, null, tape);
line('its energy', () => energyOf(road, bike, long.rider, powerW, tape));
line('40 km, 1,000 draws of two setups, the whole finding', () => estimateRace(evidence(40, {})));
line('40 km, 100 draws and the plan of least time', () =>
  estimateRace(evidence(40, { draws: 100, plan: { holds: 'weighted', leastW: 0, mostW: null } })),
);
line('course of a recording of 200 km, 20,000 samples', () => courseFrom(noisy));
const [ours, theirs] = [rideRoad(road, bike, long.rider, powerW), byRungeKutta()];
console.log(
  `\nThe two rides of 200 km take ${ours.toFixed(2)} and ${theirs.toFixed(2)} s: ${(1e6 * Math.abs(ours / theirs - 1)).toFixed(1)} in a million apart.`,
);
