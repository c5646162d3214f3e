/** A ride laid beside a sound: by the clocks, as told, or not at all and why. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { alignRide, usualCircumferenceM } from '../../src/application/align-ride.ts';
import type { Recording, SoundFormat } from '../../src/core/evidence/index.ts';
import { near } from '../near.ts';

const noon = Date.UTC(2026, 4, 17, 12) / 1000;

function rideOf(change: Partial<Recording> = {}): Recording {
  const timeS = Float64Array.from({ length: 601 }, (_, i) => i);
  return {
    file: 'ride.fit',
    format: 'fit',
    timeS,
    startEpochS: noon,
    channels: { speedMps: timeS.map((t) => 5 + t / 100) },
    lapMarksS: new Float64Array(0),
    pauses: [],
    warnings: [],
    ...change,
  };
}

function soundAt(startEpochS: number | null, startClock: SoundFormat['startClock'] = 'utc') {
  const format = {
    sampleRateHz: 48_000,
    channels: 1,
    lengthSamples: 48_000 * 60,
    encoding: 'WAV, 16-bit PCM',
    startEpochS,
    startClock,
  };
  return { format, durationS: 60 };
}

const byClocks = { startS: null, zoneMinutes: null, circumferenceM: null };

test('a 28-622 tyre rolls 2.130 m, and speed over that gives the turns of the wheel', () => {
  // ISO 5775-1: 622 mm is the diameter of the bead seat, 28 mm the width of the tyre.
  near(usualCircumferenceM, 2.13, { abs: 0.0005, why: 'π · 0.678 m' });
  const { wheelSpeed } = alignRide(soundAt(noon + 100), rideOf(), byClocks);
  assert.ok(wheelSpeed);
  // At the sound's start the ride is 100 s old and 6 m/s fast.
  const at = Array.from(wheelSpeed.timeS).indexOf(0);
  near(wheelSpeed.wheelHz[at], 6 / usualCircumferenceM, { rel: 1e-12, why: 'definition' });
});

test('by their clocks, when the sound gives universal time', () => {
  const { alignment, warnings } = alignRide(soundAt(noon + 100), rideOf(), byClocks);
  assert.deepEqual(alignment, { offsetS: 100, how: 'clock', uncertaintyS: 2 });
  assert.deepEqual(warnings, []);
});

test('a clock without a zone is believed with the zone that is told', () => {
  const local = soundAt(noon + 100 + 2 * 3600, 'local');
  const told = alignRide(local, rideOf(), { ...byClocks, zoneMinutes: 120 });
  assert.equal(told.alignment?.offsetS, 100);
  assert.deepEqual(told.warnings, []);
});

test('without a zone the only full hour that fits is taken, and said', () => {
  const { alignment, warnings } = alignRide(
    soundAt(noon + 100 - 5 * 3600, 'local'),
    rideOf(),
    byClocks,
  );
  assert.equal(alignment?.offsetS, 100);
  assert.match(warnings[0].message, /UTC−5/);
});

test('a ride of hours leaves the zone open, and that is said', () => {
  const long = rideOf({
    timeS: Float64Array.from({ length: 601 }, (_, i) => 30 * i),
  });
  const { alignment, wheelSpeed, warnings } = alignRide(
    soundAt(noon + 100, 'local'),
    long,
    byClocks,
  );
  assert.equal(alignment, null);
  assert.equal(wheelSpeed, null);
  assert.match(warnings[0].message, /long enough for several/);
});

test('what a person says goes before the clocks', () => {
  const place = { ...byClocks, startS: 42, circumferenceM: 2 };
  const { alignment, wheelSpeed } = alignRide(soundAt(noon + 100), rideOf(), place);
  assert.deepEqual(alignment, { offsetS: 42, how: 'told', uncertaintyS: 1 });
  near(wheelSpeed!.wheelHz[0], 2.5, { rel: 1e-12, why: '5 m/s over 2 m' });
});

test('clocks that do not meet are not believed, and by how much is said', () => {
  const { alignment, warnings } = alignRide(soundAt(noon + 4200), rideOf(), byClocks);
  assert.equal(alignment, null);
  assert.match(warnings[0].message, /1:00:00 after it/);
});

test('a ride without speed is helped out with its distance; with neither the sound stands alone', () => {
  const distanceM = Float64Array.from({ length: 601 }, (_, i) => 8 * i);
  const { wheelSpeed } = alignRide(soundAt(noon), rideOf({ channels: { distanceM } }), {
    ...byClocks,
    circumferenceM: 2,
  });
  near(wheelSpeed!.wheelHz[10], 4, { rel: 1e-12, why: '8 m each second over 2 m' });
  const none = alignRide(soundAt(noon), rideOf({ channels: {} }), byClocks);
  assert.equal(none.wheelSpeed, null);
  assert.match(none.warnings[0].message, /neither speed nor distance/);
});
