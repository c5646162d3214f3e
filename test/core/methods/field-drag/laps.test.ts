import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import type { LapStretch } from '../../../../src/core/methods/field-drag/stretches.ts';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { simulateDay } from '../../../../src/simulation/index.ts';
import { near } from '../../../near.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';
import { circle, madeDay, straight, thereAndBack, type MadeRun, type Road } from './made-rides.ts';

const lapsOf = (evidence: DayEvidence) => findLaps(evidence, prepareDay(evidence));
const lengths = (laps: LapStretch[]) => laps.map((lap) => lap.toPathM - lap.fromPathM);
const lapM = 1500;

function refusal(run: () => unknown): LapbenchError['problems'][number] {
  try {
    run();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems[0];
    throw error;
  }
  throw new Error('nothing was refused');
}

/** Five passes of the gate, so four laps, beginning some way before it. */
const around = (more: Partial<MadeRun> = {}): MadeRun => ({
  road: circle(lapM),
  fromM: -300,
  toM: 4 * lapM + 200,
  ...more,
});
const gates = [0, 1, 2, 3, 4].map((k) => k * lapM);

test('lap marks pressed seconds late are drawn to one gate where positions are known', () => {
  const late = [
    [0.5, 4, 1, 3, 0.2],
    [2, 0.5, 5, 1, 2.5],
  ];
  const runs = late.map((markDelaysS) => around({ marksAtM: gates, markDelaysS }));
  const { laps, lapLengthM } = lapsOf(madeDay('loop', runs));
  near(lapLengthM, lapM, { abs: 1, why: 'straight lines between samples of a circle' });
  assert.deepEqual(
    laps.map((run) => run.length),
    [4, 4],
  );
  // By the marks alone the first lap of the first run would be 35 m too long.
  for (const length of laps.flatMap(lengths)) {
    near(length, lapM, { abs: 1.5, why: 'one gate for all' });
  }
  // And all runs begin their laps at the same spot, 300 m ridden before the gate plus one delay.
  near(laps[0][0].fromPathM, laps[1][0].fromPathM, { abs: 1.5, why: 'one gate for all' });
});

test('a button pressed twice within a second is one mark', () => {
  const marksAtM = gates.flatMap((m) => (m === 2 * lapM ? [m, m + 8] : [m]));
  const { laps } = lapsOf(madeDay('loop', [around({ marksAtM, positions: false })]));
  near(lengths(laps[0]), [lapM, lapM, lapM, lapM], { abs: 2, why: 'the first press counts' });
  for (let i = 1; i < 4; i++) assert.equal(laps[0][i].fromPathM, laps[0][i - 1].toPathM);
});

test('without marks laps are found where the track passes the same place in the same direction', () => {
  const { laps, lapLengthM, gate } = lapsOf(madeDay('loop', [around(), around({ fromM: -700 })]));
  near(lapLengthM, lapM, { abs: 1, why: 'straight lines between samples of a circle' });
  assert.ok(gate !== null);
  assert.deepEqual(
    laps.map((run) => run.length),
    [4, 4],
  );
});

test('the other lane, ridden the other way 12 m beside the gate, is no pass of it', () => {
  // A long, narrow circuit: 740 m east, a half circle, back 12 m to the north, a half circle.
  const radius = 6;
  const side = 740;
  const turn = Math.PI * radius;
  const length = 2 * side + 2 * turn;
  const narrow: Road = (ride) => {
    const s = ((ride % length) + length) % length;
    if (s < side) return [s - 300, 0];
    if (s < side + turn) {
      const a = (s - side) / radius;
      return [side - 300 + radius * Math.sin(a), radius * (1 - Math.cos(a))];
    }
    if (s < 2 * side + turn) return [side - 300 - (s - side - turn), 2 * radius];
    const a = (s - 2 * side - turn) / radius;
    return [-300 - radius * Math.sin(a), radius * (1 + Math.cos(a))];
  };
  const run: MadeRun = { road: narrow, fromM: 300, toM: 300 + 3 * length };
  const { laps, lapLengthM } = lapsOf(madeDay('loop', [run, run]));
  near(lapLengthM, length, { abs: 3, why: 'corners are cut between samples' });
  assert.deepEqual(
    laps.map((one) => one.length),
    [3, 3],
  );
});

