import assert from 'node:assert/strict';
import { describe, test } from 'node:test';
import fc from 'fast-check';
import type { Recording } from '../../src/core/evidence/index.ts';
import { channelNames } from '../../src/core/evidence/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { readRecording, writeFit } from '../../src/recordings/index.ts';
import { near } from '../near.ts';
import { bytesOf, csv, gpx, seconds, smallFit, startEpochS, tcx } from './rides.ts';

const whole: Record<Recording['format'], Uint8Array> = {
  fit: smallFit(80, { lapMarksS: [20, 45], pauses: [{ fromS: 60, toS: 61 }] }),
  tcx: bytesOf(tcx([seconds(20), seconds(20, 20)])),
  gpx: bytesOf(gpx([seconds(20), seconds(20, 50)])),
  csv: bytesOf(
    csv(
      'time_s,speed_mps,power_w,lap',
      seconds(40).map((t) => [t, 10.5, 250, t < 20 ? 1 : 2]),
    ),
  ),
};

/** Whatever happens to a file, reading gives a sound recording or says in words what is wrong. */
function assertReadOrRefused(bytes: Uint8Array, file: string): void {
  const began = performance.now();
  try {
    assertSound(readRecording(bytes, file));
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    assert.ok(error.problems.length > 0);
    for (const { code, message } of error.problems)
      assert.ok(code.length > 0 && message.length > 0);
  }
  assert.ok(performance.now() - began < 5000, 'takes bounded time');
}

function assertSound(recording: Recording): void {
  const { timeS, channels, lapMarksS, pauses } = recording;
  const n = timeS.length;
  const endS = timeS[n - 1];
  assert.ok(n >= 2);
  assert.equal(timeS[0], 0);
  for (let i = 1; i < n; i += 1) assert.ok(timeS[i] > timeS[i - 1] && Number.isFinite(timeS[i]));
  assert.ok(recording.startEpochS === null || Number.isFinite(recording.startEpochS));
  for (const [name, values] of Object.entries(channels)) {
    assert.ok((channelNames as readonly string[]).includes(name));
    assert.equal(values.length, n);
    assert.ok(values.some((value) => !Number.isNaN(value)));
    assert.ok(values.every((value) => Number.isNaN(value) || Number.isFinite(value)));
  }
  for (let i = 0; i < lapMarksS.length; i += 1) {
    assert.ok(lapMarksS[i] >= 0 && lapMarksS[i] <= endS);
    assert.ok(i === 0 || lapMarksS[i] > lapMarksS[i - 1]);
  }
  for (let i = 0; i < pauses.length; i += 1) {
    assert.ok(pauses[i].fromS < pauses[i].toS);
    assert.ok(i === 0 || pauses[i].fromS > pauses[i - 1].toS);
  }
}

type Damage = (bytes: Uint8Array) => Uint8Array;

const place = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
const damage: fc.Arbitrary<Damage> = fc.oneof(
  fc.tuple(place, fc.integer({ min: 1, max: 255 })).map(([at, bits]): Damage => (bytes) => {
    const changed = bytes.slice();
    changed[Math.floor(at * bytes.length)] ^= bits;
    return changed;
  }),
  place.map(
    (at): Damage =>
      (bytes) =>
        bytes.slice(0, Math.floor(at * bytes.length)),
  ),
  fc.tuple(place, fc.integer({ min: 1, max: 40 })).map(([at, count]): Damage => (bytes) => {
    const from = Math.floor(at * bytes.length);
    return bytes.filter((_, i) => i < from || i >= from + count);
  }),
  fc
    .tuple(place, fc.uint8Array({ minLength: 1, maxLength: 20 }))
    .map(([at, more]): Damage => (bytes) => {
      const from = Math.floor(at * bytes.length);
      return Uint8Array.from([...bytes.subarray(0, from), ...more, ...bytes.subarray(from)]);
    }),
);

describe('a damaged file of any format is read as far as it goes, or refused in words', () => {
  for (const format of ['fit', 'tcx', 'gpx', 'csv'] as const) {
    test(format.toUpperCase(), () => {
      assertSound(readRecording(whole[format], `run.${format}`));
      fc.assert(
        fc.property(fc.array(damage, { minLength: 1, maxLength: 6 }), (damages) => {
          const bytes = damages.reduce((changed, harm) => harm(changed), whole[format]);
          assertReadOrRefused(bytes, `run.${format}`);
        }),
        { seed: 11, numRuns: 600 },
      );
    });
  }

  test('bytes of any kind, under any name', () => {
    const file = fc.constantFrom(
      'run.fit',
      'run.tcx',
      'run.gpx',
      'run.csv',
      'run',
      'constructor.prototype',
    );
    const start = fc.constantFrom(
      '',
      '<gpx>',
      '<?xml version="1.0"?>',
      'time_s,speed_mps,power_w\n',
      '\u000e\u0010\u0000\u0000\u0000\u0000\u0000\u0000.FIT\u0000\u0000',
    );
    fc.assert(
      fc.property(start, fc.uint8Array({ maxLength: 300 }), file, (head, tail, name) => {
        assertReadOrRefused(Uint8Array.from([...Buffer.from(head, 'latin1'), ...tail]), name);
      }),
      { seed: 13, numRuns: 1000 },
    );
  });

  test('a FIT file of nothing but noise after its header is given up soon', () => {
    const noise = new Uint8Array(2_000_000);
    let state = 1;
    for (let i = 0; i < noise.length; i += 1) {
      state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
      noise[i] = state >> 16;
    }
    noise.set(smallFit(20).subarray(0, 700));
    assertReadOrRefused(noise, 'run.fit');
  });
});

