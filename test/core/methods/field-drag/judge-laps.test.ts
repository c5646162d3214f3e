import assert from 'node:assert/strict';
import { test } from 'node:test';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { evidenceFor } from './small-days.ts';

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
