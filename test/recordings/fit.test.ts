import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { describe, test } from 'node:test';
import { FitWriter } from '@markw65/fit-file-writer';
import FitParser from 'fit-file-parser';
import { readRecording, writeFit } from '../../src/recordings/index.ts';
import { near } from '../near.ts';
import { codes, refusal, seconds, smallFit, startEpochS } from './rides.ts';

const read = (bytes: Uint8Array) => readRecording(bytes, 'run.fit');

/** The CRC of the FIT protocol, bit by bit: CRC-16/ARC (check value 0xBB3D for "123456789", in the catalogue of parametrised CRC algorithms). */
function crc16Arc(bytes: Uint8Array): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc & 1) !== 0 ? (crc >> 1) ^ 0xa001 : crc >> 1;
  }
  return crc;
}

describe('a FIT recording', () => {
  test('written by other software comes back as it was ridden, to the resolution of the format', () => {
    const n = 300;
    const timeS = seconds(n);
    const channels = {
      speedMps: timeS.map((t) => 10 + Math.sin(t)),
      powerW: timeS.map((t) => 250 + 30 * Math.sin(t / 9)),
      altitudeM: timeS.map((t) => 100 + 3 * Math.sin(t / 50)),
      distanceM: timeS.map((t) => 10.123 * t),
      latDeg: timeS.map((t) => -33 + t * 1e-5),
      lonDeg: timeS.map((t) => -70.5 + t * 1e-5),
      cadenceRpm: timeS.map(() => 91),
      airspeedMps: timeS.map((t) => 11 + Math.cos(t)),
      yawDeg: timeS.map((t) => 5 * Math.sin(t / 3)),
      dynamicPressurePa: timeS.map((t) => 75 + Math.cos(t)),
      temperatureC: timeS.map((t) => 19.5 + t / 1000),
      pressureHPa: timeS.map(() => 1009.25),
      humidityPercent: timeS.map(() => 56.5),
    };
    const recording = read(
      writeFit({ startEpochS, timeS, channels, lapMarksS: [60, 121.25, 250.5] }),
    );
    assert.equal(recording.format, 'fit');
    assert.equal(recording.startEpochS, startEpochS);
    assert.deepEqual([...recording.timeS], timeS);
    assert.deepEqual(recording.warnings, []);
    const halfStep: Record<keyof typeof channels, number> = {
      speedMps: 0.0005,
      powerW: 0.5,
      altitudeM: 0.1,
      distanceM: 0.005,
      latDeg: 180 / 2 ** 32,
      lonDeg: 180 / 2 ** 32,
      cadenceRpm: 0.5,
      airspeedMps: 1e-6,
      yawDeg: 1e-6,
      dynamicPressurePa: 5e-6,
      temperatureC: 2e-6,
      pressureHPa: 5e-5,
      humidityPercent: 5e-6,
    };
    assert.deepEqual(Object.keys(recording.channels).sort(), Object.keys(channels).sort());
    for (const name of Object.keys(channels) as (keyof typeof channels)[]) {
      near(recording.channels[name]!, channels[name], {
        abs: halfStep[name] * 1.001,
        why: `half a step of the field that keeps ${name}`,
      });
    }
    near(recording.lapMarksS, [60, 121.25, 250.5], {
      abs: 0.0005,
      why: 'elapsed times have thousandths',
    });
  });

  test('carries checksums that another account of the protocol agrees with', () => {
    assert.equal(crc16Arc(new TextEncoder().encode('123456789')), 0xbb3d);
    const bytes = smallFit();
    const stored = bytes[bytes.length - 2] | (bytes[bytes.length - 1] << 8);
    assert.equal(crc16Arc(bytes.subarray(0, -2)), stored);
  });

  test('keeps an airspeed sensor that writes every other second apart from the rest: nothing is filled in', () => {
    const timeS = seconds(40);
    const airspeed = timeS.map((t) => (t % 2 === 0 ? 11.5 : NaN));
    const recording = read(
      writeFit({
        startEpochS,
        timeS,
        channels: {
          speedMps: timeS.map(() => 10),
          powerW: timeS.map(() => 250),
          airspeedMps: airspeed,
        },
      }),
    );
    assert.deepEqual([...recording.channels.airspeedMps!], airspeed);
    assert.deepEqual(codes(recording), ['channel-partial']);
    assert.match(recording.warnings[0].message, /airspeed has a value in 50 %/);
  });

  test('with the timer stopped at a crossing has a pause there and no gap', () => {
    const timeS = [...seconds(30), ...seconds(30, 95)];
    const recording = read(smallFit(0, { timeS, pauses: [{ fromS: 30, toS: 94 }] }));
    assert.deepEqual(recording.pauses, [{ fromS: 30, toS: 94 }]);
    assert.deepEqual(codes(recording), ['recording-pause']);
    assert.match(recording.warnings[0].message, /stopped once, for 64 s/);
  });

  test('from a device that saves samples when something changes keeps the real ones and marks gaps over 5 s', () => {
    const timeS = [0, 1, 4, 9, 16, 17, 24, 25, 26];
    const recording = read(smallFit(0, { timeS }));
    assert.deepEqual([...recording.timeS], timeS);
    assert.deepEqual(recording.pauses, [
      { fromS: 9, toS: 16 },
      { fromS: 17, toS: 24 },
    ]);
    assert.deepEqual(codes(recording), ['recording-gap']);
    assert.match(recording.warnings[0].message, /2 times, 14 s in all, the longest 7 s/);
  });

  test('prefers the finer speed and altitude fields, and takes the plain ones where they are all there is', () => {
    const writer = new FitWriter();
    const start = writer.time(startEpochS * 1000);
    for (let t = 0; t < 3; t += 1) {
      writer.writeMessage('record', {
        timestamp: start + t,
        speed: 9,
        enhanced_speed: 10.0004,
        altitude: 50,
        power: 250,
      });
    }
    const view = writer.finish();
    const recording = read(new Uint8Array(view.buffer, view.byteOffset, view.byteLength));
    near(recording.channels.speedMps![1], 10, { abs: 0.0011, why: 'speed has steps of 1 mm/s' });
    near(recording.channels.altitudeM![1], 50, { abs: 0.21, why: 'altitude has steps of 0.2 m' });
  });

  test('reads developer fields by what they are called and in the unit they are in', () => {
    const encoded = encodeWithDeveloperFields([
      ['Air Speed', 'km/h', 36],
      ['Dynamic_Pressure', 'hPa', 0.75],
      ['Yaw Angle', 'rad', 0.1],
      ['Barometric Pressure', 'Pa', 101_325],
      ['Relative Humidity', '%', 40],
      ['Ambient Temperature', 'K', 293.15],
      ['Saddle Height', 'mm', 720],
    ]);
    const { channels, warnings } = read(encoded);
    const float = { rel: 1e-6, why: '32-bit floats' };
    near(channels.airspeedMps![0], 10, float);
    near(channels.dynamicPressurePa![0], 75, float);
    near(channels.yawDeg![0], 5.729578, float);
    near(channels.pressureHPa![0], 1013.25, float);
    near(channels.humidityPercent![0], 40, float);
    near(channels.temperatureC![0], 20, { abs: 2e-5, why: '32-bit kelvin' });
    assert.deepEqual(
      warnings.map(({ code }) => code),
      ['channel-missing', 'channel-missing'],
      'neither speed nor power was written',
    );
  });

  test('leaves out a developer field in a unit it does not know, and says so', () => {
    const { channels, warnings } = read(
      encodeWithDeveloperFields([['airspeed', 'furlong/fortnight', 36]]),
    );
    assert.equal(channels.airspeedMps, undefined);
    assert.match(warnings[0].message, /"furlong\/fortnight", which is not known/);
  });

  test('that is two files one after the other is one recording with a lap mark between', () => {
    const first = smallFit(20);
    const second = writeFit({
      startEpochS: startEpochS + 60,
      timeS: seconds(20),
      channels: { speedMps: Array(20).fill(9), powerW: Array(20).fill(200) },
    });
    const recording = read(Buffer.concat([first, second]));
    assert.equal(recording.timeS.length, 40);
    assert.deepEqual([...recording.lapMarksS], [60]);
    assert.deepEqual(recording.pauses, [{ fromS: 19, toS: 60 }]);
  });
});

