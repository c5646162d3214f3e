import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import {
  estimateFieldDrag,
  type FieldDragFinding,
} from '../../../../src/core/methods/field-drag/index.ts';
import { LapbenchError, type Problem } from '../../../../src/core/units/index.ts';
import {
  simulateDay,
  type ConditionsInput,
  type SimulatedDay,
} from '../../../../src/simulation/index.ts';
import { near } from '../../../near.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';

const small: ConditionsInput = { seed: 61, setups: 2, runsPerSetup: 2, lapsPerRun: 3 };
/** Each day is ridden once; every test gets evidence of its own over the same columns. */
const daysRidden = new Map<string, SimulatedDay>();
function dayOf(more: ConditionsInput = {}): SimulatedDay {
  const key = JSON.stringify(more);
  if (!daysRidden.has(key)) daysRidden.set(key, simulateDay({ ...small, ...more }));
  return daysRidden.get(key)!;
}
const evidenceFor = (more: ConditionsInput = {}): DayEvidence => evidenceOf(dayOf(more));

function refusals(evidence: DayEvidence): readonly Problem[] {
  try {
    estimateFieldDrag(evidence);
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  throw new Error('nothing was refused');
}

const codes = (finding: FieldDragFinding) => finding.warnings.map(({ code }) => code);

/** True difference between the setups as ridden: mean of the laps' own drag areas. */
function ridden(conditions: ConditionsInput): number {
  const day = dayOf(conditions);
  const mean = (id: string) => {
    const areas = day.runs.filter((run) => run.setup === id).flatMap((run) => run.truth.lapCdaM2);
    return areas.reduce((sum, area) => sum + area, 0) / areas.length;
  };
  return mean(day.setups[1].id) - mean(day.control);
}

// Refusals -----------------------------------------------------------------------------------

test('a day on one setup alone is refused: there is nothing to compare', () => {
  const evidence = evidenceFor();
  for (const run of evidence.day.runs) run.setup = evidence.day.control;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'one-setup-only');
  assert.match(problem.message, /shallow/);
  assert.ok(problem.remedy);
});

test('a control that was never ridden is refused', () => {
  const evidence = evidenceFor({ setups: 3 });
  const { day } = evidence;
  for (const run of day.runs) if (run.setup === day.control) run.setup = day.setups[1].id;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'setup-not-ridden');
  assert.match(problem.message, /control setup "shallow" was never ridden/);
});

test('a setup in the sheet that was never ridden is a warning, and has no result', () => {
  const evidence = evidenceFor();
  evidence.day.setups.push({ ...evidence.day.setups[0], id: 'spare', name: 'Spare pair' });
  const finding = estimateFieldDrag(evidence);
  assert.ok(codes(finding).includes('setup-not-ridden'));
  assert.ok(!finding.setups.some((setup) => setup.id === 'spare'));
});

test('without power nothing is estimated, and every run that lacks it is named', () => {
  const evidence = evidenceFor();
  for (const i of [1, 3]) delete evidence.recordings[i].channels.powerW;
  const problems = refusals(evidence);
  assert.deepEqual(
    problems.map(({ code, file, place }) => [code, file, place?.run]),
    [
      ['channel-missing', 'run-2.fit', 2],
      ['channel-missing', 'run-4.fit', 4],
    ],
  );
});

test('a window of a few seconds is refused with the run it belongs to', () => {
  const evidence = evidenceFor();
  Object.assign(evidence.day.runs[2], { fromS: 100, toS: 110 });
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'run-window');
  assert.equal(problem.place?.run, 3);
});

test('one lap of each setup shows no scatter and is refused', () => {
  const [problem] = refusals(evidenceFor({ runsPerSetup: 1, lapsPerRun: 1 }));
  assert.equal(problem.code, 'laps-too-few');
  assert.match(problem.message, /2 usable laps for 2 setups/);
});