describe('a valid ride comes back as it was', () => {
  const value = (min: number, max: number) =>
    fc.oneof(
      { weight: 9, arbitrary: fc.double({ min, max, noNaN: true }) },
      { weight: 1, arbitrary: fc.constant(NaN) },
    );
  const ride = fc
    .array(
      fc.record({
        stepS: fc.integer({ min: 1, max: 9 }),
        speedMps: value(0, 40),
        powerW: value(0, 2000),
        altitudeM: value(-400, 8000),
        airspeedMps: value(-4, 50),
        lap: fc.boolean(),
      }),
      { minLength: 2, maxLength: 60 },
    )
    .map((samples) => {
      let at = 0;
      const timeS = samples.map(({ stepS }, i) => (i === 0 ? 0 : (at += stepS)));
      const column = (name: 'speedMps' | 'powerW' | 'altitudeM' | 'airspeedMps') =>
        samples.map((s) => s[name]);
      const channels = {
        speedMps: column('speedMps'),
        powerW: column('powerW'),
        altitudeM: column('altitudeM'),
        airspeedMps: column('airspeedMps'),
      };
      const lapMarksS = timeS.filter((_, i) => i > 0 && i < samples.length - 1 && samples[i].lap);
      return { timeS, channels, lapMarksS };
    });

  const halfSteps = { speedMps: 0.0005, powerW: 0.5, altitudeM: 0.1, airspeedMps: 2e-6 };

  test('through FIT', () => {
    fc.assert(
      fc.property(ride, ({ timeS, channels, lapMarksS }) => {
        const recording = readRecording(
          writeFit({ startEpochS, timeS, channels, lapMarksS }),
          'run.fit',
        );
        assertSound(recording);
        assert.deepEqual([...recording.timeS], timeS);
        near(recording.lapMarksS, lapMarksS, { abs: 0.001, why: 'elapsed times have thousandths' });
        for (const name of Object.keys(channels) as (keyof typeof channels)[]) {
          sameValues(recording.channels[name], channels[name], halfSteps[name] * 1.001);
        }
      }),
      { seed: 17, numRuns: 150 },
    );
  });

  test('through CSV, to the last digit', () => {
    fc.assert(
      fc.property(ride, ({ timeS, channels }) => {
        const text = csv(
          'time_s,speed_mps,power_w,altitude_m,airspeed_mps',
          timeS.map((t, i) => [
            t,
            ...Object.values(channels).map((column) => (Number.isNaN(column[i]) ? '' : column[i])),
          ]),
        );
        const recording = readRecording(bytesOf(text), 'run.csv');
        assertSound(recording);
        assert.deepEqual([...recording.timeS], timeS);
        for (const name of Object.keys(channels) as (keyof typeof channels)[]) {
          sameValues(recording.channels[name], channels[name], 0);
        }
      }),
      { seed: 19, numRuns: 150 },
    );
  });

  for (const [format, write] of [
    ['TCX', (times: number[]) => tcx([times])],
    ['GPX', (times: number[]) => gpx([times])],
  ] as const) {
    test(`through ${format}, times, altitude and power`, () => {
      fc.assert(
        fc.property(
          fc.uniqueArray(fc.integer({ min: 0, max: 5000 }), { minLength: 2, maxLength: 60 }),
          (moments) => {
            const times = moments.sort((a, b) => a - b);
            const recording = readRecording(bytesOf(write(times)), 'run.xml');
            assertSound(recording);
            assert.deepEqual(
              [...recording.timeS],
              times.map((t) => t - times[0]),
            );
            assert.equal(recording.startEpochS, startEpochS + times[0]);
            sameValues(
              recording.channels.powerW,
              times.map((t) => 250 + (t % 7)),
              0,
            );
            sameValues(
              recording.channels.altitudeM,
              times.map((t) => 100 + (t % 3)),
              0,
            );
          },
        ),
        { seed: 23, numRuns: 100 },
      );
    });
  }
});

/** Equal within `abs`, missing where missing; a channel all missing is not there. */
function sameValues(actual: Float64Array | undefined, expected: number[], abs: number): void {
  if (expected.every(Number.isNaN)) return assert.equal(actual, undefined);
  assert.ok(actual !== undefined);
  expected.forEach((value, i) => {
    if (Number.isNaN(value))
      assert.ok(Number.isNaN(actual[i]), `[${i}] ${actual[i]} should be missing`);
    else assert.ok(Math.abs(actual[i] - value) <= abs, `[${i}] ${actual[i]} is not ${value}`);
  });
}
