/** What goes wrong on a bench: said with its line, and with what to do. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { DeflectionReading } from '../../../../src/core/evidence/index.ts';
import { estimateStiffness, type LoadUnit } from '../../../../src/core/methods/index.ts';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { near } from '../../../near.ts';
import { madeReadings } from './made-bench.ts';

interface Asked {
  preloadN?: number;
  loadN?: number;
  loadUnit?: LoadUnit | null;
}

const reduce = (readings: readonly DeflectionReading[], asked: Asked = {}) =>
  estimateStiffness({
    readings,
    preloadN: 30,
    loadN: 196.1,
    loadUnit: null,
    inputs: [],
    ...asked,
  });

function refused(readings: readonly DeflectionReading[], asked: Asked = {}) {
  try {
    reduce(readings, asked);
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    for (const problem of error.problems) assert.ok(problem.remedy, problem.message);
    return error.problems[0];
  }
  assert.fail('nothing was refused');
}

/** From reading `from` of a mounting on, the dial shows `by` less. */
const reset = (readings: DeflectionReading[], remount: string, from: number, by?: number) => {
  const own = readings.filter((one) => one.remount === remount);
  const shift = by ?? own[from].deflectionMm;
  for (const one of own.slice(from))
    one.deflectionMm = Number((one.deflectionMm - shift).toFixed(6));
  return readings;
};

test('a dial reset in the middle of one mounting: said with its line, that mounting left out', () => {
  const finding = reduce(reset(madeReadings(), '3', 4));
  const said = finding.warnings.filter(({ code }) => code === 'dial-reset');
  assert.equal(said.length, 1);
  assert.match(said[0].message, /^Remount 3 at 0°: the dial falls from .* reset/);
  assert.equal(said[0].place?.line, 2 * 16 + 4 + 2);
  assert.equal(finding.remounts, 4);
  assert.ok(finding.ci95[0] < 74 && 74 < finding.ci95[1]);
  assert.equal(finding.series[2].used, false);
  assert.match(finding.series[2].reason ?? '', /reset/);
});

test('a dial reset at the top or on the way down is found too, and one of a sixth of the range', () => {
  for (const [from, by] of [
    [8, undefined],
    [11, undefined],
    [5, 0.45],
  ] as const) {
    const finding = reduce(reset(madeReadings(), '2', from, by));
    assert.ok(
      finding.warnings.some(({ code }) => code === 'dial-reset'),
      `from reading ${from}`,
    );
    assert.equal(finding.remounts, 4);
  }
});

test('a dial reset in the only mounting is refused', () => {
  const problem = refused(reset(madeReadings({ remounts: 1 }), '1', 4));
  assert.equal(problem.code, 'dial-reset');
  assert.equal(problem.place?.line, 6);
});

test('load without deflection: a dial that never moves, and one that stops', () => {
  const still = madeReadings().map((one) => ({ ...one, deflectionMm: 0.02 }));
  assert.equal(refused(still).code, 'load-without-deflection');
  const stops = madeReadings().map((one) => ({
    ...one,
    deflectionMm: one.remount === '1' && one.loadN > 120 ? 1.8 : one.deflectionMm,
  }));
  const finding = reduce(stops);
  assert.ok(
    finding.warnings.some(
      ({ code, message }) =>
        ['load-without-deflection', 'dial-reset'].includes(code) && message.startsWith('Remount 1'),
    ),
  );
  assert.equal(finding.remounts, 4);
});

test('columns load_n and deflection_mm swapped', () => {
  const swapped = madeReadings().map((one) => ({
    ...one,
    loadN: one.deflectionMm,
    deflectionMm: one.loadN,
  }));
  const problem = refused(swapped);
  assert.equal(problem.code, 'columns-swapped');
  assert.match(problem.message, /swapped/);
});

const inKilograms = (readings: DeflectionReading[]): DeflectionReading[] =>
  readings.map((one) => ({ ...one, loadN: Number((one.loadN / 9.80665).toFixed(3)) }));

test('kilograms entered as newtons: asked, and taken as kilograms once that is said', () => {
  const kilograms = inKilograms(madeReadings());
  const problem = refused(kilograms);
  assert.equal(problem.code, 'reading-unit');
  assert.match(problem.message, /23\.056.*kilograms/);
  assert.match(problem.remedy ?? '', /--load-unit kg/);
  assert.equal(problem.place?.field, 'load_n', 'a form asks about the readings');
  const finding = reduce(kilograms, { loadUnit: 'kg' });
  near(finding.lateralNPerMm, reduce(madeReadings()).lateralNPerMm, {
    rel: 1e-4,
    why: 'kilograms written to a gram',
  });
});