/** Three records with the developer fields given. */
function encodeWithDeveloperFields(
  fields: readonly (readonly [name: string, unit: string, value: number])[],
): Uint8Array {
  const writer = new FitWriter();
  const start = writer.time(startEpochS * 1000);
  writer.writeMessage(
    'developer_data_id',
    { developer_data_index: 0, application_id: Array(16).fill(7) },
    null,
    true,
  );
  fields.forEach(([field_name, units], i) =>
    writer.writeMessage('field_description', {
      developer_data_index: 0,
      field_definition_number: i,
      fit_base_type_id: 'float32',
      field_name,
      units,
    }),
  );
  for (let t = 0; t < 3; t += 1) {
    writer.writeMessage(
      'record',
      { timestamp: start + t },
      fields.map(([, , value], i) => ({ field_num: i, value })),
    );
  }
  const view = writer.finish();
  return new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
}

describe('a long FIT recording', () => {
  const n = 20_500;
  const timeS = seconds(n);
  const bytes = writeFit({
    startEpochS,
    timeS,
    channels: {
      speedMps: timeS.map((t) => 10 + (t % 8) / 8),
      powerW: timeS.map((t) => 200 + (t % 100)),
      airspeedMps: timeS.map((t) => 11 + (t % 4) / 4),
    },
    lapMarksS: [100, 20_100],
  });

  test('is handed to the library in blocks without a seam: developer fields and laps go on', () => {
    const recording = read(bytes);
    assert.deepEqual([...recording.timeS], timeS);
    assert.deepEqual(
      [...recording.channels.airspeedMps!],
      timeS.map((t) => 11 + (t % 4) / 4),
    );
    assert.deepEqual(
      [...recording.channels.powerW!],
      timeS.map((t) => 200 + (t % 100)),
    );
    assert.deepEqual([...recording.lapMarksS], [100, 20_100]);
    assert.deepEqual(recording.warnings, []);
  });

  test('with messages of no size at all is gone through in bounded time', () => {
    // One definition without fields of a message nobody knows, and then millions of them, with a fault in between.
    const hostile = new Uint8Array(4_000_000);
    hostile.set(bytes.subarray(0, 5000));
    hostile.set([0x4f, 0, 0, 0x99, 0x99, 0], 5000);
    hostile.fill(0x0f, 5006);
    for (let at = 10_000; at < hostile.length; at += 1000) hostile[at] = 0x0e;
    const began = performance.now();
    assert.ok(read(hostile).timeS.length > 50);
    assert.ok(performance.now() - began < 5000);
  });
});

