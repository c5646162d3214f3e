import assert from 'node:assert/strict';
import { describe, test } from 'node:test';
import fc from 'fast-check';
import { near } from '../near.ts';
import { codes, csv, evenRide, readCsvText, refusal, seconds, startEpochS } from './rides.ts';

const times = (timesS: readonly number[]) => readCsvText(evenRide(timesS));

describe('the clock of a recording', () => {
  test('begins at its first sample, wherever the file counts from', () => {
    assert.deepEqual([...times([300, 301, 302]).timeS], [0, 1, 2]);
  });

  test('that repeats a time has one sample there, with the mean of the values that are present', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w,altitude_m\n0,10,250,100\n1,11,260,\n1,12,,102\n2,10,250,104\n',
    );
    assert.deepEqual([...recording.timeS], [0, 1, 2]);
    assert.deepEqual([...recording.channels.speedMps!], [10, 11.5, 10]);
    assert.deepEqual([...recording.channels.powerW!], [250, 260, 250]);
    assert.deepEqual([...recording.channels.altitudeM!], [100, 102, 104]);
    assert.deepEqual(codes(recording), ['time-backwards']);
  });

  test('that steps back by a few seconds leaves out the late samples, with their count and place', () => {
    const recording = times([0, 1, 2, 3, 1.5, 2.5, 4, 5]);
    assert.deepEqual([...recording.timeS], [0, 1, 2, 3, 4, 5]);
    assert.deepEqual(codes(recording), ['time-backwards']);
    assert.match(recording.warnings[0].message, /^2 samples do not fit/);
    assert.equal(recording.warnings[0].place?.timeS, 3);
  });

  test('that was set back by an hour goes on by one step, with the laps and marks after it in place', () => {
    const rows = [
      ...seconds(10, 5000).map((t) => [t, 10, 250, 1]),
      ...seconds(10, 1400).map((t) => [t, 10, 250, t < 1405 ? 1 : 2]),
    ];
    const recording = readCsvText(csv('time_s,speed_mps,power_w,lap', rows));
    assert.deepEqual([...recording.timeS], seconds(20));
    assert.deepEqual([...recording.lapMarksS], [15]);
    assert.deepEqual(codes(recording), ['clock-reset']);
    assert.match(recording.warnings[0].message, /set back by 3609 s/);
    assert.equal(recording.warnings[0].place?.timeS, 9);
  });

  test('that ran unset until the receiver had a fix is told by the part that was set', () => {
    const recording = times([...seconds(5, 631_065_600), ...seconds(50, startEpochS)]);
    assert.deepEqual([...recording.timeS], seconds(55));
    assert.equal(recording.startEpochS, startEpochS - 5);
    assert.deepEqual(codes(recording), ['clock-reset']);
  });

  for (const [what, wrong] of [
    ['far in the past', -5000],
    ['far in the future', 5000],
    ['in another decade', 4e8],
  ] as const) {
    test(`with one time ${what} loses that sample only`, () => {
      const timesS = seconds(20);
      timesS[8] = 8 + wrong;
      const recording = times(timesS);
      assert.deepEqual(
        [...recording.timeS],
        seconds(20).filter((t) => t !== 8),
      );
      assert.deepEqual(codes(recording), ['time-backwards']);
    });
  }

  test('that makes no sense at all is refused', () => {
    const problem = refusal(() =>
      times(seconds(5000).map((i) => (i % 2 === 0 ? 1e6 - i * 100 : 5e6 - i * 100))),
    );
    assert.equal(problem.code, 'format-damaged');
  });

  test('with samples that have no time leaves them out, and says how many', () => {
    const recording = readCsvText('time_s,speed_mps,power_w\n0,10,250\n,10,250\n2,10,250\n');
    assert.deepEqual([...recording.timeS], [0, 2]);
    assert.match(recording.warnings[0].message, /^1 sample has no time/);
  });

  test('always moves forward and begins at zero, whatever times a file holds', () => {
    const time = fc.oneof(
      { weight: 5, arbitrary: fc.integer({ min: 0, max: 500 }) },
      { weight: 1, arbitrary: fc.double({ noNaN: true, min: -1e12, max: 1e12 }) },
      { weight: 1, arbitrary: fc.constantFrom(1e-12, 1e9, 1e9 + 1e-6, -40_000, 43_200, 43_201) },
    );
    fc.assert(
      fc.property(fc.array(time, { minLength: 2, maxLength: 60 }), (timesS) => {
        let recording;
        try {
          recording = times(timesS);
        } catch (error) {
          assert.equal((error as Error).name, 'LapbenchError');
          return;
        }
        assert.equal(recording.timeS[0], 0);
        for (let i = 1; i < recording.timeS.length; i += 1)
          assert.ok(recording.timeS[i] > recording.timeS[i - 1]);
        for (const { fromS, toS } of recording.pauses) assert.ok(fromS < toS);
      }),
      { seed: 7, numRuns: 500 },
    );
  });
});