test('20 asked for instead of 196, with the readings in newtons or in kilograms', () => {
  const asked = refused(madeReadings(), { preloadN: 3, loadN: 20 });
  assert.equal(asked.code, 'reading-unit');
  assert.match(asked.message, /196\.1 N/);
  assert.equal(asked.place?.field, 'load', 'a form asks about the load asked for');
  const both = refused(inKilograms(madeReadings()), { preloadN: 3, loadN: 20 });
  assert.equal(both.code, 'reading-unit');
  assert.match(both.remedy ?? '', /--load-unit kg/);
});

test('newtons confirmed are taken as newtons', () => {
  const finding = reduce(madeReadings(), { preloadN: 30, loadN: 60, loadUnit: 'N' });
  near(finding.lateralNPerMm, 74, { rel: 0.05, why: 'three loads of the same bench' });
});

test('deflections in hundredths of a millimetre or in metres', () => {
  for (const [factor, word] of [
    [100, /hundredths/],
    [0.001, /metres/],
  ] as const) {
    const readings = madeReadings({ stepMm: 0 }).map((one) => ({
      ...one,
      deflectionMm: one.deflectionMm * factor,
    }));
    const problem = refused(readings);
    assert.equal(problem.code, 'reading-unit');
    assert.match(problem.message, word);
  }
});

test('the rim pulled to both sides is refused', () => {
  const readings = madeReadings().map((one, i) => (i % 2 ? { ...one, loadN: -one.loadN } : one));
  assert.equal(refused(readings).code, 'load-both-ways');
});

test('one direction only: up gives the stiffness, down that of unloading; both say so', () => {
  const readings = madeReadings();
  for (const direction of ['load', 'unload'] as const) {
    const finding = reduce(readings.filter((one) => one.direction === direction));
    assert.ok(finding.warnings.some(({ code }) => code === 'one-direction-only'));
    assert.equal(finding.hysteresisPercent, null);
    near(finding.lateralNPerMm, 74, { rel: 0.03, why: 'scatter of the mountings' });
  }
});

test('too few readings: none, one load, one mounting read twice', () => {
  assert.equal(refused([]).code, 'readings-too-few');
  const two = madeReadings({ remounts: 1, loadsN: [30, 226.1], unloading: false });
  assert.equal(refused(two).code, 'readings-too-few');
  assert.equal(refused(two.slice(0, 1)).code, 'readings-too-few');
});

test('readings that end far below preload + load are refused, a little below it are carried over', () => {
  const short = refused(madeReadings({ loadsN: [0, 30, 50, 80] }));
  assert.equal(short.code, 'range-not-reached');
  const nearly = reduce(madeReadings({ loadsN: [0, 30, 70, 110, 150, 200] }));
  assert.ok(nearly.warnings.some(({ code }) => code === 'range-not-reached'));
});

test('a rim that slips is said', () => {
  const readings = madeReadings().map((one) => ({
    ...one,
    deflectionMm: one.deflectionMm + (one.direction === 'unload' ? 0.3 : 0),
  }));
  const finding = reduce(readings);
  assert.ok(finding.warnings.some(({ code }) => code === 'zero-shift'));
  near(finding.zeroShiftMm!, 0.3, { abs: 0.02, why: 'noise of the dial over five mountings' });
});

test('a range that is none is refused', () => {
  assert.equal(refused(madeReadings(), { loadN: 0 }).code, 'usage');
  assert.equal(refused(madeReadings(), { preloadN: -1 }).code, 'usage');
});

test('a range far narrower than the steps of the load is a range not read, not a dial reset', () => {
  const problem = refused(madeReadings(), { loadN: 20, loadUnit: 'N' });
  assert.equal(problem.code, 'range-not-reached');
  assert.match(problem.message, /one reading between the preload of 30 N and 50 N/);
});

test('a load in kilograms with readings in newtons: --load-unit is explained', () => {
  const problem = refused(madeReadings(), { loadN: 20, loadUnit: 'kg' });
  assert.equal(problem.code, 'reading-unit');
  assert.deepEqual(problem.place, { field: 'load' });
  assert.match(problem.remedy ?? '', /load_n of the readings.*--load 196\.1/);
});

test('remount and position exchanged are seen; many mountings at small angles are not', () => {
  const placed = madeReadings().map((one) => ({
    ...one,
    positionDeg: one.remount === '1' ? 0 : 90,
  }));
  const swapped = placed.map((one) => ({
    ...one,
    remount: String(one.positionDeg),
    positionDeg: Number(one.remount),
  }));
  const problem = refused(swapped);
  assert.equal(problem.code, 'columns-swapped');
  assert.match(problem.message, /remount and position_deg look swapped/);
  const degrees = madeReadings().map((one) => ({ ...one, positionDeg: Number(one.remount) }));
  assert.equal(reduce(degrees).remounts, 5);
});
