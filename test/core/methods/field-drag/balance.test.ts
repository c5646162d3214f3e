import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Day, DayEvidence } from '../../../../src/core/evidence/index.ts';
import { balanceRows, type Balance } from '../../../../src/core/methods/field-drag/balance.ts';
import { layCourse } from '../../../../src/core/methods/field-drag/course.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { maskOf, type LeftOutSpan } from '../../../../src/core/methods/field-drag/leave-out.ts';
import { airWorkBy, airWorkJ } from '../../../../src/core/methods/field-drag/model.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import {
  airDensityKgM3,
  bearingPowerW,
  effectiveMassKg,
} from '../../../../src/core/physics/index.ts';
import { near } from '../../../near.ts';
import { circle, madeDay, ridden, type MadeRun } from './made-rides.ts';

const lapM = 1500;
const massKg = 85;
const crr = 0.0045;
const efficiency = 0.975;
const gravity = 9.80665;
const mass = effectiveMassKg(massKg, 0.14, 0.336);
const density = airDensityKgM3({
  temperatureC: 15,
  pressureHPa: 1010,
  relativeHumidityPercent: 60,
});
const cdaM2 = 0.264;

/** Two laps and a little at the power given, in still air on the flat, every force known. */
function ride(
  more: Partial<MadeRun> & { cda?: number; bearings?: boolean; start?: number } = {},
): MadeRun {
  const { cda = cdaM2, bearings = true, start = -130, ...run } = more;
  const powerAtM = run.powerAtM ?? (() => 260);
  const toM = 2 * lapM + 120;
  return {
    road: circle(lapM),
    fromM: start,
    toM,
    marksAtM: [0, lapM, 2 * lapM],
    powerAtM,
    speedAt: ridden({
      powerAtM,
      resistanceN: (v) =>
        0.5 * density * cda * v * v +
        crr * massKg * gravity +
        (bearings ? bearingPowerW(v) / v : 0),
      effectiveMassKg: mass,
      efficiency,
      startSpeedMps: 7,
      fromM: start,
      toM,
    }),
    ...run,
  };
}

const oneRun = (run: MadeRun, change?: (day: Day) => void): DayEvidence =>
  madeDay('loop', [run], { change });

function balanced(evidence: DayEvidence, spans: LeftOutSpan[] = []): Balance {
  const series = prepareDay(evidence);
  const course = layCourse(evidence, series, findLaps(evidence, series));
  return balanceRows(evidence, series.runs, course, maskOf(series.runs, spans));
}

/** Work that went into the air over what one square metre would have taken, for each lap. */
function lapAreas({ rows, steps }: Balance): number[] {
  const work: number[] = [];
  const perM2: number[] = [];
  for (const row of rows) {
    work[row.lap] = (work[row.lap] ?? 0) + airWorkJ(row, efficiency, row.riseM);
    for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
      const v = steps.speedMps[s];
      perM2[row.lap] = (perM2[row.lap] ?? 0) + 0.5 * steps.densityKgM3[s] * v ** 3 * steps.dtS[s];
    }
  }
  return work.map((value, i) => value / perM2[i]);
}

test('energy closes on every stretch of a ride without air: what the rider puts in is in speed and rolling', () => {
  const { rows } = balanced(
    oneRun(ride({ cda: 0, bearings: false, powerAtM: () => 60 }), (day) => {
      day.constants.bearingLosses = false;
    }),
  );
  assert.ok(rows.length >= 14);
  for (const row of rows) {
    // About 1500 J come in over each stretch and half of that is gained in speed.
    near(airWorkJ(row, efficiency, 0), 0, { abs: 3, why: 'speed at a gate read between samples' });
    near(row.workJ, 60 * row.durationS, { rel: 1e-9, why: 'constant power' });
  }
});

test('on a ride that gathers speed every lap shows the drag area that held it back', () => {
  near(lapAreas(balanced(oneRun(ride()))), [cdaM2, cdaM2], {
    rel: 5e-4,
    why: 'first lap from 7 m/s: a fifth of its energy is kinetic; straight lines between samples',
  });
});

test('a lap that starts between two samples is cut there, not at the nearest sample', () => {
  for (const part of [0.2, 0.4, 0.6, 0.8]) {
    const areas = lapAreas(balanced(oneRun(ride({ start: -130 + 10 * part }))));
    // One sample more or less would be half a per cent of a lap's energy, and 9 m of 1500.
    near(areas, [cdaM2, cdaM2], { rel: 7e-4, why: 'straight lines between samples' });
  }
});

test('recordings at 4 Hz, 1 Hz and every other second show the same drag area', () => {
  const powerAtM = (s: number) => 260 + 60 * Math.sin((2 * Math.PI * s) / 700);
  for (const [stepS, rel] of [
    [0.25, 5e-4],
    [1, 5e-4],
    [2, 2e-3],
  ]) {
    near(lapAreas(balanced(oneRun(ride({ stepS, powerAtM })))), [cdaM2, cdaM2], {
      rel,
      why: `straight lines between samples ${stepS} s apart`,
    });
  }
});

test('a recording faster than 1 Hz is taken in steps of about a second', () => {
  const fast = balanced(oneRun(ride({ stepS: 0.25 })));
  const slow = balanced(oneRun(ride({ stepS: 1 })));
  near(fast.steps.count, slow.steps.count, { rel: 0.1, why: 'the same ride' });
});

