/** `lapbench descent` and `lapbench schema descent`. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { DescentFinding } from '../../src/application/index.ts';
import { near } from '../near.ts';
import { folderFor, lapbench } from './terminal.ts';

/** The sheet of the issue. */
const sheet = `course: {lengthM: 1500, gradientPercent: 25}
system: {massKg: 92}
speed: {kind: drag, kmh: 25}
brakes:
  frontShare: 0.7
  front: {rotorMm: 160, build: layered, pads: resin}
  rear:  {rotorMm: 160, build: layered, pads: resin}
air: {temperatureC: 15, pressureHPa: 1000}
drag: {cdaM2: 0.35, crr: 0.006}
`;

const onCourse = sheet.replace(/lengthM.*25}/, 'file: descent.gpx}');
const onRide = sheet
  .replace(/^course.*\n/, '')
  .replace(/{kind: drag.*}/, '{kind: ride, file: ride.gpx}');

interface Point {
  alongM: number;
  heightM: number | null;
  timeS: number | null;
}

/** An invented road due north, somewhere at sea. */
function gpx(points: Point[]): string {
  const rows = points.map(({ alongM, heightM, timeS }) => {
    const lat = (30 + alongM / 111_195).toFixed(8);
    const height = heightM === null ? '' : `<ele>${heightM.toFixed(2)}</ele>`;
    const time =
      timeS === null ? '' : `<time>${new Date(1.7e12 + 1000 * timeS).toISOString()}</time>`;
    return `<trkpt lat="${lat}" lon="-40">${height}${time}</trkpt>`;
  });
  return `<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${rows.join('')}</trkseg></trk></gpx>`;
}

/** 1.5 km of 12 % at 7 m/s, with the last decimetre of the height left to chance. */
const road = (withHeight = true): Point[] =>
  Array.from({ length: 215 }, (_, i) => ({
    alongM: 7 * i,
    heightM: withHeight ? 400 - 0.12 * 7 * i + 0.1 * Math.sin(12.9898 * i) : null,
    timeS: i,
  }));

async function run(
  t: Parameters<typeof folderFor>[0],
  files: Record<string, string>,
  ...more: string[]
) {
  return lapbench(folderFor(t, files), 'descent', 'descent.yaml', ...more);
}

test('the JSON has the published fields, and calls the steep descent beyond', async (t) => {
  const said = await run(t, { 'descent.yaml': sheet }, '--json');
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as DescentFinding;
  assert.equal(finding.schema, 'lapbench/descent@1');
  assert.equal(finding.verdict, 'beyond');
  assert.deepEqual(Object.keys(finding.front.secondsAbove), ['300', '400', '600']);
  const { peakC, peakCi95 } = finding.rear;
  assert.ok(peakCi95[0] < peakC && peakC < peakCi95[1]);
  assert.ok(finding.limits.length >= 8 && finding.cautions.length >= 4);
  assert.deepEqual(finding.warnings, []);
  assert.ok(Math.abs(finding.energy.roadClosurePercent) < 0.1);
  assert.ok(Math.abs(finding.energy.heatClosurePercent) < 0.1);
  assert.deepEqual(
    [...new Set(finding.remedies.map((one) => one.kind))],
    ['size', 'pads', 'split', 'build', 'speed', 'rests', 'together'].sort(
      (a, b) =>
        finding.remedies.findIndex((one) => one.kind === a) -
        finding.remedies.findIndex((one) => one.kind === b),
    ),
  );
});

test('the text says verdict, band, limits with their sources, energy and cautions; digits as the band allows', async (t) => {
  const said = await run(t, { 'descent.yaml': `invented: true\n${sheet}` });
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /INVENTED DATA/);
  assert.match(said.out, /BEYOND/);
  assert.match(said.out, /highest temperature of the track, °C +\d\d0 \(\d\d0 to \d{2,3}0\)/);
  assert.match(said.out, /resin pads fade +300 .* beyond +common practice, no source/);
  assert.match(said.out, /The road closes to 0\.0\d\d %, the\s+heat to 0\.0\d\d %/);
  assert.match(said.out, /qualified mechanic/);
  assert.match(said.out, /no invitation/);
  assert.doesNotMatch(said.out, /NaN|undefined|Infinity/);
});

