import test from 'node:test';
import assert from 'node:assert/strict';
import { readForm, setupIdFor } from '../../src/page/day/sheet-form.ts';
import { findingSentences, smallestVisible } from '../../src/page/finding/words.ts';
import { numberCheck, readNumber } from '../../src/page/parts/typed-number.ts';
import { readRoute, dayHref } from '../../src/page/route.ts';
import { sampleFinding } from '../figures/sample.ts';

test('the finding says what is separable in watts and what is not with what could have been seen', () => {
  const [first, second] = findingSentences(sampleFinding());
  assert.equal(
    first.replaceAll('\u202f', ' '),
    'Deep pair has less drag than Shallow pair: 4.3 W less at 40 km/h (95 % interval 2.7 to 6.0 W).',
  );
  assert.match(second, /^Box-section pair is not separable from Shallow pair: this day could have/);
});

test('a higher setup is told as more drag with its interval the right way round', () => {
  const finding = sampleFinding();
  finding.differences = [
    {
      ...finding.differences[0],
      deltaCdaM2: 0.005,
      ci95: [0.003, 0.007],
      wattsAtReference: 4.2,
      wattsCi95: [2.5, 5.9],
      verdict: 'higher',
    },
  ];
  assert.match(findingSentences(finding)[0], /more drag.*interval 2\.5 to 5\.9/);
});

test('what the day could have shown is said of the differences that it left open', () => {
  const finding = sampleFinding();
  const [one] = finding.differences;
  finding.differences = [
    { ...one, verdict: 'lower', smallestVisibleM2: 0.0031 },
    { ...one, verdict: 'not separable', smallestVisibleM2: 0.0022 },
  ];
  const told = findingSentences(finding).join(' ');
  assert.match(told, /could have shown a difference of 0\.0022/);
  assert.doesNotMatch(told, /0\.0031/);
});

test('a day with no smallest visible difference claims none', () => {
  const finding = sampleFinding();
  finding.differences = [];
  assert.equal(smallestVisible(finding), null);
});

test('numbers are read with point or comma, and nothing else passes for one', () => {
  assert.equal(readNumber('83,2'), 83.2);
  assert.equal(readNumber('4.5e-3'), 0.0045);
  assert.equal(readNumber('\u22120.1'), -0.1);
  for (const text of ['', '83 kg', '1.2.3', '1,000.5', 'Infinity', '0x10']) {
    assert.ok(Number.isNaN(readNumber(text)), text);
  }
  assert.equal(numberCheck(true)(''), null);
  assert.match(numberCheck(false)('') ?? '', /needed/);
});

test('a half-written sheet is read for the forms without falling over', () => {
  assert.equal(readForm(null), null);
  assert.equal(readForm('text'), null);
  const form = readForm({ setups: [{ id: 'a' }, 7], runs: 'none', title: 5 });
  assert.ok(form);
  assert.equal(form.title, '5');
  assert.deepEqual(
    form.setups.map((setup) => setup.name),
    ['a'],
  );
  assert.deepEqual(form.runs, []);
  assert.equal(form.at('system.massKg'), undefined);
});

test('a new setup gets a plain id of its own', () => {
  assert.equal(setupIdFor('Deep pair, 60 mm', []), 'deep-pair-60-mm');
  assert.equal(setupIdFor('Deep', ['deep', 'deep-2']), 'deep-3');
  assert.equal(setupIdFor('日本', []), 'setup');
});

test('addresses of days survive the round trip, unknown ones lead to the list', () => {
  assert.deepEqual(readRoute(dayHref('a b', 'checks')), { name: 'day', id: 'a b', part: 'checks' });
  assert.deepEqual(readRoute('#/day/x/nonsense'), { name: 'day', id: 'x', part: 'finding' });
  assert.deepEqual(readRoute('#/elsewhere'), { name: 'days' });
});
