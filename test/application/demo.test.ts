import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { demoDay, demoMishap } from '../../src/application/demo.ts';
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
      const mishap = i + 1 === demoMishap.run && lap === demoMishap.lap;
      assert.equal(slowest < 4, mishap, `run ${i + 1}, lap ${lap}: ${slowest} m/s`);
    }
  });
});

test('the demo day is the same every time', async () => {
  const again = await demoDay();
  assert.equal(again.sheet, demo.sheet);
  near(again.files[3].bytes, demo.files[3].bytes, { abs: 1e-9, why: 'bytes, exact' });
});
