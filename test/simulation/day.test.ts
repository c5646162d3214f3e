import { test } from 'node:test';
import assert from 'node:assert/strict';
import fc from 'fast-check';
import { near } from '../near.ts';
import { simulateDay } from '../../src/simulation/index.ts';
import { conditionsOf } from '../../src/simulation/conditions.ts';
import { courseOf } from '../../src/simulation/course.ts';
import { potentialGainJ, rideRun, unaccountedJ } from '../../src/simulation/ride.ts';

const lapTimes = (gateTimesS: number[]) => gateTimesS.slice(1).map((t, i) => t - gateTimesS[i]);

test('a rider who does work W gives it to air, road, bearings, brakes, height and speed, and nothing is left over', () => {
  const rides = fc.record({
    seed: fc.integer({ min: 1, max: 1e9 }),
    kind: fc.constantFrom('loop' as const, 'out-and-back' as const),
    turning: fc.constantFrom('coast' as const, 'brake' as const),
    windMps: fc.double({ min: 0, max: 5, noNaN: true }),
    reliefM: fc.double({ min: 0, max: 20, noNaN: true }),
  });
  fc.assert(
    fc.property(rides, ({ seed, kind, turning, windMps, reliefM }) => {
      const day = simulateDay({
        seed,
        course: { kind, turning, reliefM },
        wind: { speedMps: windMps },
        lapsPerRun: 1,
        runsPerSetup: 1,
        setups: 2,
      });
      for (const [i, run] of day.runs.entries()) {
        const { energy } = run.truth;
        const massKg = day.conditions.physics.massKg + day.setups[i].massOffsetKg;
        assert.ok(energy.riderJ > 20_000 && energy.riderJ < 200_000, `work ${energy.riderJ} J`);
        near(unaccountedJ(energy) / energy.riderJ, 0, {
          abs: 1e-4,
          why: 'error of the midpoint rule',
        });
        near(energy.gradeJ, potentialGainJ(massKg, energy), {
          abs: 2,
          why: 'slope taken at the middle of each step',
        });
      }
    }),
    { seed: 20260517, numRuns: 12 },
  );
});

test('the same conditions give the same day to the last bit, another seed another day', () => {
  const small = { lapsPerRun: 1, runsPerSetup: 1, setups: 2 };
  const a = simulateDay({ ...small, seed: 5 });
  const b = simulateDay({ ...small, seed: 5 });
  const c = simulateDay({ ...small, seed: 6 });
  assert.deepEqual(a.runs, b.runs);
  assert.notDeepEqual(a.runs[0].channels.powerW, c.runs[0].channels.powerW);
});

test('taking a sensor away leaves the ride and the other sensors as they were', () => {
  const small = { lapsPerRun: 1, runsPerSetup: 1, setups: 2, seed: 5 };
  const full = simulateDay(small).runs[1];
  const bare = simulateDay({
    ...small,
    sensors: { airspeed: false, altitude: false, position: false },
  }).runs[1];
  assert.deepEqual(bare.truth, full.truth);
  assert.deepEqual(bare.channels.powerW, full.channels.powerW);
  assert.deepEqual(bare.channels.speedMps, full.channels.speedMps);
  for (const name of ['airspeedMps', 'altitudeM', 'latDeg', 'lonDeg'] as const) {
    assert.equal(bare.channels[name], undefined);
    assert.equal(full.channels[name]?.length, full.timeS.length);
  }
});

test('three setups are ridden A B C, C B A, A B C, from near rest, in laps of about four minutes', () => {
  for (const kind of ['loop', 'out-and-back'] as const) {
    const day = simulateDay({ course: { kind }, wind: { speedMps: 2 } });
    const [a, b, c] = day.setups.map(({ id }) => id);
    assert.deepEqual(
      day.runs.map(({ setup }) => setup),
      [a, b, c, c, b, a, a, b, c],
    );
    for (const run of day.runs) {
      assert.ok(run.channels.speedMps[0] < 1.5, 'starts near rest');
      for (const seconds of lapTimes(run.truth.gateTimesS)) {
        near(seconds, 250, { abs: 40, why: 'about four minutes, wind and mood included' });
      }
    }
  }
});

test('runs follow one another on the clock with the changeover between', () => {
  const day = simulateDay({ changeoverMin: 7, lapsPerRun: 1, runsPerSetup: 1 });
  for (let i = 1; i < day.runs.length; i++) {
    const before = day.runs[i - 1];
    const endS = before.startEpochS + before.timeS[before.timeS.length - 1];
    assert.equal(day.runs[i].startEpochS - endS, 7 * 60);
    assert.equal(day.runs[i].startEpochS - day.runs[0].startEpochS, day.runs[i].dayTimeS);
  }
});

