/** What a tester may bring by mistake: code 2, the reason on standard error, standard output empty. */
import assert from 'node:assert/strict';
import test, { type TestContext } from 'node:test';
import { readRecording } from '../../src/recordings/index.ts';
import { demoDay, type FieldDragFinding } from '../../src/application/index.ts';
import { fitLaps, joined, startEpochS } from '../recordings/rides.ts';
import { folderFor, lapbench, type Said } from './terminal.ts';

const demo = demoDay();

interface Change {
  sheet?: (text: string) => string;
  /** Puts other bytes in the place of a recording; null takes it away. */
  file?: (name: string, bytes: Uint8Array) => Uint8Array | string | null;
}

/** `lapbench drag day.yaml --json` on the demo day with something changed. */
async function dragChanged(t: TestContext, change: Change): Promise<Said> {
  const { sheet, files } = await demo;
  const contents: Record<string, string | Uint8Array> = {
    'day.yaml': change.sheet?.(sheet) ?? sheet,
  };
  for (const { file, bytes } of files) {
    const content = change.file ? change.file(file, bytes) : bytes;
    if (content !== null) contents[file] = content;
  }
  return lapbench(folderFor(t, contents), 'drag', 'day.yaml', '--json');
}

const firstOnly =
  (content: Uint8Array | string | null) =>
  (name: string, bytes: Uint8Array): Uint8Array | string | null =>
    name === 'run-1.fit' ? content : bytes;

const csvWithoutPower = `time_s,speed_mps\n${Array.from({ length: 900 }, (_, s) => `${s},10`).join('\n')}\n`;

/** Only the runs of a sheet whose file fits. */
const onlyRuns = (pattern: RegExp) => (sheet: string) =>
  sheet
    .split('\n')
    .filter((line) => !line.includes('file:') || pattern.test(line))
    .join('\n');

const refused: [what: string, change: Change, reason: RegExp][] = [
  ['every recording empty', { file: () => '' }, /run-1\.fit.*empty/],
  [
    'every recording cut off within its header',
    { file: (_, bytes) => bytes.slice(0, 10) },
    /run-1\.fit.*does not begin like one/,
  ],
  [
    'text renamed to .fit',
    { file: () => 'Dear diary,\ntoday I rode nine laps.\n' },
    /run-1\.fit.*not a recording/,
  ],
  ['no power channel anywhere', { file: () => csvWithoutPower }, /run-1\.fit.*power/i],
  [
    'speed and power exchanged in one file',
    {
      file: firstOnly(
        csvWithoutPower.replace('speed_mps', 'power_w,speed_mps').replaceAll(',10', ',10,210'),
      ),
    },
    /run-1\.fit, run 1: .*no usable speed: speed of 210 m\/s cannot be.* not exchanged; or take run 1 \(\w+\) out/,
  ],
  ['no recording there at all', { file: () => null }, /run-1\.fit.*no such file/i],
  [
    'a setup that the sheet does not list',
    { sheet: (text) => text.replace('{setup: mid,', '{setup: middle,') },
    /day\.yaml, line \d+.*"middle".*not listed.*Setups of this sheet: shallow, mid, deep/s,
  ],
  [
    'a mass in grams',
    { sheet: (text) => text.replace('massKg: 83.2', 'massKg: 83200') },
    /day\.yaml, line 6.*83200/s,
  ],
  [
    'all laps on one setup',
    { sheet: (text) => text.replaceAll(/setup: (mid|deep),/g, 'setup: shallow,') },
    /day\.yaml.*one setup.*nothing to compare/s,
  ],
  [
    'runs that share a stretch of one recording',
    { sheet: (text) => text.replace('run-2.fit', 'run-1.fit') },
    /Runs 1 and 2 both use the same part of "run-1\.fit"/,
  ],
  [
    'a window that lies beyond the recording',
    {
      sheet: (text) =>
        text.replace('file: "run-1.fit"', 'file: "run-1.fit", from: "09:00:00", to: "09:10:00"'),
    },
    /run.?1/i,
  ],
  ['a sheet that is no YAML', { sheet: () => 'title: [\n' }, /day\.yaml, line \d/],
  ['an empty sheet', { sheet: () => '' }, /day\.yaml.*empty/],
  ['a sheet full of nothing', { sheet: () => '\u0000\u0001\u0002' }, /day\.yaml/],
];

for (const [what, change, reason] of refused) {
  test(`${what} is refused`, async (t) => {
    const said = await dragChanged(t, change);
    assert.equal(said.code, 2, said.err);
    assert.equal(said.out, '');
    assert.match(said.err, reason);
    assert.doesNotMatch(said.err, /at .*\.ts:\d/, 'no stack for a person’s mistake');
  });
}

