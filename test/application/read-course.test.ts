/** One invented road as FIT, TCX, GPX and a GPX route without times: the same course. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { readCourse } from '../../src/application/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { writeFit } from '../../src/recordings/index.ts';
import { near } from '../near.ts';

const earthRadiusM = 6371008.8;
const radPerDeg = Math.PI / 180;
const start = Date.UTC(2026, 4, 17, 8) / 1000;

/** North at 9 m/s over a hill of 80 m. */
const points = Array.from({ length: 600 }, (_, i) => ({
  timeS: i,
  distanceM: 9 * i,
  latDeg: 10 + (9 * i) / earthRadiusM / radPerDeg,
  lonDeg: 20,
  altitudeM: 100 + 80 * Math.exp(-(((9 * i - 2700) / 900) ** 2)),
}));
const slopeAt = (x: number): number =>
  80 * Math.exp(-(((x - 2700) / 900) ** 2)) * ((-2 * (x - 2700)) / 900 ** 2);
const iso = (t: number): string => new Date(1000 * (start + t)).toISOString();

const gpx = (times: boolean, element = 'trkpt'): string => {
  const body = points
    .map(
      (p) =>
        `<${element} lat="${p.latDeg.toFixed(7)}" lon="${p.lonDeg}"><ele>${p.altitudeM.toFixed(1)}</ele>${times ? `<time>${iso(p.timeS)}</time>` : ''}</${element}>`,
    )
    .join('');
  const inside = element === 'rtept' ? `<rte>${body}</rte>` : `<trk><trkseg>${body}</trkseg></trk>`;
  return `<?xml version="1.0"?><gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1">${inside}</gpx>`;
};

const tcx = `<?xml version="1.0"?><TrainingCenterDatabase xmlns="urn:tcx"><Activities><Activity Sport="Biking"><Id>${iso(0)}</Id><Lap StartTime="${iso(0)}"><Track>${points
  .map(
    (p) =>
      `<Trackpoint><Time>${iso(p.timeS)}</Time><Position><LatitudeDegrees>${p.latDeg.toFixed(7)}</LatitudeDegrees><LongitudeDegrees>${p.lonDeg}</LongitudeDegrees></Position><AltitudeMeters>${p.altitudeM.toFixed(1)}</AltitudeMeters><DistanceMeters>${p.distanceM}</DistanceMeters></Trackpoint>`,
  )
  .join('')}</Track></Lap></Activity></Activities></TrainingCenterDatabase>`;

const column = (of: (p: (typeof points)[number]) => number): Float64Array =>
  Float64Array.from(points, of);

const fit = writeFit({
  startEpochS: start,
  timeS: column((p) => p.timeS),
  channels: {
    distanceM: column((p) => p.distanceM),
    latDeg: column((p) => p.latDeg),
    lonDeg: column((p) => p.lonDeg),
    altitudeM: column((p) => p.altitudeM),
  },
  lapMarksS: new Float64Array(),
});

const files: Record<string, Uint8Array> = {
  'road.fit': fit,
  'road.tcx': new TextEncoder().encode(tcx),
  'road.gpx': new TextEncoder().encode(gpx(true)),
  'track-without-times.gpx': new TextEncoder().encode(gpx(false)),
  'route.gpx': new TextEncoder().encode(gpx(false, 'rtept')),
};

for (const [file, bytes] of Object.entries(files)) {
  test(`${file}: length, slopes within their stated error, heading north`, () => {
    const { course, input } = readCourse(file, () => bytes);
    near(course.lengthM, 5391, { rel: 3e-3, why: '599 steps of 9 m; the slope adds 0.1 %' });
    let held = 0;
    course.distanceM.forEach((s, i) => {
      const off = Math.abs(course.gradient[i] - slopeAt((s / course.lengthM) * 5391));
      assert.ok(off < 0.02, `${off} at ${s} m`);
      if (off < 1.96 * course.gradientStandardUncertainty[i] + 5e-4) held += 1;
    });
    assert.ok(held > 0.9 * course.distanceM.length, `${held} of ${course.distanceM.length}`);
    const heading = course.headingDeg![2000];
    assert.ok(Math.min(heading, 360 - heading) < 1, `${heading}`);
    assert.equal(course.passedAtS === null, /times|route/.test(file));
    assert.match(input.sha256, /^[0-9a-f]{64}$/);
  });
}

test('a road is not asked for the power and speed of a test of drag', () => {
  const { course, recording } = readCourse('road.gpx', () => files['road.gpx']);
  assert.ok(recording.warnings.some(({ message }) => /no power/.test(message)));
  assert.deepEqual(
    course.warnings.filter(({ message }) => /power|speed/.test(message)),
    [],
  );
});

test('a file that is no recording keeps its own message', () => {
  assert.throws(
    () => readCourse('x.gpx', () => new TextEncoder().encode('<html></html>')),
    (error) => error instanceof LapbenchError && error.problems[0].code === 'format-unknown',
  );
});
