import assert from 'node:assert/strict';
import { test } from 'node:test';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import type { ConditionsInput } from '../../../../src/simulation/index.ts';
import { near } from '../../../near.ts';
import { codes, dayOf, evidenceFor } from './small-days.ts';

/** True difference between the setups as ridden: mean of the laps' own drag areas. */
function ridden(conditions: ConditionsInput): number {
  const day = dayOf(conditions);
  const mean = (id: string) => {
    const areas = day.runs.filter((run) => run.setup === id).flatMap((run) => run.truth.lapCdaM2);
    return areas.reduce((sum, area) => sum + area, 0) / areas.length;
  };
  return mean(day.setups[1].id) - mean(day.control);
}

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
  const { laps } = estimateFieldDrag(evidenceFor());
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

test('a run without a lap of the day’s road is named, and speeds in km/h are seen in it', () => {
  const elsewhere = (speedMps: number) => {
    const evidence = evidenceFor();
    const [, second] = evidence.recordings;
    const timeS = Float64Array.from({ length: 400 }, (_, i) => i);
    const channels = { speedMps: timeS.map(() => speedMps), powerW: timeS.map(() => 200) };
    const other = { ...second, timeS, channels, lapMarksS: new Float64Array(), pauses: [] };
    const recordings = evidence.recordings.map((one) => (one === second ? other : one));
    const finding = estimateFieldDrag({ ...evidence, recordings });
    assert.equal(finding.laps.filter(({ run }) => run === 2).length, 0);
    const said = finding.warnings.filter(({ code }) => code === 'laps-not-found');
    assert.deepEqual(
      said.map(({ file, place }) => [file, place]),
      [[evidence.day.runs[1].file, { run: 2 }]],
    );
    return said[0];
  };
  assert.match(
    elsewhere(36).message,
    /not in the comparison\. Its mean speed would be 36 m\/s \(130 km\/h\)/,
  );
  assert.match(elsewhere(36).remedy ?? '', /column map/);
  assert.doesNotMatch(elsewhere(9).message, /km\/h/);
});
