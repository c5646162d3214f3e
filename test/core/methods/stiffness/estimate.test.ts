import assert from 'node:assert/strict';
import test from 'node:test';
import type { DeflectionReading } from '../../../../src/core/evidence/index.ts';
import { estimateStiffness, type LoadUnit } from '../../../../src/core/methods/index.ts';
import { near } from '../../../near.ts';
import { madeReadings, type Bench } from './made-bench.ts';

const reduce = (
  readings: readonly DeflectionReading[],
  options: { preloadN?: number; loadN?: number; loadUnit?: LoadUnit | null } = {},
) =>
  estimateStiffness({
    readings,
    preloadN: 30,
    loadN: 196.1,
    loadUnit: null,
    inputs: [],
    ...options,
  });

const exact: Partial<Bench> = { scatterNPerMm: 0, slopScatterMm: 0, readingMm: 0, stepMm: 0 };
const codes = (readings: readonly DeflectionReading[]): string[] =>
  reduce(readings).warnings.map(({ code }) => code);

test('exact readings give back the stiffness and, apart from it, the slop', () => {
  const finding = reduce(madeReadings(exact));
  near(finding.lateralNPerMm, 74, { rel: 1e-9, why: 'no noise' });
  near(finding.slopMm!, 0.11, { rel: 1e-6, why: 'no noise' });
  near(finding.hysteresisPercent!, 0, { abs: 1e-9, why: 'both branches alike' });
  near(finding.zeroShiftMm!, 0, { abs: 1e-12, why: 'both branches alike' });
  near(finding.deflectionMm, 196.1 / 74, { rel: 1e-9, why: 'load over stiffness' });
  assert.equal(finding.readings, 80);
  assert.equal(finding.remounts, 5);
  assert.deepEqual(finding.warnings, []);
});

test('slop is not taken for softness: dividing the load by the whole deflection would be 4 % out', () => {
  const finding = reduce(madeReadings(exact));
  const naive = 226.1 / (0.11 + 226.1 / 74);
  assert.ok(Math.abs(naive / 74 - 1) > 0.03);
  near(finding.lateralNPerMm, 74, { rel: 1e-9, why: 'the line above the preload' });
});

test('readings below the preload show where the slop is taken up', () => {
  const loadsN = [0, 3, 6, 9, 12, 15, 20, 25, 30, 80, 130, 180, 226.1];
  const finding = reduce(madeReadings({ ...exact, loadsN }));
  near(finding.slopMm!, 0.11, { rel: 0.01, why: 'the load of take-up is searched on a grid' });
  near(finding.series[0].slopTakenUpN!, 12, { abs: 0.51, why: 'step of the grid: preload/60' });
});

test('the gap between the branches is given in percent of the deflection over the range', () => {
  const finding = reduce(madeReadings({ ...exact, hysteresis: 0.03 }));
  // Largest reading of 4u(1-u) at the loads of the branch is 0.9959 (120 N of 226.1).
  near(finding.hysteresisPercent!, (3 * 226.1) / 196.1, {
    rel: 0.02,
    why: 'loads do not hit the middle',
  });
});

test('positions round the rim are averaged within a mounting, mountings are what counts', () => {
  const readings = madeReadings({ positionsDeg: [0, 90, 180, 270], remounts: 3 });
  const finding = reduce(readings);
  assert.equal(finding.degreesOfFreedom, 2);
  assert.equal(finding.positions.length, 4);
  assert.equal(finding.series.length, 12);
});

test('a wheel loaded several times without remounting is still one mounting', () => {
  const one = madeReadings({ remounts: 1 });
  const finding = reduce([...one, ...one, ...one]);
  assert.equal(finding.remounts, 1);
  assert.equal(finding.series.length, 3);
  assert.equal(finding.intervalFrom, 'readings');
});

test('rows sorted by load, up and down side by side, give the same stiffness', () => {
  const readings = madeReadings();
  const sorted = [...readings].sort(
    (a, b) => Number(a.remount) - Number(b.remount) || a.loadN - b.loadN,
  );
  near(reduce(sorted).lateralNPerMm, reduce(readings).lateralNPerMm, {
    rel: 1e-12,
    why: 'same numbers',
  });
});

test('a dial or a pull that counts the other way round changes nothing', () => {
  const readings = madeReadings();
  const whole = reduce(readings).lateralNPerMm;
  const dial = readings.map((one) => ({ ...one, deflectionMm: -one.deflectionMm }));
  const pull = readings.map((one) => ({ ...one, loadN: -one.loadN }));
  near(reduce(dial).lateralNPerMm, whole, { rel: 1e-12, why: 'mirror image' });
  near(reduce(pull).lateralNPerMm, whole, { rel: 1e-12, why: 'mirror image' });
});

test('two readings a mounting, as on a bench with one weight, suffice with several mountings', () => {
  const finding = reduce(madeReadings({ loadsN: [30, 226.1], unloading: false }));
  assert.ok(finding.ci95[0] < 74 && 74 < finding.ci95[1]);
  assert.equal(finding.slopMm, null);
  assert.deepEqual(finding.warnings.map(({ code }) => code).sort(), [
    'one-direction-only',
    'slop-unseen',
  ]);
});

test('with one mounting the interval says that it holds the readings alone', () => {
  const finding = reduce(madeReadings({ remounts: 1 }));
  assert.equal(finding.intervalFrom, 'readings');
  assert.equal(finding.remountScatterNPerMm, null);
  assert.ok(finding.warnings.some(({ code }) => code === 'remounts-too-few'));
  assert.ok(finding.ci95[0] < finding.lateralNPerMm && finding.lateralNPerMm < finding.ci95[1]);
});

test('identical mountings do not make a certain answer: a dial reads in steps', () => {
  const one = madeReadings({ ...exact, stepMm: 0.01, remounts: 1 });
  const three = ['1', '2', '3'].flatMap((remount) =>
    one.map((reading) => ({ ...reading, remount })),
  );
  const { ci95, lateralNPerMm } = reduce(three);
  assert.ok(ci95[1] - ci95[0] > 0.001 * lateralNPerMm);
});

test('a dial set to zero at the preload hides the slop, and that is said', () => {
  const readings = madeReadings({ readingMm: 0 }).map((one) => ({ ...one }));
  for (const remount of ['1', '2', '3', '4', '5']) {
    const own = readings.filter((one) => one.remount === remount);
    const zero = own.find((one) => one.loadN === 30)!.deflectionMm;
    for (const one of own) one.deflectionMm = one.loadN < 30 ? 0 : one.deflectionMm - zero;
  }
  const finding = reduce(readings);
  assert.equal(finding.slopMm, null);
  assert.ok(finding.warnings.some(({ code }) => code === 'slop-unseen'));
  near(finding.lateralNPerMm, 74, { rel: 0.03, why: 'the slope is not touched' });
});

test('slop that reaches beyond the preload bends the line, and a higher preload is advised', () => {
  const readings = madeReadings({ takenUpN: 90, slopMm: 0.6, slopScatterMm: 0 });
  const bent = reduce(readings).warnings.find(({ code }) => code === 'readings-not-straight');
  assert.match(bent?.remedy ?? '', /higher preload/);
});

test('a straight bench is called bent in few of many (p < 0.001)', () => {
  let bent = 0;
  for (let seed = 1; seed <= 60; seed++) if (codes(madeReadings({ seed })).length > 0) bent += 1;
  assert.ok(bent <= 1, `${bent} of 60`);
});