test('marks without positions give laps of one even length, however the button was pressed', () => {
  const markDelaysS = [1.5, 0, 2, 0.4, 1];
  const runs = [around({ marksAtM: gates, markDelaysS, positions: false })];
  const { laps, lapLengthM, gate } = lapsOf(madeDay('loop', runs));
  assert.equal(gate, null);
  assert.equal(laps[0].length, 4);
  near(lapLengthM, lapM, { abs: 12, why: 'the median of laps that are 10 to 20 m off' });
  const own = lengths(laps[0]);
  near(own, Array<number>(4).fill(own[0]), { abs: 1e-6, why: 'an even ladder through the marks' });
  // Single marks err by up to 20 m in the length of a lap; drawn to a ladder by a few metres.
  near(own[0], lapM, { abs: 3, why: 'slope through five marks' });
});

test('a run that starts 20 m past the gate, as one that stops 20 m short of it, has its whole lap', () => {
  const late = around({ fromM: 20, toM: 3 * lapM - 20 });
  const { laps } = lapsOf(madeDay('loop', [around({ marksAtM: gates }), late, late]));
  assert.deepEqual(
    laps.map((run) => run.length),
    [4, 3, 3],
  );
  near(laps[1][0].fromPathM, -20, { abs: 1.5, why: 'the gate lies before the first sample' });
});

test('a run that starts 200 m past the gate does not have that lap', () => {
  const { laps } = lapsOf(
    madeDay('loop', [around({ marksAtM: gates }), around({ fromM: 200, toM: 3 * lapM + 100 })]),
  );
  assert.deepEqual(
    laps.map((run) => run.length),
    [4, 2],
  );
  near(laps[1][0].fromPathM, lapM - 200, { abs: 1.5, why: 'the first whole lap' });
});

test('warm-up and cool-down are not counted as laps', () => {
  const run = around({ fromM: -1200, toM: 4 * lapM + 1100, marksAtM: gates });
  const { laps } = lapsOf(madeDay('loop', [run, run]));
  for (const own of laps) {
    assert.equal(own.length, 4);
    near(own[0].fromPathM, 1200, { abs: 1.5, why: 'the first pass of the gate' });
  }
});

test('a device that presses every kilometre by itself does not cut a loop of 1.5 km into kilometres', () => {
  const marksAtM = Array.from({ length: 6 }, (_, k) => -300 + 1000 * (k + 1));
  const { laps, lapLengthM } = lapsOf(
    madeDay('loop', [around({ marksAtM }), around({ marksAtM })]),
  );
  near(lapLengthM, lapM, { abs: 1, why: 'the circle' });
  for (const own of laps) assert.equal(own.length, 4);
});

test('a forgotten press costs no lap where positions are known', () => {
  const some = around({ marksAtM: gates.filter((_, k) => k !== 2) });
  const { laps } = lapsOf(madeDay('loop', [around({ marksAtM: gates }), some]));
  assert.deepEqual(
    laps.map((run) => run.length),
    [4, 4],
  );
});

test('the gate may be stated in the sheet, and laps begin there', () => {
  // A quarter of the circle on from the start: 1500/(2π) m east, as much north.
  const radius = lapM / (2 * Math.PI);
  const degree = (Math.PI / 180) * 6371008.8;
  const change = (day: DayEvidence['day']) => {
    day.course.gate = {
      latDeg: 0.1 + radius / degree,
      lonDeg: -30 + radius / (degree * Math.cos((0.1 * Math.PI) / 180)),
    };
  };
  const { laps } = lapsOf(madeDay('loop', [around(), around()], { change }));
  for (const own of laps) near(own[0].fromPathM, 300 + lapM / 4, { abs: 2, why: 'sampled track' });
});

test('there and back with turns at varying spots is cut at the turns that were ridden', () => {
  const legs = [1010, 985, 1000, 1022, 990, 1004];
  const run: MadeRun = {
    road: thereAndBack(legs),
    toM: legs.reduce((a, b) => a + b, 0) - 1,
    // Slow into each turn, as a rider is.
    speedAt: (s) => {
      let at = 0;
      let nearest = Infinity;
      for (const leg of legs) {
        at += leg;
        nearest = Math.min(nearest, Math.abs(s - at));
      }
      return 10 - 5 * Math.exp(-((nearest / 25) ** 2));
    },
  };
  const { laps, lapLengthM } = lapsOf(madeDay('out-and-back', [run]));
  assert.equal(laps[0].length, 3);
  near(lapLengthM, 2000, { abs: 20, why: 'the median leg' });
  let ridden = 0;
  laps[0].forEach((lap, i) => {
    near(lap.fromPathM, ridden, { abs: 6, why: 'a turn lies between samples' });
    near(lap.turnPathM!, ridden + legs[2 * i], { abs: 6, why: 'a turn lies between samples' });
    ridden += legs[2 * i] + legs[2 * i + 1];
  });
});

