import { test } from 'node:test';
import assert from 'node:assert/strict';
import { parse } from 'yaml';
import Papa from 'papaparse';
import { near } from '../near.ts';
import { daySheetYaml, simulateDay, writeCsv } from '../../src/simulation/index.ts';
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