test('a person may leave out so much that too little is left, which is said', () => {
  const evidence = evidenceFor();
  evidence.day.overrules = [1, 4].flatMap((run) =>
    [1, 2, 3].map((lap) => ({ run, lap, use: false, reason: 'wet road' })),
  );
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'laps-too-few');
  assert.match(problem.message, /No lap of the control setup/);
});

test('neither weather in the sheet nor in the recordings is refused with an example', () => {
  const evidence = evidenceFor({ sensors: { temperature: false, pressure: false } });
  evidence.day.weather = null;
  const [problem] = refusals(evidence);
  assert.equal(problem.code, 'channel-missing');
  assert.match(problem.remedy!, /weather: \{temperatureC/);
});

// What the recordings carry -----------------------------------------------------------------

const equipped: [words: string, conditions: ConditionsInput, warned: string[]][] = [
  ['with airspeed, altitude and positions', {}, []],
  ['without altitude', { sensors: { altitude: false } }, []],
  ['without positions', { sensors: { position: false } }, ['heading-missing']],
  ['without airspeed', { sensors: { airspeed: false } }, ['airspeed-unusable']],
  [
    'without airspeed and positions on a calm day',
    { sensors: { airspeed: false, position: false }, wind: { speedMps: 0.3 } },
    ['airspeed-unusable'],
  ],
  [
    'there and back without positions',
    { course: { kind: 'out-and-back' }, sensors: { position: false } },
    ['heading-missing'],
  ],
  ['with a yaw angle measured', { sensors: { yaw: true }, wind: { speedMps: 4 } }, []],
];

for (const [words, conditions, warned] of equipped) {
  test(`a day ${words} finds the difference that was ridden, within its interval`, () => {
    const finding = estimateFieldDrag(evidenceFor(conditions));
    const [difference] = finding.differences;
    const truth = ridden(conditions);
    const half = (difference.ci95[1] - difference.ci95[0]) / 2;
    // 95 % intervals: one and a half times as wide is 99.5 % and more, so that a seed is no lottery.
    assert.ok(
      Math.abs(difference.deltaCdaM2 - truth) < 1.5 * half,
      `${difference.deltaCdaM2} ± ${half}, ridden ${truth}`,
    );
    for (const code of warned)
      assert.ok(codes(finding).includes(code as never), `${codes(finding)}`);
    if (warned.length === 0) {
      assert.ok(!codes(finding).includes('heading-missing'));
      assert.ok(!codes(finding).includes('airspeed-unusable'));
    }
    assert.equal(finding.laps.length, 12);
  });
}

test('without airspeed the interval is wider than with it, on the same laps', () => {
  const width = (conditions: ConditionsInput) => {
    const [{ ci95 }] = estimateFieldDrag(evidenceFor(conditions)).differences;
    return ci95[1] - ci95[0];
  };
  const wind = { speedMps: 3 };
  assert.ok(width({ wind, sensors: { airspeed: false } }) > 1.3 * width({ wind }));
});

test('airspeed in all runs but one is not used, and the run is named', () => {
  const evidence = evidenceFor();
  delete evidence.recordings[2].channels.airspeedMps;
  const finding = estimateFieldDrag(evidence);
  assert.equal(finding.estimated.usedAirspeed, false);
  assert.equal(finding.estimated.airspeedScale, null);
  const warning = finding.warnings.find(
    (one) => one.code === 'airspeed-unusable' && one.place?.run === 3,
  );
  assert.ok(warning && warning.file === 'run-3.fit');
});

test('dynamic pressure in place of airspeed gives the same drag: q = ½ ρ u²', () => {
  const conditions: ConditionsInput = { sensors: { temperature: false, pressure: false } };
  const evidence = evidenceFor(conditions);
  const before = estimateFieldDrag(evidence);
  const density = before.laps[0].airDensityKgM3;
  for (const { channels } of evidence.recordings) {
    channels.dynamicPressurePa = channels.airspeedMps!.map((u) => 0.5 * density * u * Math.abs(u));
    delete channels.airspeedMps;
  }
  const after = estimateFieldDrag(evidence);
  near(
    after.laps.map((lap) => lap.cdaM2!),
    before.laps.map((lap) => lap.cdaM2!),
    { rel: 1e-6, why: 'one formula, there and back' },
  );
});

test('an airspeed sensor that reads 7 % low is calibrated in place', () => {
  const finding = estimateFieldDrag(
    evidenceFor({ sensors: { airspeedScaleError: -0.07 }, wind: { speedMps: 3 } }),
  );
  near(finding.estimated.airspeedScale!, 1 / 0.93, { rel: 0.01, why: 'three laps twice each' });
});

test('a thermometer and barometer on the bike win over the weather of the sheet', () => {
  const evidence = evidenceFor();
  assert.ok(evidence.recordings[0].channels.temperatureC);
  const own = estimateFieldDrag(evidence);
  evidence.day.weather = { temperatureC: 35, pressureHPa: 900, relativeHumidityPercent: 60 };
  const same = estimateFieldDrag(evidence);
  near(
    same.laps.map((lap) => lap.airDensityKgM3),
    own.laps.map((lap) => lap.airDensityKgM3),
    { rel: 1e-9, why: 'only humidity is taken from the sheet, and it is the same' },
  );
  for (const { channels } of evidence.recordings) {
    delete channels.temperatureC;
    delete channels.pressureHPa;
  }
  const sheet = estimateFieldDrag(evidence);
  // 900 hPa at 35 °C: 1.00 kg/m³, so a fifth less than on the road and a fifth more drag area.
  near(sheet.laps[0].airDensityKgM3, 1.0, { rel: 0.02, why: 'ideal gas, moist' });
  near(
    sheet.setups[0].cdaM2 / own.setups[0].cdaM2,
    own.laps[0].airDensityKgM3 / sheet.laps[0].airDensityKgM3,
    { rel: 0.01, why: 'drag area goes as one over density' },
  );
});

// Clocks ------------------------------------------------------------------------------------

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

// A person's word -----------------------------------------------------------------------------

test('a lap far off its like is left out as an outlier, with how far and against what', () => {
  const evidence = evidenceFor({
    incidents: [{ run: 2, lap: 2, atM: 5, kind: 'sitting-up', cdaFactor: 1.1, seconds: 230 }],
  });
  const finding = estimateFieldDrag(evidence);
  const lap = finding.laps.find((one) => one.run === 2 && one.lap === 2)!;
  assert.equal(lap.used, false);
  assert.match(lap.reason!, /outlier: \+0\.0\d\d m² from the middle of its setup/);
  assert.ok(
    finding.warnings.some(
      (one) => one.code === 'lap-left-out' && one.place?.run === 2 && one.place.lap === 2,
    ),
  );
  assert.equal(finding.laps.filter((one) => !one.used).length, 1);
  const setup = finding.setups.find((one) => one.id === lap.setup)!;
  assert.deepEqual([setup.laps, setup.lapsLeftOut], [5, 1]);

  // The tester knows better: kept, and what the method says of it stays to be read.
  evidence.day.overrules = [{ run: 2, lap: 2, use: true, reason: 'that is how he rides' }];
  const overruled = estimateFieldDrag(evidence);
  const kept = overruled.laps.find((one) => one.run === 2 && one.lap === 2)!;
  assert.ok(kept.used && kept.overruled);
  assert.match(kept.reason!, /kept by the tester: that is how he rides .*outlier/);
  const moved = overruled.setups.find((one) => one.id === lap.setup)!.cdaM2 - setup.cdaM2;
  assert.ok(moved > 0.0015, 'and it counts again');
});

test('a lap that a person leaves out does not count, and is still listed', () => {
  const evidence = evidenceFor();
  const before = estimateFieldDrag(evidence);
  evidence.day.overrules = [{ run: 1, lap: 1, use: false, reason: null }];
  const finding = estimateFieldDrag(evidence);
  const lap = finding.laps[0];
  assert.deepEqual([lap.used, lap.overruled, lap.reason], [false, true, 'left out by the tester']);
  assert.ok(lap.cdaM2 !== null);
  assert.equal(finding.laps.length, before.laps.length);
  assert.notEqual(finding.differences[0].deltaCdaM2, before.differences[0].deltaCdaM2);
});

test('a word on a lap that was not ridden is a warning with its place', () => {
  const evidence = evidenceFor();
  evidence.day.overrules = [{ run: 2, lap: 9, use: false, reason: null }];
  const warning = estimateFieldDrag(evidence).warnings.find(
    (one) => one.code === 'overrule-unknown',
  )!;
  assert.deepEqual(warning.place, { run: 2, lap: 9 });
  assert.match(warning.message, /lap 9 of run 2/);
});

test('a word that agrees with the method changes nothing', () => {
  const evidence = evidenceFor();
  const before = estimateFieldDrag(evidence);
  evidence.day.overrules = [{ run: 2, lap: 1, use: true, reason: 'fine' }];
  assert.deepEqual(estimateFieldDrag(evidence), before);
});

// The finding as a whole ----------------------------------------------------------------------

test('the same evidence gives the same finding to the last bit, and is left as it was', () => {
  const evidence = evidenceFor();
  const copy = structuredClone({ ...evidence, day: { ...evidence.day, placeOf: null } });
  const first = estimateFieldDrag(evidence);
  const second = estimateFieldDrag(evidence);
  assert.deepEqual(second, first);
  assert.equal(JSON.stringify(second), JSON.stringify(first));
  assert.deepEqual({ ...evidence, day: { ...evidence.day, placeOf: null } }, copy);
});

test('a setup mounted once only is told, and its interval allows for what a remount changes', () => {
  const finding = estimateFieldDrag(evidenceFor({ runsPerSetup: 1, lapsPerRun: 4 }));
  assert.equal(codes(finding).filter((code) => code === 'not-replicated').length, 2);
  const [{ ci95 }] = finding.differences;
  const twice = estimateFieldDrag(evidenceFor({ runsPerSetup: 2, lapsPerRun: 2 })).differences[0];
  assert.ok(ci95[1] - ci95[0] > 1.2 * (twice.ci95[1] - twice.ci95[0]));
});

test('watts at the reference speed are those of the difference: 0.001 m² is 0.84 W at 40 km/h', () => {
  const evidence = evidenceFor();
  // ½ ρ v³ at 40 km/h and 1.225 kg/m³: 0.840 W for 0.001 m² (published formula, computed).
  evidence.day.reference = { speedKmh: 40, airDensityKgM3: 1.225 };
  const [difference] = estimateFieldDrag(evidence).differences;
  near(difference.wattsAtReference, 840.2 * difference.deltaCdaM2, {
    rel: 1e-3,
    why: 'the table gives three digits',
  });
  near(
    difference.wattsCi95,
    difference.ci95.map((bound) => 840.2 * bound),
    {
      rel: 1e-3,
      why: 'the table gives three digits',
    },
  );
});

test('every lap ridden is listed once, in order, with its setup and its times', () => {
  const day = dayOf();
  const { laps } = estimateFieldDrag(evidenceOf(day));
  assert.deepEqual(
    laps.map(({ run, lap }) => [run, lap]),
    [1, 2, 3, 4].flatMap((run) => [1, 2, 3].map((lap) => [run, lap])),
  );
  for (const lap of laps) {
    const { truth, setup, dayTimeS } = day.runs[lap.run - 1];
    assert.equal(lap.setup, setup);
    near(lap.fromS, truth.gateTimesS[lap.lap - 1], { abs: 1.5, why: 'the gate to a dozen metres' });
    near(lap.toS, truth.gateTimesS[lap.lap], { abs: 1.5, why: 'the gate to a dozen metres' });
    near(lap.dayTimeS, dayTimeS + lap.fromS, { abs: 1e-6, why: 'one clock' });
    near(lap.airDensityKgM3, truth.airDensityKgM3, { rel: 3e-3, why: 'weather drifts in a run' });
  }
});