/** Takes samples out of a recording, as a device does that stops for a while. */
function withGap(evidence: DayEvidence, fromS: number, toS: number): DayEvidence {
  const [recording] = evidence.recordings;
  const kept = Array.from(recording.timeS.keys()).filter(
    (i) => recording.timeS[i] <= fromS || recording.timeS[i] >= toS,
  );
  const pick = (column: Float64Array) => Float64Array.from(kept, (i) => column[i]);
  recording.timeS = pick(recording.timeS);
  for (const [name, column] of Object.entries(recording.channels)) {
    recording.channels[name as keyof typeof recording.channels] = pick(column);
  }
  return evidence;
}

test('a gap in the recording costs its stretch of road and nothing else: the lap keeps its drag area', () => {
  // From 60 to 75 s the rider still gathers speed: carrying the work across would be 20 % off.
  const evidence = withGap(oneRun(ride()), 60, 75);
  const { rows, steps } = balanced(evidence);
  near(lapAreas({ rows, steps }), [cdaM2, cdaM2], {
    rel: 2e-3,
    why: 'straight lines beside the gap',
  });
  for (const row of rows) {
    const from = row.dayTimeS - row.durationS / 2;
    const to = row.dayTimeS + row.durationS / 2;
    assert.ok(to <= 60 + 1e-6 || from >= 75 - 1e-6, `a row from ${from} to ${to} s`);
  }
});

test('a span that is left out is cut around: a power spike does not reach the drag area', () => {
  const evidence = oneRun(ride());
  const { powerW } = evidence.recordings[0].channels;
  for (let i = 100; i <= 104; i++) powerW![i] = 1200;
  const spoiled = lapAreas(balanced(evidence))[0];
  assert.ok(spoiled > 1.05 * cdaM2, 'the false power would be seen');
  const span = { run: 0, fromIndex: 99, toIndex: 105, reason: 'power spike' };
  const { rows, steps } = balanced(evidence, [span]);
  near(lapAreas({ rows, steps }), [cdaM2, cdaM2], { rel: 2e-3, why: 'straight lines beside it' });
  let ridden = 0;
  for (const row of rows) {
    const [from, to] = [row.dayTimeS - row.durationS / 2, row.dayTimeS + row.durationS / 2];
    assert.ok(to <= 98 + 1e-6 || from >= 105 - 1e-6, `a row from ${from} to ${to} s`);
    if (row.lap === 0) ridden += row.durationS;
    assert.ok(row.distanceM > 0.33 * (lapM / 8), `a row of ${row.distanceM} m of road`);
  }
  const whole = balanced(evidence)
    .rows.filter((row) => row.lap === 0)
    .reduce((sum, row) => sum + row.durationS, 0);
  near(whole - ridden, 7, { abs: 8, why: 'the span, and beside it a piece too short to use' });
});

test('rows add up to the lap: time, distance and work', () => {
  const evidence = oneRun(ride());
  const { rows } = balanced(evidence);
  const lap = rows.filter((row) => row.lap === 1);
  const sum = (of: (row: (typeof rows)[number]) => number) =>
    lap.reduce((s, row) => s + of(row), 0);
  near(
    sum((row) => row.distanceM),
    lapM,
    { abs: 1, why: 'a circle between samples' },
  );
  near(
    sum((row) => row.workJ),
    260 * sum((row) => row.durationS),
    { rel: 1e-9, why: 'constant power' },
  );
  const inSteps = lap.map((row) => {
    const { dtS, speedMps } = balanced(evidence).steps;
    let path = 0;
    for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++)
      path += dtS[s] * speedMps[s];
    return path;
  });
  near(
    inSteps,
    lap.map((row) => row.distanceM),
    { rel: 1e-9, why: 'the same path in steps' },
  );
});

test("a setup's own mass, inertia and rolling resistance enter its rows", () => {
  const evidence = oneRun(ride(), (day) => {
    Object.assign(day.setups[0], { massOffsetKg: 2, wheelInertiaKgM2: 0.3, crr: 0.006 });
  });
  const [row] = balanced(evidence).rows;
  assert.equal(row.massKg, 87);
  assert.equal(row.crr, 0.006);
  near(row.effectiveMassKg, 87 + 0.3 / 0.336 ** 2, { rel: 1e-12, why: 'm + I/r²' });
});

test('the changes of the equation with its constants are its derivatives', () => {
  const [row] = balanced(oneRun(ride())).rows;
  const climbing = { ...row, riseM: 3 };
  const at = (change: Partial<typeof row>, by = 0) =>
    airWorkJ({ ...climbing, ...change }, efficiency + by, { ...climbing, ...change }.riseM);
  const tolerance = { rel: 1e-6, why: 'the equation is linear in each' };
  const d = 0.1;
  near((at({ crr: row.crr + d }) - at({})) / d, airWorkBy.crr(climbing), tolerance);
  near((at({}, d) - at({})) / d, airWorkBy.efficiency(climbing), tolerance);
  near((at({ riseM: 3 + d }) - at({})) / d, airWorkBy.riseM(climbing), tolerance);
  const heavier = { massKg: row.massKg + d, effectiveMassKg: row.effectiveMassKg + d };
  near((at(heavier) - at({})) / d, airWorkBy.massKg(climbing), tolerance);
});
