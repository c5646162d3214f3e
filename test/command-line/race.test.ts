/** `lapbench race` and `lapbench schema race`. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { RaceFinding } from '../../src/application/index.ts';
import { folderFor, lapbench } from './terminal.ts';

/** Invented. */
const sheet = `name: Invented hill race
invented: true
course: {file: course.gpx}
system: {massKg: 82}
air: {temperatureC: 15, pressureHPa: 1005, altitudeM: 150}
wind: {speedMps: 3, fromDeg: 0, standardUncertaintyMps: 0.5}
power: {kind: constant, powerW: 250}
surface: {crr: 0.004, crrStandardUncertainty: 0.0003, sections: [{fromM: 1000, toM: 2000, crr: 0.01}]}
corners: {lateralAccelerationMps2: 3}
finding: day.json
setups:
  - {id: control, name: Shallow pair}
  - {id: deep, name: Deep pair, massOffsetKg: 0.2}
  - {id: alike, name: Other pair}
draws: 200
plan: {mostW: 400}
`;

/** A route without times: 6 km north with a hill in the middle, then a right turn and 1 km east. */
const route = (): string => {
  const points = Array.from({ length: 700 }, (_, i) => {
    const s = 10 * i;
    const [north, east] = s < 6000 ? [s, 0] : [6000, s - 6000];
    const height = 150 + 60 * Math.exp(-(((s - 3000) / 900) ** 2));
    const lat = 10 + north / 111194.93;
    const lon = 20 + east / (111194.93 * Math.cos((10 * Math.PI) / 180));
    return `<trkpt lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"><ele>${height.toFixed(1)}</ele></trkpt>`;
  });
  return `<?xml version="1.0"?><gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`;
};

const drag = JSON.stringify({
  schema: 'lapbench/field-drag@1',
  control: 'control',
  setups: [
    { id: 'control', cdaM2: 0.32, ci95: [0.3, 0.34] },
    { id: 'deep', cdaM2: 0.31, ci95: [0.29, 0.33] },
    { id: 'alike', cdaM2: 0.3196, ci95: [0.2996, 0.3396] },
  ],
  differences: [
    { setup: 'deep', deltaCdaM2: -0.01, ci95: [-0.013, -0.007] },
    { setup: 'alike', deltaCdaM2: -0.0004, ci95: [-0.0034, 0.0026] },
  ],
});

const files = { 'race.yaml': sheet, 'course.gpx': route(), 'day.json': drag };

test('route, finding and sheet give times, differences that cancel what is shared, and a plan', async (t) => {
  const said = await lapbench(folderFor(t, files), 'race', 'race.yaml', '--json');
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as RaceFinding;
  assert.equal(finding.schema, 'lapbench/race@1');
  assert.equal(finding.reference, 'control');
  assert.deepEqual(finding.inputs.map(({ file }) => file).sort(), Object.keys(files).sort());
  const [deep, alike] = finding.differences;
  assert.deepEqual([deep.verdict, alike.verdict], ['faster', 'not separable']);
  const width = ([low, high]: [number, number]): number => high - low;
  // Shared doubt is about seven times that of a difference: so must the intervals be.
  const ratio = width(finding.setups[1].timeCi95) / width(deep.ci95);
  assert.ok(ratio > 4, `${ratio}`);
  for (const { energy } of finding.setups) assert.ok(Math.abs(energy.closurePercent) < 0.1);
  assert.equal(finding.course.corners.length, 1);
  assert.equal(finding.course.corners[0].side, 'right');
  assert.ok(finding.plan!.gainS < 0);
  assert.equal(finding.along.behindS.length, 2);
  assert.ok(finding.cautions.some((text) => text.includes('open road')));
});

test('the table says times, verdicts, where they are won, energy and cautions', async (t) => {
  const said = await lapbench(folderFor(t, files), 'race', 'race.yaml');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /INVENTED DATA/);
  assert.match(said.out, /Deep pair +-\d.* faster/);
  assert.match(said.out, /Other pair .* not separable/);
  assert.match(said.out, /not closed/);
  assert.match(said.out, /Plan of power/);
  assert.match(said.out, /traffic law/);
  assert.match(said.out, /Method race 1, 200 draws/);
});

