import { test } from 'node:test';
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readRecording } from '../../src/recordings/index.ts';
import {
  drawNoiseRide,
  drawnCauses,
  noiseDemo,
  simulateNoiseRide,
} from '../../src/simulation/index.ts';
import { near } from '../near.ts';

test('drawn causes come in the stated shares, and a draw repeats', () => {
  const counts = new Map<string, number>();
  const draws = 2000;
  for (let seed = 1; seed <= draws; seed++) {
    const { cause = 'no-tone' } = drawNoiseRide(seed).conditions.tone ?? {};
    counts.set(cause, (counts.get(cause) ?? 0) + 1);
  }
  near(
    Object.values(drawnCauses).reduce((a, b) => a + b),
    1,
    { abs: 1e-12, why: 'shares' },
  );
  for (const [cause, share] of Object.entries(drawnCauses)) {
    near((counts.get(cause) ?? 0) / draws, share, { abs: 0.04, why: 'four standard errors' });
  }
  assert.deepEqual(drawNoiseRide(17), drawNoiseRide(17));
});

test('options hold one thing and leave the rest of the draw alone', () => {
  const free = drawNoiseRide(5, { toneToNoiseDb: 0 }).conditions;
  const held = drawNoiseRide(5, { toneToNoiseDb: 6 }).conditions;
  assert.equal(held.tone?.toneToNoiseDb, 6);
  assert.deepEqual({ ...held.tone, toneToNoiseDb: 0 }, free.tone);
  assert.equal(drawNoiseRide(5, { shares: null }).conditions.tone?.cause, 'no-tone');
});

test('every drawn ride brakes, and its cause is heard for a second at least', () => {
  for (let seed = 1; seed <= 25; seed++) {
    const { truth } = simulateNoiseRide(drawNoiseRide(seed).conditions, seed);
    assert.ok(truth.brakings.length > 0, `seed ${seed}`);
    const heardS = (truth.tones[0]?.bursts ?? []).reduce((sum, b) => sum + b.endS - b.startS, 0);
    assert.ok(heardS > 1, `seed ${seed}, ${truth.cause}: ${heardS} s`);
  }
});

test('the demo is the same every time, small, and its ride is read', () => {
  const demo = noiseDemo();
  const hash = (x: Float32Array<ArrayBuffer>): string =>
    createHash('sha256').update(new Uint8Array(x.buffer)).digest('hex');
  assert.equal(hash(noiseDemo().ride.samples), hash(demo.ride.samples));
  assert.equal(demo.ride.samples.length, 60 * 16_000);
  assert.equal(demo.truth.cause, 'spokes-losing-disc-side');
  assert.equal(demo.plucksFree.truth.plucks.length, 28);
  near(demo.plucksUnderTorque.brakeTorqueNm, 31.38, { abs: 0.01, why: '8 kg on 0.4 m' });
  const read = readRecording(new TextEncoder().encode(demo.ride.csv), 'ride.csv');
  near(read.channels.speedMps?.[40] ?? NaN, demo.ride.recording.speedMps[40], {
    abs: 1e-3,
    why: '1 mm/s',
  });
  assert.match(demo.wheelSheet, /invented: true/);
});
