/** `lapbench tyres`, `lapbench gears` and their schemas. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import type { GearsFinding, TyresFinding } from '../../src/application/index.ts';
import { folderFor, lapbench } from './terminal.ts';

/** Invented. */
const tyres = `title: Rough lanes
invented: true
system: {massKg: 100}
surface: rough
front:
  tyre: {designation: 28-622, measuredWidthMm: 28.4, maximumPsi: 90}
  rim: {innerWidthMm: 19, outerWidthMm: 29.8, bead: hooked, maximumBar: 8}
  pressurePsi: 70
rear:
  tyre: {designation: 32-622, measuredWidthMm: 32.2, maximumBar: 6}
  rim: {innerWidthMm: 21, bead: hookless, maximumBar: 5.5}
  pressurePsi: 60
`;

const gears = `title: A hilly day
invented: true
chainrings: [50, 34]
cassette: [11, 12, 13, 14, 15, 17, 19, 21, 24, 28, 34]
tyre: {circumferenceMm: 2105}
system: {massKg: 92}
rider: {powerW: 230}
climbs:
  - {gradientPercent: 7, lengthM: 5000}
  - {name: Lane up the dam, gradientPercent: 18, lengthM: 400}
`;

const documents = path.resolve(import.meta.dirname, '../../docs/methods');

test('the JSON of tyres has the published schema, range, limit, who limits, and cautions', async (t) => {
  const said = await lapbench(
    folderFor(t, { 'tyres.yaml': tyres }),
    'tyres',
    'tyres.yaml',
    '--json',
  );
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as TyresFinding;
  assert.equal(finding.schema, 'lapbench/tyres@1');
  assert.equal(finding.rear.limitedBy, 'hookless rim');
  assert.equal(finding.rear.recommendedBar![1], 5);
  assert.deepEqual(
    finding.front.pressures.map(({ at }) => at),
    ['low', 'middle', 'high', 'now'],
  );
  assert.equal(finding.cautions.length, 4);
  assert.equal(finding.inputs[0].sha256.length, 64);
});

test('the table of tyres: no printed pressure above the limit, cautions and an invented mark', async (t) => {
  const said = await lapbench(folderFor(t, { 'tyres.yaml': tyres }), 'tyres', 'tyres.yaml');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /INVENTED DATA/);
  assert.match(said.out, /Hard limit 6\.2 bar \(90\.0 psi\), the tyre’s maximum/);
  assert.match(
    said.out,
    /Hard limit 5\.0 bar \(72\.5 psi\), the hookless rim’s maximum; it cuts the range/,
  );
  assert.match(said.out, /The rim is 105 %/);
  assert.match(said.out, /Cautions\n +The maker’s word comes first/);
  const high = [...said.out.matchAll(/^ +high +([\d.]+) +(\d+)/gm)].map((row) => Number(row[1]));
  assert.equal(high.length, 2);
  assert.ok(high[0] <= 6.2 && high[1] <= 5);
});

test('a wrong tyres sheet says file, line and remedy and ends with 2; psi as bar is asked about', async (t) => {
  const wrong = tyres
    .replace('maximumBar: 6', 'maximumBar: 87')
    .replace('massKg: 100', 'massKg: -1');
  const said = await lapbench(folderFor(t, { 'tyres.yaml': wrong }), 'tyres', 'tyres.yaml');
  assert.deepEqual([said.code, said.out], [2, '']);
  assert.match(said.err, /tyres\.yaml, line 3.*-1/);
  assert.match(said.err, /tyres\.yaml, line 10.*looks like psi\. Write 6 \(bar\)/);
});

test('a tyre pumped past its limit is refused with its line', async (t) => {
  const wrong = tyres.replace('pressurePsi: 60', 'pressureBar: 5.2');
  const said = await lapbench(folderFor(t, { 'tyres.yaml': wrong }), 'tyres', 'tyres.yaml');
  assert.deepEqual([said.code, said.out], [2, '']);
  assert.match(said.err, /tyres\.yaml, line 12.*5\.20 bar.*Let air out/);
});