describe('a FIT recording with compressed times', () => {
  test('has the same times as one without', () => {
    const writer = new FitWriter({ noCompressedTimestamps: false });
    const start = writer.time(startEpochS * 1000);
    const timeS = [0, 1, 2, 30, 31, 32, 33, 64, 65, 100, 101];
    for (const t of timeS) {
      writer.writeMessage('record', { timestamp: start + t, enhanced_speed: 10, power: 250 });
    }
    const view = writer.finish();
    const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
    assert.ok(
      bytes.some((byte, i) => i > 14 && byte >= 0x80),
      'has compressed headers',
    );
    assert.deepEqual([...read(bytes).timeS], timeS);
  });
});

describe('a damaged FIT recording', () => {
  const whole = smallFit(200);

  test('that ends in the middle gives the whole records before, and says where it ends', () => {
    const recording = read(whole.slice(0, Math.floor(whole.length / 2)));
    assert.ok(
      recording.timeS.length > 80 && recording.timeS.length < 120,
      `${recording.timeS.length} samples`,
    );
    assert.deepEqual(
      [...recording.channels.speedMps!],
      [...read(whole).channels.speedMps!.slice(0, recording.timeS.length)],
    );
    assert.equal(recording.warnings[0].code, 'format-truncated');
    assert.equal(recording.warnings[0].place?.byte, Math.floor(whole.length / 2));
  });

  test('whose device was cut off before it filled in the size is read to its end', () => {
    const unfinished = whole.slice(0, 3000);
    unfinished.fill(0, 4, 8);
    const recording = read(unfinished);
    assert.ok(recording.timeS.length > 50);
    assert.ok(codes(recording).includes('format-truncated'));
  });

  test('with a wrong checksum is read, with a warning', () => {
    const wrong = whole.slice();
    wrong[wrong.length - 1] ^= 0x55;
    const recording = read(wrong);
    assert.equal(recording.timeS.length, 200);
    assert.deepEqual(codes(recording), ['checksum-wrong']);
  });

  test('from which single bytes were lost in a transfer loses a few samples, not the rest of the ride', () => {
    const lost = [2000, 4001, 6500];
    const bytes = whole.filter((_, i) => !lost.includes(i));
    const recording = read(bytes);
    assert.ok(recording.timeS.length >= 190, `${recording.timeS.length} of 200 samples`);
    assert.equal(recording.timeS.at(-1), 199);
    assert.ok(codes(recording).includes('format-damaged'));
    assert.ok(!codes(recording).includes('clock-reset'));
  });

  test('with a header that is not one is refused, and so is text or a picture renamed to .fit', () => {
    const header = whole.slice();
    header[8] = 0;
    assert.equal(refusal(() => read(header)).code, 'format-damaged');
    const size = whole.slice();
    size[0] = 99;
    assert.equal(refusal(() => read(size)).code, 'format-damaged');
    assert.equal(
      refusal(() => read(new TextEncoder().encode('Dear diary,\ntoday it rained.\n'))).code,
      'format-unknown',
    );
    assert.equal(
      refusal(() => read(Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0, 0, 0, 13, 1, 2, 3, 4, 5, 6)))
        .code,
      'format-damaged',
    );
  });

  test('that is a CSV recording renamed to .fit is read as what it holds, and says so', () => {
    const recording = read(
      new TextEncoder().encode('time_s,speed_mps,power_w\n0,10,250\n1,10,250\n'),
    );
    assert.equal(recording.format, 'csv');
    assert.deepEqual(codes(recording), ['format-unknown']);
    assert.match(recording.warnings[0].message, /named \.fit but holds CSV/);
  });

  test('without any record of a ride is refused', () => {
    const writer = new FitWriter();
    writer.writeMessage('file_id', { type: 'settings' }, null, true);
    const view = writer.finish();
    const problem = refusal(() =>
      read(new Uint8Array(view.buffer, view.byteOffset, view.byteLength)),
    );
    assert.equal(problem.code, 'recording-too-short');
  });

  test('of more records than the limit is refused before the library sees it', () => {
    const problem = refusal(() =>
      readRecording(whole, 'run.fit', { limits: { maxFitMessages: 100 } }),
    );
    assert.equal(problem.code, 'file-too-large');
  });
});