test('a missing sheet, a folder in its place, and a recording in its place are refused', async (t) => {
  const { files } = await demo;
  const cwd = folderFor(t, { 'sub/x.txt': '', 'run-1.fit': files[0].bytes });
  for (const [sheet, reason] of [
    ['none.yaml', /none\.yaml: There is no such file/],
    ['sub', /sub: This is a folder/],
    ['run-1.fit', /run-1\.fit: The day sheet is not UTF-8 text/],
  ] as const) {
    const said = await lapbench(cwd, 'drag', sheet);
    assert.deepEqual([said.code, said.out], [2, '']);
    assert.match(said.err, reason);
  }
});

test('two laps in the whole day are too few, and the reason is said', async (t) => {
  // One lap of control against one lap of another: no scatter can be known.
  const { files } = await demo;
  const sheet = onlyRuns(/run-1\.fit|run-3\.fit/);
  const said = await dragChanged(t, {
    sheet: (text) =>
      sheet(text).replaceAll(
        /file: "(run-\d)\.fit"/g,
        'file: "$1.fit", from: "00:00:00", to: "00:05:30"',
      ),
  });
  assert.ok(files.length === 9);
  assert.equal(said.code, 2, said.out.slice(0, 500));
  assert.equal(said.out, '');
  assert.match(said.err, /lap/i);
});

test('a setup that is never ridden is a warning, not an obstacle', async (t) => {
  const said = await dragChanged(t, {
    sheet: (text) => text.replace('control: shallow', '  - {id: spare}\ncontrol: shallow'),
  });
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as FieldDragFinding;
  assert.ok(finding.warnings.some((one) => one.code === 'setup-not-ridden'));
  assert.ok(!finding.differences.some((one) => one.setup === 'spare'));
});

for (const [what, content] of [
  ['empty', ''],
  ['text', 'Dear diary\n'],
  ['missing', null],
] as const) {
  test(`one recording that is ${what} does not stop the rest: its run is left out and said`, async (t) => {
    const said = await dragChanged(t, { file: firstOnly(content) });
    assert.equal(said.code, 0, said.err);
    const finding = JSON.parse(said.out) as FieldDragFinding;
    assert.ok(finding.warnings.some((one) => /Run 1 is left out/.test(one.message)));
    assert.ok(!finding.inputs.some((input) => input.file === 'run-1.fit'));
    // Runs are still counted as in the sheet.
    const runs = new Set(finding.laps.map((lap) => lap.run));
    assert.deepEqual([...runs].sort(), [2, 3, 4, 5, 6, 7, 8, 9]);
    assert.equal(finding.laps.find((lap) => lap.run === 3)?.setup, 'deep');
  });
}

test('a FIT file cut off in the middle gives what can be read, with a warning', async (t) => {
  const { files } = await demo;
  const half = files[0].bytes.slice(0, Math.floor(files[0].bytes.length * 0.7));
  const said = await dragChanged(t, { file: firstOnly(half) });
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as FieldDragFinding;
  const about = finding.warnings.filter((one) => one.file === 'run-1.fit');
  assert.ok(
    about.some((one) => one.code === 'format-truncated'),
    JSON.stringify(about),
  );
});

test('a FIT file with a wrong checksum is used, with a warning', async (t) => {
  const { files } = await demo;
  const wrong = files[0].bytes.slice();
  wrong[wrong.length - 1] ^= 0xff;
  const said = await dragChanged(t, { file: firstOnly(wrong) });
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as FieldDragFinding;
  assert.ok(finding.warnings.some((one) => one.code === 'checksum-wrong'));
});

test('a FIT file whose own laps overlap is used, and the laps are named', async (t) => {
  const { files } = await demo;
  const first = readRecording(files[0].bytes, 'run-1.fit');
  const beginS = first.startEpochS! - startEpochS;
  const again = fitLaps([{ fromS: beginS + 30, lengthS: 200 }]);
  const said = await dragChanged(t, { file: firstOnly(joined(files[0].bytes, again)) });
  assert.equal(said.code, 0, said.err);
  const finding = JSON.parse(said.out) as FieldDragFinding;
  const about = finding.warnings.filter((one) => one.code === 'laps-overlap');
  assert.equal(about.length, 1);
  assert.equal(about[0].file, 'run-1.fit');
  assert.match(about[0].message, /laps \d+ and \d+ by \d+ s/);
});

test('a demo day where no folder can be made is refused at once', async (t) => {
  if (process.platform !== 'linux') return t.skip('/proc is a folder of Linux');
  const said = await lapbench(folderFor(t, {}), 'demo', '/proc/lapbench-demo');
  assert.equal(said.code, 2);
  assert.equal(said.out, '');
  assert.match(said.err, /could not be written here/);
});
