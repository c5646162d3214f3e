import { test } from 'node:test';
import assert from 'node:assert/strict';
import { simulateNoiseRide, simulateWheel } from '../../src/simulation/index.ts';
import type { NoiseCause, NoiseRide } from '../../src/simulation/index.ts';
import { near } from '../near.ts';
import { densityOf, gather, powerAt, rmsOf, strongestHz } from './sound-spectrum.ts';

const quiet = { tickDbfs: -200, carsPerMinute: 0, voicesPerMinute: 0 };
const partOf = (sound: NoiseRide, part: 'all' | 'tones' | 'background'): Float32Array =>
  gather(sound.samples(part), sound.lengthSamples);

function rideWith(cause: NoiseCause, seed: number, toneToNoiseDb = 0): NoiseRide {
  return simulateNoiseRide(
    {
      durationS: 40,
      sampleRateHz: 8000,
      tone: { cause, toneToNoiseDb, harmonicsDb: [], burstShare: 1, brakingsSounding: 1 },
      background: quiet,
    },
    seed,
  );
}

test('the tone stands over the noise of its critical band by as many decibels as asked', () => {
  for (const [cause, asked] of [
    ['brake-unit-squeal', 0],
    ['spokes-losing-disc-side', 6],
  ] as const) {
    const sound = rideWith(cause, 5, asked);
    const [tones, noise] = [partOf(sound, 'tones'), partOf(sound, 'background')];
    let tonePower = 0;
    let noisePower = 0;
    for (const { startS, endS, hz } of sound.truth.tones[0].bursts) {
      const cut = (x: Float32Array): Float32Array => x.slice(startS * 8000, endS * 8000);
      tonePower += (endS - startS) * rmsOf(cut(tones)) ** 2;
      // Critical band of Zwicker and Terhardt 1980, written down afresh.
      const width = 25 + 75 * (1 + 1.4 * (hz / 1000) ** 2) ** 0.69;
      const places = [-0.4, -0.2, 0, 0.2, 0.4].map((u) =>
        densityOf(cut(noise), hz + u * width, 8000),
      );
      noisePower += ((endS - startS) * width * places.reduce((a, b) => a + b, 0)) / places.length;
    }
    const measured = 10 * Math.log10(tonePower / noisePower);
    near(measured, asked, { abs: 0.7, why: 'a few seconds of noise: about 0.3 dB of chance' });
  }
});

test('the squeal is where it was asked for, at any speed and torque', () => {
  const sound = rideWith('brake-unit-squeal', 3);
  const [track] = sound.truth.tones;
  for (const hz of track.hz)
    near(hz, 1000, { rel: 0.01, why: 'jitter of a few tenths of a per cent' });
  const { startS, endS } = track.bursts[0];
  const middle = (startS + endS) / 2;
  const piece = partOf(sound, 'tones').slice((middle - 0.25) * 8000, (middle + 0.25) * 8000);
  const heard = strongestHz(piece, [900, 1100], 8000);
  const true_ = track.hz.filter((_, i) => Math.abs(track.timeS[i] - middle) <= 0.25);
  near(heard, true_.reduce((a, b) => a + b, 0) / true_.length, {
    abs: 1,
    why: 'half a second: 2 Hz lines',
  });
});

test('spokes that braking lets go sink with torque, spokes that gain rise', () => {
  for (const [cause, sign] of [
    ['spokes-losing-disc-side', -1],
    ['spokes-gaining-disc-side', 1],
  ] as const) {
    const sound = simulateNoiseRide(
      { tone: { cause, heardTurn: 0, jitter: 0 }, descent: { torqueNm: 60 } },
      4,
    );
    const [{ spoke, timeS, hz }] = sound.truth.tones;
    const own = sound.conditions.wheel.spokes.find((one) => one.spoke === spoke);
    assert.ok(own && own.discSide && own.underBraking === (sign < 0 ? 'loses' : 'gains'));
    const { brakeTorque } = sound.truth;
    const torque = timeS.map((t) => brakeTorque.torqueNm[Math.round(t * 10)]);
    const [weak, strong] = [Math.min(...torque), Math.max(...torque)];
    assert.ok(strong > weak + 20, `torque from ${weak} to ${strong} Nm`);
    const high = hz.filter((_, i) => torque[i] > weak + 0.7 * (strong - weak));
    const low = hz.filter((_, i) => torque[i] < weak + 0.3 * (strong - weak));
    const mean = (x: number[]): number => x.reduce((a, b) => a + b, 0) / x.length;
    // 1.7 N and 0.16 Hz a newton metre at about 1000 N: over some 12 Nm or more, 2 Hz.
    assert.ok(sign * (mean(high) - mean(low)) > 2, `${mean(low)} Hz to ${mean(high)} Hz`);
  }
});

