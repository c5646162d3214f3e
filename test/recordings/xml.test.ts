import assert from 'node:assert/strict';
import { describe, test } from 'node:test';
import { readRecording } from '../../src/recordings/index.ts';
import { near } from '../near.ts';
import { bytesOf, codes, gpx, refusal, seconds, startEpochS, tcx } from './rides.ts';

const read = (text: string, file = 'run.xml') => readRecording(bytesOf(text), file);

describe('a TCX recording', () => {
  test('has its laps, and power and speed from the extensions', () => {
    const recording = read(tcx([seconds(20), seconds(20, 20), seconds(20, 40)]), 'run.tcx');
    assert.equal(recording.format, 'tcx');
    assert.equal(recording.startEpochS, startEpochS);
    assert.deepEqual([...recording.timeS], seconds(60));
    assert.deepEqual([...recording.lapMarksS], [20, 40]);
    assert.deepEqual(
      [...recording.channels.powerW!],
      seconds(60).map((t) => 250 + (t % 7)),
    );
    near(recording.channels.speedMps!, Array(60).fill(10.5), { abs: 1e-12, why: 'as written' });
    near(
      recording.channels.distanceM!,
      seconds(60).map((t) => 10 * t),
      { abs: 1e-9, why: 'as written' },
    );
    near(
      recording.channels.latDeg!,
      seconds(60).map((t) => 1 + t * 1e-4),
      { abs: 1e-12, why: 'as written' },
    );
    assert.deepEqual(recording.warnings, []);
    assert.deepEqual(recording.pauses, []);
  });

  test('with a new track within a lap was paused between, however short', () => {
    const text = tcx([seconds(40)]).replace(
      `<Trackpoint><Time>${new Date((startEpochS + 20) * 1000).toISOString()}`,
      (point) => `</Track><Track>${point}`,
    );
    const recording = read(text);
    assert.deepEqual(recording.pauses, [{ fromS: 19, toS: 20 }]);
    assert.deepEqual(codes(recording), ['recording-pause']);
  });

  test('finds airspeed, yaw and air in extensions of any namespace by the name of the element', () => {
    const recording = read(
      tcx(
        [seconds(5)],
        () =>
          '<y:AirSpeed xmlns:y="urn:other">11.25</y:AirSpeed><Yaw>-4.5</Yaw><y:Humidity xmlns:y="urn:z">61</y:Humidity>',
      ),
    );
    assert.equal(recording.channels.airspeedMps![3], 11.25);
    assert.equal(recording.channels.yawDeg![3], -4.5);
    assert.equal(recording.channels.humidityPercent![3], 61);
  });
});

describe('a GPX recording', () => {
  test('without speed has it worked out from positions, with a warning', () => {
    const recording = read(gpx([seconds(60)]), 'run.gpx');
    assert.equal(recording.format, 'gpx');
    assert.deepEqual(codes(recording), ['channel-missing']);
    assert.match(recording.warnings[0].message, /worked out from positions/);
    // One degree of a great circle on a sphere of radius 6371.0088 km is 111.195 km (geometry), so 9e-5° a second is 10.0076 m/s.
    near(recording.channels.speedMps!, Array(60).fill(10.00757), {
      abs: 2e-3,
      why: 'positions have 1e-7 degrees',
    });
    assert.deepEqual(
      [...recording.channels.powerW!],
      seconds(60).map((t) => 250 + (t % 7)),
    );
  });

  test('with speed, temperature and airspeed extensions needs no working out', () => {
    const recording = read(
      gpx(
        [seconds(10)],
        () =>
          '<speed>9.5</speed><a:TrackPointExtension xmlns:a="urn:a"><a:atemp>21</a:atemp><a:cad>88</a:cad></a:TrackPointExtension><air_speed>10.5</air_speed>',
      ),
    );
    assert.equal(recording.channels.speedMps![0], 9.5);
    assert.equal(recording.channels.temperatureC![0], 21);
    assert.equal(recording.channels.cadenceRpm![0], 88);
    assert.equal(recording.channels.airspeedMps![0], 10.5);
    assert.deepEqual(recording.warnings, []);
  });

  test('in two segments has a pause between them', () => {
    const recording = read(gpx([seconds(30), seconds(30, 130)]));
    assert.deepEqual(recording.pauses, [{ fromS: 29, toS: 130 }]);
    assert.deepEqual(codes(recording), ['channel-missing', 'recording-pause']);
  });

  test('of a planned route, without times, is refused', () => {
    const problem = refusal(() => read(gpx([seconds(30)]).replace(/<time>.*?<\/time>/g, '')));
    assert.equal(problem.code, 'recording-too-short');
  });

  test('in an older encoding is read', () => {
    const text = gpx([seconds(5)])
      .replace('version="1.0"', 'version="1.0" encoding="ISO-8859-1"')
      .replace('<trkseg>', '<name>H\u00f6he</name><trkseg>');
    const recording = readRecording(Uint8Array.from(Buffer.from(text, 'latin1')), 'run.gpx');
    assert.equal(recording.timeS.length, 5);
  });

  test('with values that are no numbers has them missing, with the line of the first', () => {
    const recording = read(gpx([seconds(5)]).replaceAll('<power>25', '<power>x5'));
    assert.equal(recording.channels.powerW, undefined);
    assert.match(recording.warnings[0].message, /"x50" in power cannot be read; 5 such/);
    assert.equal(recording.warnings[0].place?.line, 2);
  });
});

describe('a damaged or hostile XML file', () => {
  const whole = gpx([seconds(100)]);

  test('that ends in the middle gives the track points before, and says where', () => {
    const recording = read(whole.slice(0, whole.length / 2));
    assert.ok(recording.timeS.length >= 48 && recording.timeS.length <= 50);
    assert.equal(recording.warnings[0].code, 'format-truncated');
    assert.match(recording.warnings[0].message, /track points before are read/);
  });

  test('that is not well formed gives what comes before the fault, with its line', () => {
    const lines = whole.split('\n');
    lines[60] = lines[60].replace('<ele>', '<ele<');
    const recording = read(lines.join('\n'));
    assert.equal(recording.warnings[0].code, 'format-damaged');
    assert.equal(recording.warnings[0].place?.line, 61);
    assert.equal(recording.timeS.length, 59);
  });

  test('with a document type declaration is refused: entities are never expanded', () => {
    const billion = `<!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c SYSTEM "file:///etc/hostname">]>`;
    const problem = refusal(() => read(whole.replace('?>\n', `?>\n${billion}\n`)));
    assert.equal(problem.code, 'format-damaged');
    assert.match(problem.message, /document type declaration/);
  });

  test('of another kind is refused by its outermost element', () => {
    const problem = refusal(() => read('<html><body>no ride</body></html>'));
    assert.equal(problem.code, 'format-unknown');
    assert.match(problem.message, /html/);
  });

  test('nested a thousand deep is refused', () => {
    const problem = refusal(() => read(`<gpx>${'<a>'.repeat(1000)}`));
    assert.equal(problem.code, 'format-damaged');
  });

  test('with more track points than the limit is refused', () => {
    const problem = refusal(() =>
      readRecording(bytesOf(whole), 'run.gpx', { limits: { maxSamples: 50 } }),
    );
    assert.equal(problem.code, 'file-too-large');
  });
});
