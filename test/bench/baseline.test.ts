import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { simulateDay } from '../../src/simulation/index.ts';
import { evidenceOf } from '../simulated-evidence.ts';
import { spreadsheetMethod, welch } from '../../bench/baseline.ts';
import { countCoverage, median } from '../../bench/coverage-statistics.ts';

test("Student's sleep data, unpaired by Welch: difference -1.58, half-width 1.785483", () => {
  // Student 1908, the data set `sleep` of R. Half-width from SciPy 1.10.1:
  // ttest_ind(a, b, equal_var=False) gives t -1.860813, df 17.776474, p 0.07939.
  const a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
  const b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
  const { deltaCdaM2, halfWidthM2 } = welch(a, b);
  near(deltaCdaM2, -1.58, { abs: 1e-12, why: 'exact' });
  near(halfWidthM2, 1.7854832, { abs: 1e-6, why: 'printed to seven decimals' });
});

test('the share 81 of 263 has the score interval 0.2553 to 0.3662', () => {
  // Newcombe 1998, Stat Med 17:857, table I, method 3, from memory.
  const days = Array.from({ length: 263 }, (_, i) => [i < 81]);
  const { low, high, count } = countCoverage(days);
  assert.equal(count, 263);
  near([low, high], [0.2553, 0.3662], { abs: 6e-5, why: 'printed to four decimals' });
});

test('intervals that hold or fail together by days give a wider interval of the share', () => {
  const alone = countCoverage(Array.from({ length: 400 }, (_, i) => [i % 20 !== 0]));
  const together = countCoverage(
    Array.from({ length: 100 }, (_, i) => new Array<boolean>(4).fill(i % 20 !== 0)),
  );
  near(together.share, alone.share, { abs: 1e-12, why: 'same counts' });
  near((together.high - together.low) / (alone.high - alone.low), 2, {
    rel: 0.1,
    why: 'four that stand together count as one: root of four',
  });
});

test('the median of an even count is the middle of the two middle values', () => {
  assert.equal(median([5, 1, 3, 100]), 4);
  assert.equal(median([2, NaN, 1, 3]), 2);
});

test('on a calm day with perfect sensors the spreadsheet finds every lap to half a percent', () => {
  const day = simulateDay({
    seed: 2,
    runsPerSetup: 1,
    wind: { speedMps: 0 },
    sensors: { powerNoise: 0, speedNoiseMps: 0, airspeedNoise: 0 },
  });
  for (const air of ['calm', 'airspeed'] as const) {
    const { laps } = spreadsheetMethod(evidenceOf(day), air);
    assert.equal(laps.length, 9);
    for (const lap of laps) {
      const truth = day.runs[lap.run - 1].truth.lapCdaM2[lap.lap - 1];
      near(lap.cdaM2, truth, {
        rel: 0.005,
        why: 'rows are whole seconds; the gate is passed between them',
      });
    }
  }
});

test('on a windy day a spreadsheet that takes the air as calm scatters far more than one with a sensor', () => {
  const day = simulateDay({ seed: 2, wind: { speedMps: 4 } });
  const width = (air: 'calm' | 'airspeed') =>
    median(spreadsheetMethod(evidenceOf(day), air).differences.map((d) => d.halfWidthM2));
  assert.ok(width('calm') > 3 * width('airspeed'));
});

test('without lap marks the spreadsheet has no answer and says so', () => {
  const day = simulateDay({
    runsPerSetup: 1,
    setups: 2,
    lapsPerRun: 1,
    sensors: { lapMarks: false },
  });
  assert.throws(() => spreadsheetMethod(evidenceOf(day), 'calm'), /no lap marks/);
});