test('what turns with the wheel keeps its cycles a turn, by the speed of the ride recording', () => {
  const sound = simulateNoiseRide(
    {
      tone: {
        cause: 'turning-with-the-wheel',
        turning: { part: 'tread blocks', cyclesPerTurn: 80 },
      },
      ride: { speedNoiseMps: 0, leadS: 12, everyS: 0.25 },
    },
    2,
  );
  const [{ timeS, hz }] = sound.truth.tones;
  const { ride, truth, conditions } = sound;
  const lowest = Math.min(...hz);
  assert.ok(Math.max(...hz) > 1.5 * lowest, 'speed changes');
  timeS.forEach((t, i) => {
    const at = t + truth.soundStartS;
    const k = Math.min(ride.timeS.length - 2, Math.floor(at / 0.25));
    const v = ride.speedMps[k] + (at / 0.25 - k) * (ride.speedMps[k + 1] - ride.speedMps[k]);
    const cycles = (hz[i] * 2 * Math.PI * conditions.wheel.tyreRadiusM) / v;
    near(cycles, 80, { rel: 0.02, why: 'speed four times a second, straight lines between' });
  });
});

test('a ride without a tone has none, and a car and a voice are no tones', () => {
  const sound = simulateNoiseRide(
    {
      durationS: 30,
      tone: { cause: 'no-tone' },
      background: { carsPerMinute: 20, voicesPerMinute: 20 },
    },
    1,
  );
  assert.deepEqual(sound.truth.tones, []);
  assert.equal(rmsOf(partOf(sound, 'tones')), 0);
  assert.deepEqual([...new Set(sound.truth.passers.map(({ kind }) => kind))].sort(), [
    'car',
    'voice',
  ]);
  const voice = sound.truth.passers.find(({ kind }) => kind === 'voice');
  assert.ok(voice?.hz && new Set(voice.hz.map(Math.round)).size > 1, 'a voice glides');
});

test('the same seed gives the same sound, in blocks of any length; another seed another', () => {
  const make = (seed: number): NoiseRide => simulateNoiseRide({ durationS: 12 }, seed);
  const bytes = (sound: NoiseRide, blockLength?: number): Buffer =>
    Buffer.from(gather(sound.samples('all', blockLength), sound.lengthSamples).buffer);
  const sound = make(9);
  const first = bytes(sound);
  // Compared as bytes: telling eighty thousand samples apart in words takes minutes.
  assert.ok(first.equals(bytes(make(9), 1000)), 'blocks of another length');
  assert.ok(first.equals(bytes(sound)), 'asked twice');
  assert.deepEqual(make(9).ride, sound.ride);
  assert.ok(!first.equals(bytes(make(10))));
});

test('the recorder rounds to 16 bits and stops at full scale when it is set too loud', () => {
  const loud = simulateNoiseRide({ durationS: 20, recorder: { gainDb: 30, gainControl: 0 } }, 6);
  const heard = partOf(loud, 'all');
  const atLimit = heard.filter((x) => x === -1 || x === 32767 / 32768).length;
  assert.ok(atLimit > 0.01 * heard.length, `${atLimit} samples at the limit`);
  assert.ok(heard.every((x) => Number.isInteger(x * 32768) && x >= -1 && x < 1));
  const soft = partOf(simulateNoiseRide({ durationS: 20 }, 6), 'all');
  assert.ok(soft.every((x) => Math.abs(x) < 0.99));
});

test('gain control brings loud and soft moments nearer together', () => {
  const spread = (gainControl: number): number => {
    const sound = simulateNoiseRide(
      { durationS: 40, tone: { cause: 'no-tone' }, recorder: { gainControl } },
      8,
    );
    const heard = partOf(sound, 'all');
    const levels = Array.from({ length: 40 }, (_, s) =>
      rmsOf(heard.slice(s * 16_000, (s + 1) * 16_000)),
    );
    return Math.max(...levels) / Math.min(...levels);
  };
  assert.ok(spread(0.8) < 0.6 * spread(0));
});

test('harmonics stand where and as high as asked', () => {
  const sound = simulateNoiseRide(
    {
      durationS: 30,
      tone: { cause: 'brake-unit-squeal', squealHz: 800, jitter: 0, harmonicsDb: [-6, -12] },
    },
    2,
  );
  const [{ bursts }] = sound.truth.tones;
  const middle = (bursts[0].startS + bursts[0].endS) / 2;
  const piece = partOf(sound, 'tones').slice((middle - 0.3) * 16_000, (middle + 0.3) * 16_000);
  const [one, two, three] = [1, 2, 3].map((h) => powerAt(piece, h * 800, 16_000));
  near(10 * Math.log10(two / one), -6, { abs: 0.1, why: 'a clean tone' });
  near(10 * Math.log10(three / one), -12, { abs: 0.1, why: 'a clean tone' });
});

test('sounds that cannot be made are refused', () => {
  assert.throws(() => simulateNoiseRide({ durationS: 0 }), /cannot invent this sound/);
  assert.throws(() => simulateNoiseRide({ sampleRateHz: 1000 }), RangeError);
  assert.throws(() => simulateWheel({ count: 27 }), RangeError);
});