test('lap marks are pressed at the gate: between two of them lies one lap length', () => {
  const { runs, conditions } = simulateDay({
    runsPerSetup: 1,
    setups: 2,
    sensors: { distanceNoiseM: 0 },
  });
  for (const run of runs) {
    assert.equal(run.lapMarksS.length, 4);
    const distance = run.channels.distanceM as Float64Array;
    const at = (t: number) => {
      const i = Math.floor(t);
      return distance[i] + (t - i) * (distance[i + 1] - distance[i]);
    };
    for (let lap = 1; lap <= 3; lap++) {
      const length = at(run.lapMarksS[lap]) - at(run.lapMarksS[lap - 1]);
      near(length, conditions.course.lapLengthM, {
        abs: 0.15,
        why: 'straight line between samples while accelerating',
      });
    }
  }
});

test('a rider slows to 4 to 6 m/s for the turns of an out-and-back, without brakes or with them', () => {
  for (const turning of ['coast', 'brake'] as const) {
    const day = simulateDay({
      course: { kind: 'out-and-back', turning },
      wind: { speedMps: 0 },
      runsPerSetup: 1,
      setups: 2,
    });
    for (const run of day.runs) {
      for (let lap = 0; lap < 3; lap++) {
        const slice = run.channels.speedMps.slice(
          run.truth.gateTimesS[lap] + 60,
          run.truth.gateTimesS[lap + 1],
        );
        const slowest = Math.min(...slice);
        assert.ok(slowest > 4 && slowest < 6, `${turning}: ${slowest} m/s`);
      }
      if (turning === 'coast') assert.equal(run.truth.energy.brakeJ, 0);
      else assert.ok(run.truth.energy.brakeJ > 5000);
    }
  }
});

test('laps scatter about the setup by as much as asked, remounts too, and the truth is the setup', () => {
  const day = simulateDay({
    lapsPerRun: 12,
    runsPerSetup: 8,
    setups: 2,
    course: { lapLengthM: 300 },
    rider: { lapTimeS: 30 },
    physics: { lapScatter: 0.01, runScatter: 0.02 },
  });
  const ratios = day.runs.map((run) =>
    run.truth.lapCdaM2.map((cda) => cda / day.truth.cdaM2[run.setup]),
  );
  const mean = (x: number[]) => x.reduce((sum, v) => sum + v, 0) / x.length;
  const within = Math.sqrt(
    mean(
      ratios.map(
        (laps) => laps.reduce((sum, r) => sum + (r - mean(laps)) ** 2, 0) / (laps.length - 1),
      ),
    ),
  );
  const runMeans = ratios.map(mean);
  const between = Math.sqrt(runMeans.reduce((sum, r) => sum + (r - 1) ** 2, 0) / runMeans.length);
  near(within, 0.01, { rel: 0.25, why: '176 degrees of freedom: 5 % standard error' });
  near(between, 0.02, { rel: 0.6, why: '16 runs: 18 % standard error' });
});

test('conditions that cannot be ridden are refused in words', () => {
  assert.throws(() => simulateDay({ setups: 9 }), /2 to 5 setups/);
  assert.throws(() => simulateDay({ runOrder: ['nobody'] }), /unknown setup nobody/);
  assert.throws(() => simulateDay({ stepS: 0.3 }), /step/);
  assert.throws(
    () => simulateDay({ rider: { targetPowerW: 0 }, lapsPerRun: 1 }),
    /does not get round/,
  );
});

test('a step of 0.1 s is fine enough: at 0.025 s laps take the same time to a fiftieth of a second', () => {
  for (const kind of ['loop', 'out-and-back'] as const) {
    const gates = [0.1, 0.025].map((stepS) => {
      const conditions = conditionsOf({ stepS, course: { kind } });
      const ride = rideRun({
        conditions,
        course: courseOf(conditions),
        setup: conditions.setups[0],
        lapCdaM2: [0.24, 0.24],
        wind: null,
        densityKgM3: 1.2,
        targetPowerW: 220,
        riderStream: null,
        incidents: [],
      });
      return ride.gateTimesS;
    });
    near(gates[0], gates[1], { abs: 0.02, why: 'five times the error of the step' });
  }
});