test('there and back with marks and no positions turns where the rider was slowest', () => {
  const speedAt = (s: number) => 10 - 6 * Math.exp(-((((s % 2000) - 1030) / 20) ** 2));
  const marksAtM = [0.5, 2000, 4000, 6000];
  const run: MadeRun = { toM: 6010, speedAt, marksAtM, positions: false };
  const { laps, warnings } = lapsOf(madeDay('out-and-back', [run]));
  assert.equal(laps[0].length, 3);
  for (const lap of laps[0]) {
    near(lap.turnPathM! - lap.fromPathM, 1030, { abs: 8, why: 'one sample is up to 10 m' });
  }
  assert.deepEqual(
    warnings.map(({ code }) => code),
    ['heading-missing'],
  );
});

test('with neither marks nor positions a stated lap length counts laps off, and says so', () => {
  const run: MadeRun = { toM: 4 * lapM + 500, positions: false };
  const { laps, warnings, lapLengthM } = lapsOf(madeDay('loop', [run], { lapLengthM: lapM }));
  assert.equal(lapLengthM, lapM);
  near(lengths(laps[0]), Array<number>(4).fill(lapM), { abs: 1e-9, why: 'counted off' });
  assert.deepEqual(
    warnings.map(({ code }) => code),
    ['laps-not-found'],
  );
});

test('a ride without laps is refused with what to do about it', () => {
  // Two one-way rides of different length: neither loop nor turn, and no two alike.
  const nowhere: MadeRun = { toM: 4000, road: straight };
  const other: MadeRun = { toM: 5000, road: straight };
  const problem = refusal(() => lapsOf(madeDay('loop', [nowhere, other])));
  assert.equal(problem.code, 'laps-not-found');
  assert.equal(problem.file, 'run-1.fit');
  assert.match(problem.message, /never passes the same gate twice in the same direction/);
  assert.match(problem.remedy!, /lap button.*positions.*lapLengthM/);

  const blind = { positions: false };
  const nothing = refusal(() =>
    lapsOf(
      madeDay('loop', [
        { ...nowhere, ...blind },
        { ...other, ...blind },
      ]),
    ),
  );
  assert.match(nothing.message, /neither lap marks nor positions/);
  const back = refusal(() => lapsOf(madeDay('out-and-back', [nowhere])));
  assert.match(back.message, /no turnarounds/);
});

/** One straight road ridden the same way in every run, start to stop. */
const oneWay = (more: Partial<MadeRun> = {}): MadeRun => ({
  toM: 2000,
  road: straight,
  altitude: true,
  ...more,
});

test('a loop sheet on a one-way road without airspeed is refused: wind and drag are one', () => {
  const problem = refusal(() =>
    estimateFieldDrag(
      madeDay(
        'loop',
        Array.from({ length: 6 }, () => oneWay()),
      ),
    ),
  );
  assert.equal(problem.code, 'wind-unknown');
  assert.match(problem.message, /one direction only, without an airspeed sensor/);
  assert.match(problem.remedy!, /there and back|airspeed/);
});

test('with an airspeed sensor a one-way road will do', () => {
  const runs = Array.from({ length: 6 }, (_, i) =>
    oneWay({ headwindMps: 1, powerW: 250 + (i % 3) }),
  );
  const finding = estimateFieldDrag(madeDay('loop', runs));
  assert.equal(finding.laps.length, 6);
  assert.ok(finding.laps.every((lap) => lap.used));
  assert.equal(finding.differences.length, 1);
});

test('on simulated loops and there-and-backs every lap ridden is found, with marks or without', () => {
  for (const [kind, lapMarks] of [
    ['loop', true],
    ['loop', false],
    ['out-and-back', true],
    ['out-and-back', false],
  ] as const) {
    const day = simulateDay({
      seed: 71,
      course: { kind },
      sensors: { lapMarks, lapMarkJitterS: 2 },
      setups: 2,
      runsPerSetup: 2,
      lapsPerRun: 3,
    });
    const evidence = evidenceOf(day);
    const series = prepareDay(evidence);
    const { laps, lapLengthM } = findLaps(evidence, series);
    assert.deepEqual(
      laps.map((run) => run.length),
      [3, 3, 3, 3],
      `${kind}, marks ${lapMarks}`,
    );
    near(lapLengthM, 2500, { rel: 0.01, why: 'positions 2.5 m off, turns between samples' });
  }
});
