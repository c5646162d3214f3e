import assert from 'node:assert/strict';
import test from 'node:test';
import {
  describeFinding,
  findingAsJson,
  headline,
  rankSetups,
} from '../../src/application/describe-finding.ts';
import { exampleFinding, lap } from './example-finding.ts';

test('setups are ranked from the lowest drag area, control among them', () => {
  const ranked = rankSetups(exampleFinding()).map((setup) => setup.id);
  assert.deepEqual(ranked, ['deep', 'mid', 'control']);
});

test('the table shows no digit that the interval does not support', () => {
  const text = describeFinding(exampleFinding());
  assert.match(text, /1 {2}Deep pair +0\.2311 {2}0\.2262 to 0\.2360/);
  assert.match(
    text,
    /Deep pair {2}-0\.0052 {2}-0\.0075 to -0\.0029 +-4\.3 +-6\.2 to -2\.4 +0\.001 {2}lower/,
  );
});

test('a difference that is not separable is said with the smallest that would have shown', () => {
  const text = describeFinding(exampleFinding());
  assert.match(text, /not separable; this day could have shown 0\.0033 m² \(2\.7 W\)/);
});

test('the headline names what differs, by how much, and counts what does not', () => {
  assert.equal(
    headline(exampleFinding()),
    'Against Shallow pair: Deep pair lower by 0.0052 m² (0.0029 to 0.0075); 1 not separable.',
  );
});

test('a day that separates nothing says so first, with what it could have shown', () => {
  const [, mid] = exampleFinding().differences;
  assert.equal(
    headline(exampleFinding({ differences: [mid] })),
    'No setup is separable from Shallow pair; this day could have shown 0.0033 m² (2.7 W).',
  );
});

test('laps left out are listed with their reason, and what a person overruled is marked', () => {
  const laps = [
    lap(1, 1, 'control', { used: false, cdaM2: null, reason: 'standing start' }),
    lap(1, 2, 'control', { overruled: true, reason: 'the car was far off' }),
    lap(2, 1, 'deep'),
  ];
  const text = describeFinding(exampleFinding({ laps }));
  assert.match(text, /Laps: 1 of 3 found were left out/);
  assert.match(text, /run 1, lap 1 \(Shallow pair\) out: standing start/);
  assert.match(text, /run 1, lap 2 \(Shallow pair\) used by your word: the car was far off/);
  assert.match(describeFinding(exampleFinding()), /all 4 found were used/);
});

test('invented data, warnings, cautions and inputs stand with the result', () => {
  const warning = {
    code: 'channel-partial' as const,
    file: 'run-1.fit',
    message: 'Power is missing for 40 s.',
  };
  const text = describeFinding(exampleFinding({ invented: true, warnings: [warning] }));
  assert.match(text, /INVENTED/);
  assert.match(text, /run-1\.fit: Power is missing for 40 s\./);
  assert.match(text, /Ride with care\./);
  assert.match(text, /run-1\.fit abababababab/);
});

test('a p-value of almost nothing is not written as zero', () => {
  const [deep] = exampleFinding().differences;
  const text = describeFinding(exampleFinding({ differences: [{ ...deep, pAdjusted: 1e-9 }] }));
  assert.match(text, /<0\.001/);
});

test('the JSON is the finding itself, with rows of residuals only on request', () => {
  const finding = exampleFinding();
  const { residuals, ...rest } = JSON.parse(findingAsJson(finding));
  const { residuals: whole, ...other } = finding;
  assert.deepEqual(rest, other);
  assert.deepEqual(residuals, { checks: whole.checks });
  const full = JSON.parse(findingAsJson(finding, { residuals: true }));
  assert.deepEqual(full, finding);
});