describe('real recordings from strangers', () => {
  const folder = '/work/shared/recordings';
  const skip = existsSync(folder) ? false : `${folder} is not on this machine`;
  const real = (name: string) => readRecording(readFileSync(`${folder}/${name}`), name);

  test('a ride of 13,471 records with 55 stops is read whole', { skip }, () => {
    const recording = real('ride-with-power-13471-records.fit');
    assert.equal(recording.timeS.length, 13_471);
    assert.equal(recording.channels.powerW!.filter(Number.isFinite).length, 13_346);
    assert.equal(recording.pauses.length, 55);
    assert.deepEqual(codes(recording), ['recording-pause']);
  });

  test('a ride of 8 laps has 7 lap marks', { skip }, () => {
    const recording = real('ride-with-power-8-laps.fit');
    assert.equal(recording.lapMarksS.length, 7);
    assert.equal(recording.timeS.length, 4700);
    assert.deepEqual(recording.warnings, []);
  });

  test(
    'leaving out what fills no channel changes no value that the library gives',
    { skip },
    () => {
      for (const name of ['ride-with-power-13471-records.fit', 'run-with-developer-fields.fit']) {
        const content = readFileSync(`${folder}/${name}`);
        let whole: Record<string, unknown>[] = [];
        new FitParser({ mode: 'list', force: true }).parse(
          content as Buffer<ArrayBuffer>,
          (_, data) => {
            whole = (data?.records ?? []) as unknown as Record<string, unknown>[];
          },
        );
        const { channels } = real(name);
        for (const [channel, fine, plain] of [
          ['speedMps', 'enhanced_speed', 'speed'],
          ['altitudeM', 'enhanced_altitude', 'altitude'],
          ['powerW', 'power', 'power'],
          ['latDeg', 'position_lat', 'position_lat'],
          ['distanceM', 'distance', 'distance'],
        ] as const) {
          const expected = whole.map((record) => record[fine] ?? record[plain] ?? NaN);
          assert.deepEqual([...channels[channel]!], expected, `${name}: ${channel}`);
        }
      }
    },
  );

  test('developer fields of other kinds do no harm', { skip }, () => {
    const recording = real('run-with-developer-fields.fit');
    assert.equal(recording.timeS.length, 3424);
    assert.ok(recording.channels.powerW);
  });

  test('the damaged ones give what can be read, with a warning', { skip }, () => {
    assert.ok(codes(real('truncated-small.fit')).includes('format-truncated'));
    const lossy = real('truncated-app.fit');
    assert.ok(lossy.timeS.length > 2600, `${lossy.timeS.length} samples saved`);
    assert.ok(codes(lossy).includes('format-damaged'));
    assert.ok(codes(real('file-crc.fit')).includes('checksum-wrong'));
    assert.equal(real('corrupt-header.fit').timeS.length, 14);
  });
});
