import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { demoDay, demoMishaps, demoTruthM2 } from '../../src/application/demo.ts';
import { reduceDaySheet } from '../../src/application/reduce.ts';
import { readRecording } from '../../src/recordings/index.ts';
import { readDaySheet } from '../../src/sheets/index.ts';

const demo = await demoDay();

test('the demo day is labelled invented in its title, its sheet and its first lines', () => {
  const { day, warnings } = readDaySheet(demo.sheet, 'day.yaml');
  assert.equal(day.invented, true);
  assert.match(day.title, /\(invented\)/);
  assert.match(demo.sheet, /^# An invented day/);
  assert.deepEqual(warnings, []);
  assert.deepEqual(
    day.runs.map(({ setup }) => setup),
    ['shallow', 'mid', 'deep', 'deep', 'mid', 'shallow', 'shallow', 'mid', 'deep'],
  );
});

test('its nine FIT files are read back whole: airspeed, air, track and four lap marks each, no warning', () => {
  assert.equal(demo.files.length, 9);
  for (const { file, bytes } of demo.files) {
    const recording = readRecording(bytes, file);
    assert.deepEqual(recording.warnings, [], file);
    for (const name of [
      'speedMps',
      'powerW',
      'altitudeM',
      'airspeedMps',
      'latDeg',
      'temperatureC',
      'pressureHPa',
    ] as const) {
      assert.ok(recording.channels[name], `${file} has ${name}`);
    }
    assert.equal(recording.lapMarksS.length, 4, file);
    assert.equal(
      recording.timeS.length,
      recording.timeS[recording.timeS.length - 1] + 1,
      'one row a second',
    );
  }
});

test('in one lap, and only in that one, the rider brakes to walking pace', () => {
  demo.files.forEach(({ file, bytes }, i) => {
    const { channels, lapMarksS, timeS } = readRecording(bytes, file);
    for (let lap = 1; lap <= 3; lap++) {
      const inLap = (channels.speedMps as Float64Array).filter(
        // The standing start belongs to lap 1.
        (_, j) => timeS[j] > lapMarksS[lap - 1] + 30 && timeS[j] < lapMarksS[lap],
      );
      const slowest = Math.min(...inLap);
      const mishap = i + 1 === demoMishaps.dog.run && lap === demoMishaps.dog.lap;
      assert.equal(slowest < 4, mishap, `run ${i + 1}, lap ${lap}: ${slowest} m/s`);
    }
  });
});

test('the demo day is the same every time', async () => {
  const again = await demoDay();
  assert.equal(again.sheet, demo.sheet);
  near(again.files[3].bytes, demo.files[3].bytes, { abs: 1e-9, why: 'bytes, exact' });
});

test('reduced, it finds the truth within its intervals: deep lower than control, mid not separable', () => {
  const bytesOf = new Map(demo.files.map(({ file, bytes }) => [file, bytes]));
  const finding = reduceDaySheet(demo.sheet, 'day.yaml', (file) => bytesOf.get(file)!);
  const verdicts = finding.differences.map(({ setup, verdict }) => [setup, verdict]).sort();
  assert.deepEqual(verdicts, [
    ['deep', 'lower'],
    ['mid', 'not separable'],
  ]);
  for (const { setup, ci95 } of finding.differences) {
    const truth = demoTruthM2[setup as keyof typeof demoTruthM2] - demoTruthM2.shallow;
    assert.ok(ci95[0] <= truth && truth <= ci95[1], `${setup}: ${truth} in ${ci95}`);
  }
  for (const { id, ci95 } of finding.setups) {
    const truth = demoTruthM2[id as keyof typeof demoTruthM2];
    assert.ok(ci95[0] <= truth && truth <= ci95[1], `${id}: ${truth} in ${ci95}`);
  }
});

test('what went wrong on it is left out with a reason: the braking as a stretch, the other lap whole', () => {
  const bytesOf = new Map(demo.files.map(({ file, bytes }) => [file, bytes]));
  const { laps } = reduceDaySheet(demo.sheet, 'day.yaml', (file) => bytesOf.get(file)!);
  assert.equal(laps.length, 27);
  const { dog, jacket } = demoMishaps;
  const lapOf = ({ run, lap }: { run: number; lap: number }) =>
    laps.find((one) => one.run === run && one.lap === lap)!;
  const braked = lapOf(dog);
  assert.ok(!braked.used || braked.leftOut.some(({ reason }) => /brak/i.test(reason)));
  const sat = lapOf(jacket);
  assert.equal(sat.used, false);
  assert.ok(sat.reason);
  const others = laps.filter((one) => !one.used && one !== sat && one !== braked);
  assert.deepEqual(others, []);
});
