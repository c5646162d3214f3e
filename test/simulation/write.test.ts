import { test } from 'node:test';
import assert from 'node:assert/strict';
import { parse } from 'yaml';
import Papa from 'papaparse';
import { near } from '../near.ts';
import { daySheetYaml, simulateDay, writeCsv } from '../../src/simulation/index.ts';
import { readRecording, writeFit } from '../../src/recordings/index.ts';
import { evidenceOf } from '../simulated-evidence.ts';

const day = simulateDay({
  seed: 4,
  runsPerSetup: 1,
  setups: 2,
  lapsPerRun: 2,
  stated: { crr: 0.005 },
});

test('the CSV form has one row a second under the standard header, and its lap number changes at the lap marks', () => {
  const run = day.runs[1];
  const { data, meta } = Papa.parse<Record<string, number>>(writeCsv(run), {
    header: true,
    dynamicTyping: true,
    skipEmptyLines: true,
  });
  assert.deepEqual(meta.fields, [
    'time_s',
    'speed_mps',
    'power_w',
    'altitude_m',
    'distance_m',
    'lat_deg',
    'lon_deg',
    'airspeed_mps',
    'temperature_c',
    'pressure_hpa',
    'lap',
  ]);
  assert.equal(data.length, run.timeS.length);
  near(
    data.map((row) => row.power_w),
    run.channels.powerW,
    { abs: 0.051, why: 'one decimal kept' },
  );
  near(
    data.map((row) => row.lat_deg),
    run.channels.latDeg as Float64Array,
    { abs: 5.1e-8, why: 'seven decimals, 6 mm' },
  );
  const changes = data.flatMap((row, i) =>
    i > 0 && row.lap !== data[i - 1].lap ? [row.time_s] : [],
  );
  assert.deepEqual(changes, Array.from(run.lapMarksS, Math.ceil));
});

test('the day sheet says what the tester believes, not the truth', () => {
  const sheet = parse(daySheetYaml(day, ['a.fit', 'b.fit']));
  assert.equal(sheet.invented, true);
  assert.equal(sheet.constants.crr, 0.005);
  assert.notEqual(sheet.constants.crr, day.conditions.physics.crr);
  assert.equal(sheet.control, day.control);
  assert.deepEqual(sheet.runs, [
    { setup: 'shallow', file: 'a.fit' },
    { setup: 'mid', file: 'b.fit' },
  ]);
  assert.doesNotMatch(JSON.stringify(sheet), /cda/i);
  assert.throws(() => daySheetYaml(day, ['a.fit']), /one file name for each run/);
});

test('the evidence handed to a method carries the channels and none of the truth', () => {
  const evidence = evidenceOf(day);
  assert.equal(evidence.recordings.length, 2);
  assert.deepEqual(evidence.recordings[0].channels.powerW, day.runs[0].channels.powerW);
  assert.equal(evidence.day.constants.crr, 0.005);
  assert.doesNotMatch(JSON.stringify(evidence.day), /cda|truth/i);
});

test('written as FIT and as CSV, one run is read back as the same ride', () => {
  const { startEpochS, timeS, channels, lapMarksS } = day.runs[1];
  const fit = readRecording(writeFit({ startEpochS, timeS, channels, lapMarksS }), 'run.fit');
  const csv = readRecording(new TextEncoder().encode(writeCsv(day.runs[1])), 'run.csv');
  assert.deepEqual([fit.warnings, csv.warnings], [[], []]);
  assert.deepEqual(Object.keys(fit.channels).sort(), Object.keys(csv.channels).sort());
  near(fit.timeS, csv.timeS, { abs: 1e-9, why: 'whole seconds in both' });
  const steps = {
    speedMps: 1e-3,
    powerW: 0.6,
    altitudeM: 0.11,
    distanceM: 0.02,
    airspeedMps: 1e-3,
  };
  for (const [name, abs] of Object.entries(steps) as [keyof typeof steps, number][]) {
    near(fit.channels[name]!, csv.channels[name]!, { abs, why: 'resolution of the two formats' });
  }
  near(fit.lapMarksS, lapMarksS, { abs: 0.51, why: 'FIT keeps whole seconds' });
  near(csv.lapMarksS, lapMarksS, { abs: 1, why: 'the first row after the mark' });
});
