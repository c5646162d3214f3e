import assert from 'node:assert/strict';
import { test } from 'node:test';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { near } from '../../../near.ts';
import { codes, evidenceFor } from './small-days.ts';

test('runs are ordered by calendar clock, else by the device clock, else by the sheet with a warning', () => {
  const evidence = evidenceFor();
  const starts = evidence.recordings.map((recording) => recording.startEpochS!);
  const byCalendar = estimateFieldDrag(evidence);
  for (const recording of evidence.recordings) {
    recording.startClockS = recording.startEpochS! - starts[0] + 1234;
    recording.startEpochS = null;
  }
  const byDevice = estimateFieldDrag(evidence);
  assert.deepEqual(byDevice.laps, byCalendar.laps);
  assert.deepEqual(byDevice.differences, byCalendar.differences);
  for (const recording of evidence.recordings) recording.startClockS = null;
  const bySheet = estimateFieldDrag(evidence);
  assert.ok(codes(bySheet).includes('clock-reset'));
  assert.ok(!codes(byCalendar).includes('clock-reset'));
  near(bySheet.differences[0].deltaCdaM2, byCalendar.differences[0].deltaCdaM2, {
    abs: 0.5 * (byCalendar.differences[0].ci95[1] - byCalendar.differences[0].deltaCdaM2),
    why: 'pauses of another length between the same laps',
  });
});

test('one file without a calendar clock among others that have one falls back to the sheet', () => {
  const evidence = evidenceFor();
  evidence.recordings[1].startEpochS = null;
  assert.ok(codes(estimateFieldDrag(evidence)).includes('clock-reset'));
});

test('a sheet that lists the runs in another order than they were ridden gives the same differences', () => {
  const evidence = evidenceFor();
  const before = estimateFieldDrag(evidence);
  evidence.day.runs.reverse();
  evidence.recordings.reverse();
  const after = estimateFieldDrag(evidence);
  near(after.differences[0].deltaCdaM2, before.differences[0].deltaCdaM2, {
    abs: 1e-4,
    why: 'laps are laid on a table from another first run; a thirtieth of the difference',
  });
  near(after.laps[0].dayTimeS, before.laps[9].dayTimeS, { abs: 1, why: 'one clock' });
});

test('a day in one file, cut by from and to, is the day in four files', () => {
  const evidence = evidenceFor();
  const apart = estimateFieldDrag(evidence);
  const { recordings, day } = evidence;
  const firstEpoch = recordings[0].startEpochS!;
  const offset = recordings.map((recording) => recording.startEpochS! - firstEpoch);
  const joined = (columns: Float64Array[]) => Float64Array.from(columns.flatMap((c) => [...c]));
  const whole = {
    ...recordings[0],
    file: 'day.fit',
    timeS: joined(recordings.map(({ timeS }, i) => timeS.map((t) => t + offset[i]))),
    lapMarksS: joined(recordings.map(({ lapMarksS }, i) => lapMarksS.map((t) => t + offset[i]))),
    channels: Object.fromEntries(
      Object.keys(recordings[0].channels).map((name) => [
        name,
        joined(recordings.map(({ channels }) => channels[name as 'powerW']!)),
      ]),
    ),
  };
  const windows = recordings.map(({ timeS }, i) => ({
    fromS: offset[i],
    toS: offset[i] + timeS[timeS.length - 1],
  }));
  const inOne = estimateFieldDrag({
    ...evidence,
    recordings: recordings.map(() => whole),
    inputs: [{ file: 'day.fit', sha256: '0'.repeat(64) }],
    day: { ...day, runs: day.runs.map((run, i) => ({ ...run, file: 'day.fit', ...windows[i] })) },
  });
  near(
    inOne.laps.map((lap) => lap.cdaM2!),
    apart.laps.map((lap) => lap.cdaM2!),
    { rel: 1e-9, why: 'the same samples on the same clock' },
  );
  inOne.laps.forEach((lap, i) => {
    const run = apart.laps[i].run - 1;
    near(lap.fromS, apart.laps[i].fromS + offset[run], {
      abs: 1e-6,
      why: 'seconds of its own file',
    });
  });
  assert.ok(!codes(inOne).includes('clock-reset'));
});
