/**
 * The day's least squares in its plain form, to be solved by our own solver and by SciPy from the same
 * file: one row for each second of riding, wind along the bike as a chain of knots, a drag area for each
 * lap, the slope of each stretch of road, a drift.
 */
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { BorderedSystem } from '../src/core/methods/field-drag/bordered.ts';
import type { SimulatedDay } from '../src/simulation/index.ts';

export interface PlainProblem {
  rows: number;
  /** Wind knots; they come first among the unknowns. */
  knots: number;
  unknowns: number;
  /** Compressed sparse rows. */
  start: Int32Array;
  index: Int32Array;
  value: Float64Array;
  right: Float64Array;
}

const knotS = 10;
const cellM = 50;

export function plainProblem(day: SimulatedDay): PlainProblem {
  const { physics, course } = day.conditions;
  const cells = Math.round(course.lapLengthM / cellM);
  const laps = day.runs.reduce((sum, run) => sum + run.truth.lapCdaM2.length, 0);
  const knotsOf = day.runs.map((run) => Math.ceil(run.timeS[run.timeS.length - 1] / knotS) + 2);
  const knots = knotsOf.reduce((sum, n) => sum + n, 0);
  const border = knots;
  const start: number[] = [0];
  const index: number[] = [];
  const value: number[] = [];
  const right: number[] = [];
  const add = (entries: [number, number][], b: number): void => {
    for (const [i, v] of entries) {
      index.push(i);
      value.push(v);
    }
    start.push(index.length);
    right.push(b);
  };

  let firstKnot = 0;
  let firstLap = 0;
  day.runs.forEach((run, r) => {
    const { gateTimesS, airDensityKgM3, lapCdaM2 } = run.truth;
    const massKg = physics.massKg;
    const speed = run.channels.speedMps;
    for (let i = 2; i < run.timeS.length - 1; i++) {
      const t = run.timeS[i];
      const lap = gateTimesS.filter((gate) => gate <= t).length - 1;
      if (lap < 0 || lap >= lapCdaM2.length) continue;
      const v = speed[i];
      const rate = (speed[i + 1] - speed[i - 1]) / 2;
      const force = (physics.drivetrainEfficiency * run.channels.powerW[i]) / Math.max(1, v);
      const rolling = physics.crr * massKg * 9.80665;
      const place = (run.channels.distanceM as Float64Array)[i] % course.lapLengthM;
      const knot = firstKnot + Math.floor(t / knotS);
      const part = t / knotS - Math.floor(t / knotS);
      const perWind = airDensityKgM3 * 0.236 * v;
      add(
        [
          [knot, perWind * (1 - part)],
          [knot + 1, perWind * part],
          [border + firstLap + lap, 0.5 * airDensityKgM3 * v * v],
          [border + laps + Math.min(cells - 1, Math.floor(place / cellM)), massKg * 9.80665],
          [border + laps + cells, (run.dayTimeS + t) / 3600],
        ],
        force - rolling - massKg * rate,
      );
    }
    // The wind wanders: neighbouring knots are alike, and none is far from nothing.
    for (let k = 0; k < knotsOf[r]; k++) {
      add([[firstKnot + k, 1]], 0);
      if (k > 0)
        add(
          [
            [firstKnot + k - 1, -3],
            [firstKnot + k, 3],
          ],
          0,
        );
    }
    firstKnot += knotsOf[r];
    firstLap += lapCdaM2.length;
  });
  // A closed road neither rises nor falls on the whole.
  add(
    Array.from({ length: cells }, (_, c): [number, number] => [border + laps + c, 1000]),
    0,
  );
  return {
    rows: right.length,
    knots,
    unknowns: knots + laps + cells + 1,
    start: Int32Array.from(start),
    index: Int32Array.from(index),
    value: Float64Array.from(value),
    right: Float64Array.from(right),
  };
}

/** Solves it with the solver of the method. */
export function solveHere(problem: PlainProblem): Float64Array {
  const { start, index, value, right, knots, unknowns } = problem;
  const system = new BorderedSystem(knots, 1, unknowns - knots);
  for (let row = 0; row < problem.rows; row++) {
    const from = start[row];
    const to = start[row + 1];
    system.add(index.subarray(from, to), value.subarray(from, to), to - from, 1, right[row]);
  }
  return system.factorise(0).solve();
}

/** Writes the problem as raw little-endian columns for `least_squares.py`. */
export function writeProblem(problem: PlainProblem, folder: string): void {
  const { start, index, value, right } = problem;
  for (const [name, column] of Object.entries({ start, index, value, right })) {
    writeFileSync(path.join(folder, name), new Uint8Array(column.buffer));
  }
}
