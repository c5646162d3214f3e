import assert from 'node:assert/strict';
import test from 'node:test';
import { FitBaseType, FitEncoder, type FitEncoderField } from 'fit-file-parser';
import { near } from '../near.ts';
import { readRecording } from '../../src/recordings/index.ts';
import { startEpochS } from './rides.ts';

// Field numbers, scales and offsets after the FIT profile: record 20, lap 19 (from memory).
const field = (
  number: number,
  size: number,
  baseType: FitBaseType,
  value: number,
): FitEncoderField => ({ number, size, baseType, value });

test('a ride from a second encoder, in the fields of an older device, is read with its laps', () => {
  const encoder = new FitEncoder();
  const stamp = (t: number): number =>
    FitEncoder.toFitTimestamp(new Date(1000 * (startEpochS + t)));
  encoder.writeMessage(0, [field(0, 1, FitBaseType.Enum, 4)]);
  for (let t = 0; t <= 40; t += 1) {
    encoder.writeMessage(20, [
      field(253, 4, FitBaseType.Uint32, stamp(t)),
      field(0, 4, FitBaseType.Sint32, Math.round(((1 + t * 1e-4) / 180) * 2 ** 31)),
      field(1, 4, FitBaseType.Sint32, Math.round((-(2 + t * 1e-4) / 180) * 2 ** 31)),
      field(2, 2, FitBaseType.Uint16, (120 + 500) * 5),
      field(4, 1, FitBaseType.Uint8, 90),
      field(5, 4, FitBaseType.Uint32, 1000 * t),
      field(6, 2, FitBaseType.Uint16, 10_000 + t),
      // 65535 stands for no value.
      field(7, 2, FitBaseType.Uint16, t === 3 ? 65_535 : 250 + t),
      field(13, 1, FitBaseType.Sint8, -4),
    ]);
    if (t === 20 || t === 40)
      encoder.writeMessage(
        19,
        [
          field(253, 4, FitBaseType.Uint32, stamp(t)),
          field(2, 4, FitBaseType.Uint32, stamp(t - 20)),
          field(7, 4, FitBaseType.Uint32, 20_000),
        ],
        1,
      );
  }
  const { timeS, channels, lapMarksS, warnings } = readRecording(encoder.close(), 'second.fit');
  assert.deepEqual(warnings, []);
  assert.equal(timeS.length, 41);
  near(channels.speedMps![40], 10.04, { abs: 1e-9, why: 'written in mm/s' });
  near(channels.latDeg![40], 1.004, { abs: 1e-7, why: 'semicircles are 8.4e-8 degrees' });
  near(channels.lonDeg![40], -2.004, { abs: 1e-7, why: 'semicircles are 8.4e-8 degrees' });
  assert.equal(channels.altitudeM![0], 120);
  assert.equal(channels.distanceM![40], 400);
  assert.equal(channels.temperatureC![0], -4);
  assert.equal(channels.cadenceRpm![0], 90);
  assert.equal(channels.powerW![2], 252);
  assert.ok(Number.isNaN(channels.powerW![3]), 'a value marked invalid is missing');
  assert.deepEqual(Array.from(lapMarksS), [20]);
});