test('a descent that better brakes bring back within says which do', async (t) => {
  const weak = sheet
    .replace('lengthM: 1500, gradientPercent: 25', 'lengthM: 1200, gradientPercent: 7')
    .replace('massKg: 92', 'massKg: 80')
    .replace('frontShare: 0.7', 'frontShare: 0.6');
  const said = await run(t, { 'descent.yaml': weak }, '--json');
  const finding = JSON.parse(said.out) as DescentFinding;
  assert.notEqual(finding.verdict, 'within');
  assert.equal(finding.bringsBack, true);
  const within = finding.remedies.filter((one) => one.verdict === 'within').map((one) => one.kind);
  assert.ok(within.includes('together'), within.join());
});

test('a course from a recording falls as the road does, and its error is carried', async (t) => {
  const files = { 'descent.yaml': onCourse, 'descent.gpx': gpx(road()) };
  const said = await run(t, files, '--json');
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as DescentFinding;
  near(finding.road.fallM, 0.12 * 7 * 214, {
    rel: 0.02,
    why: 'the road that was written, ± 0.1 m',
  });
  assert.ok(finding.road.fallUncertainty >= 0.02);
  assert.equal(finding.inputs.length, 2);
  assert.ok(Math.abs(finding.energy.roadClosurePercent) < 0.1);
});

test('a ride that was recorded says what the rotors saw, as a drag at its speed does', async (t) => {
  const ride = await run(t, { 'descent.yaml': onRide, 'ride.gpx': gpx(road()) }, '--json');
  assert.equal(ride.code, 0, ride.err);
  const ridden = JSON.parse(ride.out) as DescentFinding;
  const files = {
    'descent.yaml': onCourse.replace('kmh: 25', 'kmh: 25.2'),
    'descent.gpx': gpx(road()),
  };
  const dragged = JSON.parse((await run(t, files, '--json')).out) as DescentFinding;
  near(ridden.front.heatedJ, dragged.front.heatedJ, { rel: 0.03, why: 'the same road at 7 m/s' });
  near(ridden.front.peakC, dragged.front.peakC, { rel: 0.03, why: 'the same road at 7 m/s' });
  assert.match(ridden.warnings.map((one) => one.message).join(' '), /no power/);
  assert.ok(!ridden.remedies.some((one) => one.kind === 'speed'));
  const text = await run(t, { 'descent.yaml': onRide, 'ride.gpx': gpx(road()) });
  assert.match(text.out, /Ridden as recorded/);
});

test('one point, no heights, no file and no times are told plainly, with exit code 2', async (t) => {
  const cases: [string, Record<string, string>, RegExp][] = [
    ['one point', { 'descent.gpx': gpx(road().slice(0, 1)) }, /descent\.gpx.*one (sample|point)/],
    ['no heights', { 'descent.gpx': gpx(road(false)) }, /descent\.gpx.*(altitude|height)/i],
    ['no file', {}, /descent\.gpx: There is no such file/],
  ];
  const timeless = gpx(road().map((point) => ({ ...point, timeS: null })));
  const routed = await run(t, { 'descent.yaml': onCourse, 'descent.gpx': timeless });
  assert.equal(routed.code, 0, 'a planned route is a road');
  const unridden = await run(t, { 'descent.yaml': onRide, 'ride.gpx': timeless });
  assert.equal(unridden.code, 2);
  assert.match(unridden.err, /ride\.gpx.*no times/);
  for (const [name, files, message] of cases) {
    const said = await run(t, { 'descent.yaml': onCourse, ...files });
    assert.equal(said.code, 2, name);
    assert.equal(said.out, '', name);
    assert.match(said.err, message, name);
  }
});

test('mistakes of the sheet end with code 2, their line and a remedy', async (t) => {
  const said = await run(t, {
    'descent.yaml': sheet
      .replace('massKg: 92', 'massKg: -92')
      .replace('Percent: 25', 'Percent: 0.25'),
  });
  assert.equal(said.code, 2);
  assert.match(said.err, /line 1.*ratio/);
  assert.match(said.err, /line 2.*-92/);
  assert.equal(said.out, '');
});

test('the schema of the sheet is printed', async (t) => {
  const said = await lapbench(folderFor(t), 'schema', 'descent');
  assert.equal(said.code, 0, said.err);
  assert.equal((JSON.parse(said.out) as { title: string }).title, 'Lapbench descent sheet');
});
