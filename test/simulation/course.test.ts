import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { conditionsOf } from '../../src/simulation/conditions.ts';
import { courseOf } from '../../src/simulation/course.ts';

const courses = [1, 2, 3].flatMap((seed) =>
  (['loop', 'out-and-back'] as const).map((kind) => ({
    kind,
    course: courseOf(conditionsOf({ seed, course: { kind } })),
  })),
);

test('a lap ends where it began, in plan and in height', () => {
  for (const { course } of courses) {
    const [east, north] = course.eastNorthM(course.lapLengthM - 1e-9);
    near([east, north], [0, 0], { abs: 0.05, why: 'heading integrated in half-metre steps' });
    near(course.heightM(course.lapLengthM), course.heightM(0), { abs: 1e-9, why: 'periodic' });
    near(course.heightM(0), 0, { abs: 1e-9, why: 'heights count from the gate' });
  }
});

test('the slope is the rise of the height per metre ridden', () => {
  for (const { course } of courses) {
    for (let s = 3.7; s < course.lapLengthM; s += 97.3) {
      const rise = (course.heightM(s + 0.01) - course.heightM(s - 0.01)) / 0.02;
      near(course.slope(s), rise, { abs: 1e-6, why: 'central difference' });
    }
  }
});

test('the track runs along its heading', () => {
  for (const { course } of courses) {
    for (let s = 3.7; s < course.lapLengthM - 2; s += 97.3) {
      const [e0, n0] = course.eastNorthM(s - 1);
      const [e1, n1] = course.eastNorthM(s + 1);
      near(Math.cos(Math.atan2(e1 - e0, n1 - n0) - course.headingRad(s)), 1, {
        abs: 1e-3,
        why: 'chord of a gentle bend',
      });
    }
  }
});

test('an out-and-back meets the same height on the way out and back, ten metres to the side', () => {
  for (const { kind, course } of courses) {
    if (kind === 'loop') continue;
    for (const s of [100, 400, 900, 1200]) {
      near(course.heightM(course.lapLengthM - s), course.heightM(s), {
        abs: 1e-9,
        why: 'same road',
      });
      const [e0, n0] = course.eastNorthM(s);
      const [e1, n1] = course.eastNorthM(course.lapLengthM - s);
      near(Math.hypot(e1 - e0, n1 - n0), 10, {
        abs: 0.3,
        why: 'turn of 5 m radius, gentle bend between',
      });
      near(Math.cos(course.headingRad(s) - course.headingRad(course.lapLengthM - s)), -1, {
        abs: 1e-9,
        why: 'opposite ways',
      });
    }
  }
});

test('the relief is as asked', () => {
  for (const { course } of courses) {
    const heights = Array.from({ length: 500 }, (_, i) => course.heightM(i * 5));
    near(Math.max(...heights) - Math.min(...heights), 6, {
      abs: 0.1,
      why: 'searched in steps of 5 m',
    });
  }
});

test('shelter is off by default and has the spread asked for when on', () => {
  for (const { course } of courses) assert.equal(course.shelter(1234), 1);
  const sheltered = courseOf(conditionsOf({ wind: { shelterSpread: 0.2 } }));
  const factors = Array.from({ length: 2500 }, (_, s) => sheltered.shelter(s));
  const mean = factors.reduce((sum, f) => sum + f, 0) / factors.length;
  const sd = Math.sqrt(factors.reduce((sum, f) => sum + (f - mean) ** 2, 0) / factors.length);
  near(mean, 1, { abs: 0.01, why: 'whole waves over the lap' });
  near(sd, 0.2, { abs: 0.005, why: 'four waves of equal size' });
});
