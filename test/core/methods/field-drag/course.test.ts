import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import { layCourse, type Course } from '../../../../src/core/methods/field-drag/course.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { roadPosition } from '../../../../src/core/methods/field-drag/legs.ts';
import { smooth, TableMean } from '../../../../src/core/methods/field-drag/road-table.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import { firstAt, interpolate, lookup } from '../../../../src/core/methods/field-drag/tables.ts';
import { near } from '../../../near.ts';
import { circle, madeDay, thereAndBack, type MadeRun } from './made-rides.ts';

const lapM = 1500;
const marks = [0, lapM, 2 * lapM, 3 * lapM];

function coursed(evidence: DayEvidence): Course {
  const series = prepareDay(evidence);
  return layCourse(evidence, series, findLaps(evidence, series));
}

/** Writes an altitude over the ride: height of the road, and a drift of the instrument. */
function withAltitude(
  evidence: DayEvidence,
  heightAt: (rideM: number) => number,
  driftMPerS: number,
  fromM: number,
): DayEvidence {
  evidence.recordings.forEach((recording, run) => {
    const { speedMps } = recording.channels;
    let ride = fromM;
    recording.channels.altitudeM = recording.timeS.map((t, i) => {
      if (i > 0) ride += 0.5 * (speedMps![i] + speedMps![i - 1]) * (t - recording.timeS[i - 1]);
      return 100 + 7 * run + heightAt(ride) + driftMPerS * t;
    });
  });
  return evidence;
}

const round: MadeRun = { road: circle(lapM), fromM: -100, toM: 3 * lapM + 90, marksAtM: marks };

test("the road's height is found though the barometer drifts by metres a lap", () => {
  const height = (s: number) => 4 * Math.sin((2 * Math.PI * s) / lapM);
  const course = coursed(withAltitude(madeDay('loop', [round, round]), height, 0.02, -100));
  // Three metres of drift a lap, on eight of relief.
  near(
    course.heightM,
    Array.from(course.heightM, (_, i) => height(i * course.stepM)),
    { abs: 0.1, why: 'smoothed over some 50 m' },
  );
  near(course.heightM[0], course.heightM[course.heightM.length - 1], {
    abs: 1e-9,
    why: 'a loop ends at the height it began',
  });
});

test('riding directions are along the track, and turn once round on a loop', () => {
  const { tangentEast, tangentNorth, lengthM, stepM } = coursed(madeDay('loop', [round, round]));
  near(lengthM, lapM, { abs: 1, why: 'straight lines between samples' });
  const bearings = Array.from(tangentEast!, (east, i) => Math.atan2(tangentNorth![i], east));
  bearings.slice(0, -1).forEach((bearing, i) => {
    const expected = (2 * Math.PI * i * stepM) / lapM;
    const off = Math.atan2(Math.sin(bearing - expected), Math.cos(bearing - expected));
    near(off, 0, { abs: 0.03, why: 'averaged over three samples of a circle' });
  });
});

test('gates cut the road evenly, some 200 m apart', () => {
  const { gatesM, lengthM } = coursed(madeDay('loop', [round, round]));
  assert.equal(gatesM.length, 9);
  assert.equal(gatesM[0], 0);
  near(gatesM[8], lengthM, { rel: 1e-12, why: 'the end of the lap' });
  near(gatesM[1], lengthM / 8, { rel: 1e-12, why: 'even' });
});

test('there and back, each leg lies where its positions say, wherever the rider turned', () => {
  const legs = [1015, 990, 1000, 1012, 988, 1007];
  const run: MadeRun = {
    road: thereAndBack(legs),
    toM: legs.reduce((a, b) => a + b, 0) - 2,
    speedMps: 9,
  };
  const course = coursed(madeDay('out-and-back', [run]));
  assert.equal(course.legs.length, 6);
  // The road coordinate of a spot 500 m east of the start, on each leg as it was ridden.
  let path = 0;
  let east = 0;
  const spots = legs.map((leg, i) => {
    const before = east;
    east += i % 2 === 0 ? leg : -leg;
    const atPath = path + Math.abs(500 - before);
    path += leg;
    return roadPosition(course.legs[i], atPath);
  });
  const middle = spots.reduce((a, b) => a + b, 0) / spots.length;
  near(spots, Array<number>(6).fill(middle), {
    abs: 3,
    why: 'by the turns alone they would lie up to 20 m apart',
  });
  assert.deepEqual(
    course.legs.map((leg) => leg.sense),
    [1, -1, 1, -1, 1, -1],
  );
});

test('a table of means spreads each value over its neighbours and bridges what nobody passed', () => {
  const open = new TableMean(4, false);
  open.add(0.5, 10);
  open.add(3, 40);
  near(open.table(), [10, 10, 25, 40, 40], { abs: 1e-12, why: 'straight lines between' });
  const loop = new TableMean(4, true);
  loop.add(0, 10);
  loop.add(4, 30);
  const table = loop.table();
  assert.equal(table[0], 20);
  assert.equal(table[4], 20);
});

test('smoothing leaves a straight slope as it is, also at the ends of an open road', () => {
  const slope = Float64Array.from({ length: 20 }, (_, i) => 3 * i);
  near(smooth(slope, 3, false), slope, { abs: 1e-12, why: 'a symmetric mean of a line' });
});

test('looking up between table points, and beyond their ends', () => {
  const table = Float64Array.of(0, 10, 40);
  assert.deepEqual(
    [-5, 0, 1, 3, 9].map((x) => lookup(table, 2, x)),
    [0, 0, 5, 25, 40],
  );
  assert.equal(interpolate([0, 2, 2, 6], [1, 3, 5, 9], 4), 7);
  assert.deepEqual(
    [-1, 0, 1, 1.5, 9].map((x) => firstAt(Float64Array.of(0, 1, 1, 2), x)),
    [0, 0, 1, 3, 4],
  );
});