test('a ride is its own plan of power: it takes about the time it took', async (t) => {
  // 250 W on a flat road at the steady speed of the sheet’s own numbers, 10.79 m/s: the ride and the race agree.
  const rows = ['time_s,distance_m,altitude_m,power_w,speed_mps'];
  for (let s = 0; s <= 900; s++) rows.push(`${s},${(10 * s).toFixed(1)},20,250,10`);
  const own = `name: Own power
invented: true
course: {file: ride.csv}
system: {massKg: 82}
rider: {startSpeedMps: 10}
air: {temperatureC: 15, pressureHPa: 1005}
power: {kind: ride}
surface: {crr: 0.004}
setups: [{id: one, cdaM2: 0.3}]
draws: 100
`;
  const said = await lapbench(
    folderFor(t, { 'race.yaml': own, 'ride.csv': rows.join('\n') }),
    'race',
    'race.yaml',
    '--json',
  );
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as RaceFinding;
  assert.ok(Math.abs(finding.setups[0].meanPowerW - 250) < 0.5);
  assert.ok(Math.abs(finding.course.lengthM - 9000) < 10);
  // Where no doubt was given, the warning says so.
  assert.ok(finding.warnings.some(({ code }) => code === 'race-doubt'));
});

const refusals: [string, Record<string, string>, RegExp][] = [
  [
    'a setup that the finding does not know',
    { 'race.yaml': sheet.replace('id: deep', 'id: disc') },
    /line 13.*"disc".*control, deep, alike/,
  ],
  [
    'a finding that is none',
    { 'day.json': '{"schema": "lapbench/wheel@1"}' },
    /day\.json: The file is no finding of field drag/,
  ],
  [
    'a finding without intervals',
    { 'day.json': drag.replace('"ci95":[-0.013,-0.007]', '"x":1') },
    /lacks the difference of deep/,
  ],
  [
    'a course of one point',
    { 'course.gpx': route().replace(/(<\/trkpt>)<trkpt[\s\S]*<\/trkpt>/, '$1') },
    /course\.gpx.*one/,
  ],
  [
    'a course without heights',
    { 'course.gpx': route().replace(/<ele>[^<]*<\/ele>/g, '') },
    /no heights/,
  ],
  [
    'a section beyond the finish',
    { 'race.yaml': sheet.replace('toM: 2000', 'toM: 99000') },
    /line 8.*99000/,
  ],
];

for (const [name, change, message] of refusals) {
  test(`${name} is refused with exit code 2 and words`, async (t) => {
    const said = await lapbench(folderFor(t, { ...files, ...change }), 'race', 'race.yaml');
    assert.equal(said.code, 2);
    assert.equal(said.out, '');
    assert.match(said.err, message);
  });
}

test('`lapbench schema race` prints the schema', async (t) => {
  const said = await lapbench(folderFor(t, {}), 'schema', 'race');
  assert.equal(said.code, 0, said.err);
  assert.equal((JSON.parse(said.out) as { title: string }).title, 'Lapbench race sheet');
});

test('`lapbench course` shows slopes with their error and the corner; laps that are not there are refused', async (t) => {
  const cwd = folderFor(t, files);
  const said = await lapbench(cwd, 'course', 'course.gpx');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /course\.gpx: (6\.99|7\.0\d) km, (5\d|6\d) m up/);
  assert.match(said.out, /Corners, 1/);
  assert.match(said.out, /6\.00 .* right/);
  assert.match(said.out, /no radius here is a safe speed/);
  const json = await lapbench(cwd, 'course', 'course.gpx', '--json');
  const report = JSON.parse(json.out) as { schema: string; pieces: unknown[] };
  assert.deepEqual([report.schema, report.pieces.length], ['lapbench/course@1', 500]);
  const laps = await lapbench(cwd, 'course', 'course.gpx', '--laps', '3');
  assert.equal(laps.code, 2);
  assert.match(laps.err, /rides no loop twice/);
  const heights = await lapbench(cwd, 'course', 'course.gpx', '--heights', 'radar');
  assert.equal(heights.code, 2);
  assert.match(heights.err, /barometer, satellite, map/);
});