describe('the samples of a recording', () => {
  test('at a rate of ten a second are all kept', () => {
    const recording = times(seconds(100).map((i) => i / 10));
    assert.equal(recording.timeS.length, 100);
    near(recording.timeS[99], 9.9, { abs: 1e-9, why: 'as written' });
    assert.deepEqual(recording.warnings, []);
  });

  test('with an airspeed sensor at half the rate have no airspeed in between', () => {
    const recording = readCsvText(
      csv(
        'time_s,speed_mps,power_w,airspeed_mps',
        seconds(6).map((t) => [t, 10, 250, t % 2 === 0 ? 11 : '']),
      ),
    );
    assert.deepEqual([...recording.channels.airspeedMps!], [11, NaN, 11, NaN, 11, NaN]);
    assert.deepEqual(codes(recording), ['channel-partial']);
  });

  test('with values that no ride has are missing there, counted, with the first one quoted', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w,airspeed_mps,altitude_m\n0,10,250,11,100\n1,10,-5,90,101\n2,99,-7,11,102\n3,10,9000,-6,103\n4,10,0,-4.5,20000\n',
    );
    assert.deepEqual([...recording.channels.powerW!], [250, NaN, NaN, NaN, 0]);
    assert.deepEqual([...recording.channels.speedMps!], [10, 10, NaN, 10, 10]);
    assert.deepEqual([...recording.channels.airspeedMps!], [11, NaN, 11, NaN, -4.5]);
    const power = recording.warnings.find(({ message }) => message.startsWith('power'));
    assert.match(power!.message, /power of -5 W cannot be .* 3 such values/);
    assert.equal(power!.place?.timeS, 1);
  });

  test('in the wrong unit throughout are told to be checked', () => {
    const recording = readCsvText(
      csv(
        'time_s,speed_mps,power_w',
        seconds(5).map((t) => [t, 10, 250_000]),
      ),
    );
    assert.match(recording.warnings[0].remedy!, /unit/);
    assert.deepEqual(codes(recording), ['value-invalid', 'channel-missing']);
    assert.equal(recording.channels.powerW, undefined);
  });

  test('without power are read, with a warning that drag needs it', () => {
    const recording = readCsvText(
      csv(
        'time_s,speed_mps',
        seconds(5).map((t) => [t, 10]),
      ),
    );
    assert.deepEqual(codes(recording), ['channel-missing']);
    assert.match(recording.warnings[0].message, /no power/);
  });

  test('without speed have it from the distance, not across a gap', () => {
    const rows = [0, 1, 2, 3, 60, 61, 62].map((t) => [
      t,
      250,
      t < 10 ? 8 * t : 200 + 12 * (t - 60),
    ]);
    const recording = readCsvText(csv('time_s,power_w,distance_m', rows));
    near(recording.channels.speedMps!, [8, 8, 8, 8, 12, 12, 12], {
      abs: 1e-9,
      why: 'even stretches',
    });
    assert.match(recording.warnings[0].message, /worked out from distance/);
  });

  test('at 0, 0 have no position: the receiver had no fix', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w,lat_deg,lon_deg\n0,10,250,0,0\n1,10,250,1.5,\n2,10,250,1.5,2.5\n',
    );
    assert.deepEqual([...recording.channels.latDeg!], [NaN, NaN, 1.5]);
    assert.deepEqual([...recording.channels.lonDeg!], [NaN, NaN, 2.5]);
  });

  test('that stop for over 5 s have a gap there, also in a CSV file', () => {
    const recording = times([...seconds(10), ...seconds(10, 14), ...seconds(10, 30)]);
    assert.deepEqual(recording.pauses, [{ fromS: 23, toS: 30 }]);
    assert.deepEqual(codes(recording), ['recording-gap']);
  });

  test('of which there is only one are no recording', () => {
    assert.equal(refusal(() => times([3])).code, 'recording-too-short');
    assert.equal(
      refusal(() => readCsvText('time_s,speed_mps,power_w\n')).code,
      'recording-too-short',
    );
  });
});