test('the JSON of gears has exact ratios; the table lists them, climbs with their verdicts', async (t) => {
  const folder = folderFor(t, { 'gears.yaml': gears });
  const json = await lapbench(folder, 'gears', 'gears.yaml', '--json');
  assert.equal(json.code, 0, json.err);
  const finding = JSON.parse(json.out) as GearsFinding;
  assert.equal(finding.schema, 'lapbench/gears@1');
  assert.equal(finding.gears.length, 22);
  assert.deepEqual(finding.gears[0].ratio, { numerator: 1, denominator: 1, value: 1 });
  assert.deepEqual([finding.steepest, finding.climbs[1].verdict], [1, 'too hard']);
  const said = await lapbench(folder, 'gears', 'gears.yaml');
  // REFERENCES G: 6.191 m and 33.43 km/h; here as many digits as the circumference supports.
  assert.match(said.out, /50 by 17 +50\/17 +2\.941 +6\.191 +33\.43/);
  assert.match(said.out, /Lane up the dam \(steepest\)/);
  assert.match(said.out, /line 10.*On 18 % for 400 m the easiest gear/);
  assert.match(said.out, /Cautions\n +Whether derailleurs/);
});

test('gears without a sheet: the same table; what is missing, double or no size is said', async (t) => {
  const folder = folderFor(t, { 'gears.yaml': gears });
  const options = ['--chainrings', '50,34', '--cassette', '11,12,13'];
  const said = await lapbench(folder, 'gears', ...options, '--tyre', '2105', '--json');
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as GearsFinding;
  assert.deepEqual([finding.gears.length, finding.circumferenceM], [6, 2.105]);
  assert.deepEqual([finding.climbs, finding.inputs], [[], []]);
  const refused = async (...argv: string[]) => {
    const one = await lapbench(folder, 'gears', ...argv);
    assert.deepEqual([one.code, one.out], [2, ''], argv.join(' '));
    return one.err;
  };
  assert.match(await refused(...options), /not all of --chainrings, --cassette and --tyre/);
  assert.match(await refused(...options, '--tyre', '700x28C'), /28-622/);
  assert.match(await refused('gears.yaml', '--cadence', '80'), /--cadence stands beside a sheet/);
  assert.match(
    await refused('--chainrings', '50,x', '--cassette', '11', '--tyre', '28-622'),
    /"x"/,
  );
  assert.match(
    await refused('--chainrings', '50', '--cassette', '11,99', '--tyre', '28-622'),
    /99/,
  );
});

test('the steepest parts of a recorded course are climbs', async (t) => {
  // Invented: 3 km north at 5 m/s, 4 % but for 300 m of 12 %; a satellite receiver's metre of resolution left out.
  const points = Array.from({ length: 601 }, (_, i) => {
    const along = 5 * i;
    const height = 0.04 * along + 0.08 * Math.min(300, Math.max(0, along - 1500));
    const time = new Date(Date.UTC(2026, 4, 17, 8) + 1000 * i).toISOString();
    const lat = 50 + along / 111_195;
    return `<trkpt lat="${lat.toFixed(7)}" lon="8"><ele>${height.toFixed(2)}</ele><time>${time}</time></trkpt>`;
  });
  const gpx = `<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`;
  const sheet = gears.replace(/climbs:[^]*$/, 'course: {file: ride.gpx, steepestM: [100, 1000]}\n');
  const folder = folderFor(t, { 'gears.yaml': sheet, 'ride.gpx': gpx });
  const said = await lapbench(folder, 'gears', 'gears.yaml', '--json');
  assert.equal(said.code, 0, said.err);
  const { climbs, inputs } = JSON.parse(said.out) as GearsFinding;
  assert.deepEqual(
    inputs.map(({ file }) => file),
    ['gears.yaml', 'ride.gpx'],
  );
  assert.ok(Math.abs(climbs[0].gradientPercent - 12) < 0.5, String(climbs[0].gradientPercent));
  assert.ok(Math.abs(climbs[1].gradientPercent - 6.4) < 0.3, String(climbs[1].gradientPercent));
  const gone = await lapbench(folderFor(t, { 'gears.yaml': sheet }), 'gears', 'gears.yaml');
  assert.equal(gone.code, 2);
  assert.match(gone.err, /ride\.gpx/);
});

test('`lapbench schema` prints both; the sheets in the notes are sound', async (t) => {
  for (const kind of ['tyres', 'gears']) {
    const printed = await lapbench(folderFor(t), 'schema', kind);
    assert.equal((JSON.parse(printed.out) as { title: string }).title, `Lapbench ${kind} sheet`);
    const note = fs.readFileSync(path.join(documents, `${kind}.md`), 'utf8');
    const [, sheet] = /```yaml\n(.*?)```/s.exec(note)!;
    const said = await lapbench(folderFor(t, { 'sheet.yaml': sheet }), kind, 'sheet.yaml');
    assert.equal(said.code, 0, said.err);
  }
});
