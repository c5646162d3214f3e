import { test } from 'node:test';
import assert from 'node:assert/strict';
import { caseOf } from '../../bench/noise-case.ts';
import type { NoiseJob } from '../../bench/noise-case.ts';
import { calibration, scoreJob, scoreVerdict } from '../../bench/noise-score.ts';
import { ceiling } from '../../bench/noise-ceiling.ts';
import { near } from '../near.ts';

const job: NoiseJob = {
  table: 'causes',
  seed: 10,
  brought: 'wheel and ride',
  toneToNoiseDb: 6,
  durationS: 30,
};

test('an estimator that knows the truth scores full, one that says the opposite nothing', () => {
  const { truth } = caseOf(job);
  const [tone] = truth.tones;
  const [{ startS, endS, hz }] = tone.bursts;
  const heard = { hz, from: startS, to: endS };
  const knows = scoreVerdict(job, truth, {
    tones: [heard, { ...heard, hz: 2 * hz }],
    causes: [
      { id: 'other', odds: 0.1 },
      { id: truth.cause, odds: 0.9 },
    ],
  });
  assert.ok(knows.right && knows.toneHeard);
  near(knows.oddsOfTruth, 0.9, { abs: 1e-12, why: 'as said' });
  assert.deepEqual(knows.falseTones, [], 'a harmonic is no false tone');
  const wrong = scoreVerdict(job, truth, {
    tones: [{ ...heard, hz: 1.23 * hz }],
    causes: [{ id: 'other', odds: 1 }],
  });
  assert.ok(!wrong.right && !wrong.toneHeard && wrong.falseTones.length + wrong.freehubTones === 1);
  const early = scoreVerdict(job, truth, {
    tones: [{ hz, from: -20, to: -10 }],
    causes: [],
  });
  assert.ok(!early.toneHeard && early.first === null, 'the right pitch at the wrong time');
});

test('an estimator sees what a tester has, and only what was brought', () => {
  const seen = (brought: NoiseJob['brought']) => {
    const { evidence } = caseOf({ ...job, brought });
    return [evidence.ride !== null, evidence.wheelSheet !== null, evidence.plucks.length];
  };
  assert.deepEqual(seen('everything'), [true, true, 2]);
  assert.deepEqual(seen('wheel and ride'), [true, true, 0]);
  assert.deepEqual(seen('sound alone'), [false, false, 0]);
  let samples = 0;
  scoreJob(job, (evidence) => {
    for (const block of evidence.blocks()) samples += block.length;
    return { tones: [], causes: [] };
  });
  assert.equal(samples, 30 * 16_000);
});

test('a ride without a tone has neither cause nor stray tone', () => {
  for (let seed = 500_001; seed < 500_030; seed++) {
    const { truth } = caseOf({ ...job, table: 'no tone', seed, durationS: 5 });
    assert.equal(truth.cause, 'no-tone');
    assert.deepEqual(truth.tones, []);
  }
});

test('calls sorted by odds: 8 of 10 at 0.8 are 80 %, interval 49.0 to 94.3', () => {
  // Wilson 1927; 8 of 10 from memory: 0.490 to 0.943.
  const calls = Array.from({ length: 10 }, (_, i) => ({ odds: 0.8, right: i < 8 }));
  const rows = calibration([...calls, { odds: 1, right: true }]);
  const [row] = rows.filter(({ low }) => low === 0.75);
  assert.equal(row.count, 10);
  near([row.meanOdds, row.right], [0.8, 0.8], { abs: 1e-12, why: 'exact' });
  near(row.interval, [0.49, 0.943], { abs: 6e-4, why: 'three decimals' });
  assert.equal(rows[rows.length - 1].count, 1, 'certainty has a row');
});

test('nobody could be right always: the causes overlap in pitch', () => {
  const all = ceiling(120, 1);
  const share = all.filter(({ right }) => right).length / all.length;
  assert.ok(share > 0.84 && share < 0.99, `${share}`);
  assert.deepEqual(ceiling(120, 1), all);
});
