/** What is kept of the bench, over a real library and the real methods. */
import assert from 'node:assert/strict';
import path from 'node:path';
import { test } from 'node:test';
import {
  openLibraryDays,
  type StiffnessFinding,
  type WheelFinding,
} from '../../src/application/index.ts';
import { benchVersion } from '../../src/application/bench-maker.ts';
import type { BenchMaker } from '../../src/application/bench-making.ts';
import { benchOver } from '../../src/application/stored-bench.ts';
import { openLibrary, type Library } from '../../src/library/index.ts';
import { near } from '../near.ts';
import {
  benchIn,
  countedMaker,
  folderOf,
  noDemo,
  readings,
  refused,
  spokes,
  wheelSheet,
} from './bench-sample.ts';

const stiff = (finding: unknown): number => (finding as StiffnessFinding).lateralNPerMm;

test('readings go in as written and give the stiffness that they hold', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'stiffness', input: readings, setup: 'Deep pair' });
  const view = await bench.view(id);
  assert.equal(view.input, readings);
  assert.equal(view.setup, 'Deep pair');
  assert.equal(view.date, '2026-05-17');
  assert.deepEqual(view.problems, []);
  near(stiff(view.result), 75, { rel: 0.03, why: 'four mountings of 1.2 % scatter' });
  assert.match(
    view.headline,
    /^Lateral stiffness 7\d\.\d+ \(7\d\.\d+ to 7\d\.\d+\) N\/mm, slop 0\.\d+/,
  );
  assert.equal((await bench.list())[0].headline, view.headline);
});

test('a new item begins with what is to be filled in, and is not called a mistake', async (t) => {
  const { bench } = benchIn(t);
  const of = (kind: 'stiffness' | 'tension' | 'wheel') => bench.view(bench.create({ kind }));
  assert.equal((await of('stiffness')).headline, '0 readings, no result yet.');
  assert.equal((await of('tension')).headline, '0 readings, no result yet.');
  const wheel = await of('wheel');
  assert.match(wheel.headline, /^Lateral \d/);
  assert.match(wheel.input, /^# An invented wheel/);
  assert.equal((wheel.sheetData as { rim: { radiusM: number } }).rim.radiusM, 0.296);
});

test('input that cannot be read is stored all the same, and the last good result stands beside it', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'stiffness', input: readings });
  const good = await bench.view(id);
  const broken = `${readings}5,0,sideways,30,0.4\n`;
  const bad = await bench.update(id, { input: broken });
  assert.equal(bad.input, broken);
  assert.equal(bad.result, null);
  assert.equal(bad.problems[0].code, 'value-invalid');
  assert.equal(bad.problems[0].place?.line, broken.split('\n').length - 1);
  assert.match(bad.headline, /^No result: /);
  assert.deepEqual(bad.earlier?.result, good.result);
  // Still the same after a second slip, and gone once there is a result again.
  const worse = await bench.update(id, { input: `${broken}6\n` });
  assert.deepEqual(worse.earlier, bad.earlier);
  const mended = await bench.update(id, { input: readings });
  assert.deepEqual(mended.result, good.result);
  assert.equal(mended.earlier, null);
});

test('the range and the unit of the loads are asked of the person and change the result', async (t) => {
  const { bench } = benchIn(t);
  const inKg = readings.replace(
    /(load|unload),([\d.]+),/g,
    (_, direction: string, load: string) => `${direction},${(Number(load) / 9.80665).toFixed(4)},`,
  );
  const id = bench.create({ kind: 'stiffness', input: inKg });
  assert.equal((await bench.view(id)).problems[0].code, 'reading-unit');
  const said = await bench.update(id, { options: { loadUnit: 'kg' } });
  near(stiff(said.result), 75, { rel: 0.03, why: 'the same wheel' });
  assert.deepEqual(said.options, { preloadN: 30, loadN: 196.1, loadUnit: 'kg' });
});

test('an option that is unknown or out of its range is refused by its name, and nothing changes', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'stiffness', input: readings });
  const before = await bench.view(id);
  const cases: [Record<string, unknown>, string][] = [
    [{ preloadN: -1 }, 'options.preloadN'],
    [{ loadN: 0 }, 'options.loadN'],
    [{ loadN: '196' }, 'options.loadN'],
    [{ loadN: Infinity }, 'options.loadN'],
    [{ loadUnit: 'lb' }, 'options.loadUnit'],
    [{ preload: 30 }, 'options.preload'],
    [{ constructor: 1 }, 'options.constructor'],
    [{ maximumN: 1200 }, 'options.maximumN'],
  ];
  for (const [options, field] of cases) {
    const [problem] = await refused(() => bench.update(id, { options, title: 'Other' }));
    assert.equal(problem.place?.field, field);
  }
  assert.equal(
    (await refused(() => bench.update(id, { options: { preloadN: -1, loadN: 0 } }))).length,
    2,
  );
  assert.deepEqual(await bench.view(id), before);
});

test('tension options: what the readings are, the maker’s maximum, one known spoke', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'tension', input: spokes() });
  const bad: Record<string, unknown>[] = [
    { as: 'feeling' },
    { tolerancePercent: 0 },
    { maximumN: -5 },
    { known: { spoke: 1.5, tensionN: 900 } },
    { known: { spoke: 1 } },
    { known: 3 },
    { calibration: 7 },
    { unit: 'kg' },
    { spokeType: {} },
    { lateralLimitMm: 0 },
    { radialLimitMm: '1' },
    { wheel: 12 },
  ];
  for (const options of bad) {
    const field = `options.${Object.keys(options)[0]}`;
    assert.equal((await refused(() => bench.update(id, { options })))[0].place?.field, field);
  }
  const { options } = await bench.update(id, {
    options: { maximumN: 1400, tolerancePercent: null },
  });
  assert.deepEqual(options, {
    as: 'tension',
    unit: null,
    calibration: '',
    spokeType: null,
    tolerancePercent: null,
    maximumN: 1400,
    known: null,
    lateralLimitMm: null,
    radialLimitMm: null,
    wheel: null,
  });
});

test('a wheel is fitted to the bench with its interval, which goes on to the wheel compared with', async (t) => {
  const { bench } = benchIn(t);
  const other = bench.create({ kind: 'wheel', input: wheelSheet.replace('count: 8', 'count: 16') });
  const id = bench.create({ kind: 'wheel', input: wheelSheet, options: { compareWith: other } });
  const options = { benchLateralNPerMm: 105, benchLateralCi95: [102, 108] };
  const { fit } = (await bench.update(id, { options })).result as WheelFinding;
  near(fit!.lateralNPerMm, 105, { rel: 1e-6, why: 'fitted' });
  assert.ok(fit!.predictedOtherNPerMm! > 0);
  for (const benchLateralCi95 of [[108, 102], [102], 'wide', [102, NaN]]) {
    const [problem] = await refused(() => bench.update(id, { options: { benchLateralCi95 } }));
    assert.equal(problem.place?.field, 'options.benchLateralCi95');
  }
});

test('a change dates the item; looking at it, also with a newer method, does not', async (t) => {
  const old = countedMaker();
  const { bench, library } = benchIn(t, old, 'stiffness 0');
  const id = bench.create({ kind: 'stiffness', input: readings });
  const { changedAt } = await bench.view(id);
  assert.equal((await bench.view(id)).changedAt, changedAt);
  assert.deepEqual(old.made, ['stiffness'], 'made once, then taken from the library');
  const newer = countedMaker();
  const later = laterOver(library, newer);
  assert.equal((await later.list())[0].changedAt, changedAt);
  assert.equal((await later.view(id)).changedAt, changedAt);
  assert.deepEqual(newer.made, ['stiffness'], 'made afresh once, and stored');
  await later.update(id, { title: 'Other name' });
  assert.deepEqual(newer.made, ['stiffness'], 'a title changes no result');
  assert.ok((await later.view(id)).changedAt > changedAt);
});

test('a result of an older method does not stand beside input that today’s method refuses', async (t) => {
  const { bench, library } = benchIn(t, countedMaker(), 'stiffness 0');
  const id = bench.create({ kind: 'stiffness', input: readings });
  assert.ok((await bench.view(id)).result);
  const later = laterOver(library, { ...countedMaker(), make: noResult });
  assert.equal((await later.view(id)).result, null);
  assert.equal((await later.view(id)).earlier, null);
});

const noResult = () =>
  Promise.resolve({ result: null, problems: [], method: '', headline: 'No result.' });

const laterOver = ({ benchItems: items }: Library, maker: BenchMaker) =>
  benchOver({
    ...{ items, maker, version: 'stiffness 1', demo: noDemo },
    now: () => '2026-06-01T00:00:00.000Z',
  });

test('what is typed is stored before anything is made of it, and typed over while it is made', async (t) => {
  const release: (() => void)[] = [];
  const desk = countedMaker();
  const slow: BenchMaker = {
    ...desk,
    make: (input) => new Promise((resolve) => release.push(() => resolve(desk.make(input)))),
  };
  const { bench, library } = benchIn(t, slow);
  const id = bench.create({ kind: 'stiffness', input: readings });
  const first = bench.update(id, { input: 'first' });
  assert.equal(library.benchItems.get(id)!.input, 'first');
  assert.deepEqual(bench.verify(), [], 'not yet made is not altered');
  const second = bench.update(id, { input: readings });
  const [item] = await bench.list();
  assert.equal(item.headline, 'No result yet.', 'the list does not wait for ever');
  const pump = setInterval(() => release.splice(0).forEach((go) => go()), 5);
  t.after(() => clearInterval(pump));
  // Both windows see what stands in the end.
  assert.deepEqual(await first, await second);
  assert.equal((await first).input, readings);
  near(stiff((await first).result), 75, { rel: 0.03, why: 'the readings that stand' });
});

test('a wheel is compared with another, and computed afresh when that one changes', async (t) => {
  const { bench } = benchIn(t);
  const other = bench.create({ kind: 'wheel', input: wheelSheet, title: 'Other' });
  const id = bench.create({ kind: 'wheel', input: wheelSheet, options: { compareWith: other } });
  const compared = async () => ((await bench.view(id)).result as WheelFinding).comparison!;
  near((await compared()).lateralDifferenceNPerMm, 0, { abs: 1e-9, why: 'the same wheel' });
  const { changedAt } = await bench.view(id);
  await bench.update(other, { edits: [{ op: 'set', path: 'rim.iLateralM4', value: 16e-9 }] });
  assert.ok((await compared()).lateralDifferenceNPerMm > 5, 'a rim twice as stiff sideways');
  assert.equal((await bench.view(id)).changedAt, changedAt);
});

test('a wheel referred to that is removed counts as none and is missed in words; restored, it counts again', async (t) => {
  const { bench } = benchIn(t);
  const other = bench.create({ kind: 'wheel', input: wheelSheet });
  const id = bench.create({ kind: 'wheel', input: wheelSheet, options: { compareWith: other } });
  bench.remove(other);
  const without = await bench.view(id);
  assert.equal((without.result as WheelFinding).comparison, null);
  assert.equal(without.problems[0].code, 'bench-item-removed');
  assert.equal(without.problems[0].place?.field, 'options.compareWith');
  // Other changes are taken all the while.
  assert.equal((await bench.update(id, { title: 'Still here' })).title, 'Still here');
  bench.restore(other);
  assert.ok(((await bench.view(id)).result as WheelFinding).comparison);
  assert.deepEqual((await bench.view(id)).problems, []);
});

test('a wheel that is not there, no wheel, or the item itself cannot be referred to', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'wheel', input: wheelSheet });
  const readingsId = bench.create({ kind: 'stiffness', input: readings });
  const removed = bench.create({ kind: 'wheel', input: wheelSheet });
  bench.remove(removed);
  for (const compareWith of ['none', readingsId, removed, id]) {
    const [problem] = await refused(() => bench.update(id, { options: { compareWith } }));
    assert.equal(problem.place?.field, 'options.compareWith', compareWith);
  }
  const tension = { kind: 'tension' as const, input: spokes(), options: { wheel: 'none' } };
  assert.equal((await refused(() => bench.create(tension)))[0].place?.field, 'options.wheel');
  assert.equal((await bench.list()).length, 2, 'nothing was made of what was refused');
});

test('single values of a wheel sheet change in their place, comments and blanks stay', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'wheel', input: wheelSheet });
  const view = await bench.update(id, {
    edits: [{ op: 'set', path: 'spokes.left.count', value: 18 }],
  });
  assert.equal(view.input, wheelSheet.replace('count: 16', 'count: 18'));
  const data = view.sheetData as { spokes: { left: { count: number } } };
  assert.equal(data.spokes.left.count, 18);
  // Both or neither: the second of these two names no place of a wheel sheet.
  const edits = [
    { op: 'set' as const, path: 'spokes.left.count', value: 16 },
    { op: 'set' as const, path: 'spokes.middle.count', value: 2 },
  ];
  assert.equal((await refused(() => bench.update(id, { edits })))[0].code, 'sheet-field');
  assert.equal((await bench.view(id)).input, view.input);
  const readingsId = bench.create({ kind: 'stiffness', input: readings });
  const [problem] = await refused(() => bench.update(readingsId, { edits: [edits[0]] }));
  assert.equal(problem.place?.field, 'edits');
});

test('items belong to a setup by its id or its name, whatever the case and the blanks', async (t) => {
  const { bench } = benchIn(t);
  const create = (setup: string) => bench.create({ kind: 'stiffness', input: readings, setup });
  const byName = create(' deep  Pair ');
  const byId = create('deep');
  const elsewhere = create('Shallow pair');
  create('');
  const found = await bench.ofSetups([
    { id: 'deep', name: 'Deep pair' },
    { id: 'shallow', name: 'Shallow pair' },
    { id: 'mid', name: 'mid' },
  ]);
  assert.deepEqual(
    found.map(({ setup, items }) => [setup, items.map(({ id }) => id)]),
    [
      ['deep', [byId, byName]],
      ['shallow', [elsewhere]],
      ['mid', []],
    ],
  );
  assert.match(found[0].items[0].headline, /^Lateral stiffness/);
  bench.remove(byId);
  const [deep] = await bench.ofSetups([{ id: 'deep', name: 'Deep pair' }]);
  assert.deepEqual(
    deep.items.map(({ id }) => id),
    [byName],
  );
});

test('a removed item refuses everything but restoring, and comes back with its result', async (t) => {
  const { bench } = benchIn(t);
  const id = bench.create({ kind: 'wheel', input: wheelSheet });
  const { result } = await bench.view(id);
  bench.remove(id);
  assert.deepEqual(await bench.list(), []);
  assert.equal((await bench.list({ removed: true }))[0].id, id);
  const ways = [
    () => bench.view(id),
    () => bench.update(id, { title: 'x' }),
    () => bench.shapes(id),
    () => bench.remove(id),
  ];
  for (const way of ways) assert.equal((await refused(way))[0].code, 'bench-item-removed');
  bench.restore(id);
  bench.restore(id);
  assert.deepEqual((await bench.view(id)).result, result);
  for (const way of [() => bench.view('none'), () => bench.restore('none')])
    assert.equal((await refused(way))[0].code, 'bench-item-unknown');
});

test('readings altered behind the back of the library are found out', async (t) => {
  const { bench, library } = benchIn(t);
  const id = bench.create({ kind: 'stiffness', input: readings, title: 'Deep' });
  assert.deepEqual(bench.verify(), []);
  library.benchItems.update(id, { input: readings.replace('0.', '1.') });
  const [problem] = bench.verify();
  assert.equal(problem.code, 'bench-item-altered');
  assert.match(problem.message, new RegExp(`${id} \\(Deep\\)`));
  library.benchItems.remove(id);
  assert.equal(bench.verify().length, 1, 'removed ones are checked too');
});

test('the check of a whole library counts bench items and tells of an altered one', async (t) => {
  const file = path.join(folderOf(t), 'whole.lapbench');
  const opened = await openLibraryDays(file);
  t.after(() => opened.days.close());
  const id = opened.bench.create({ kind: 'stiffness', input: readings });
  assert.deepEqual([opened.verify().benchItems, opened.verify().problems], [1, []]);
  const other = openLibrary(file, { now: () => '2026-06-01T00:00:00.000Z', newId: () => 'x' });
  t.after(() => other.close());
  other.benchItems.update(id, { input: 'altered' });
  assert.deepEqual(
    opened.verify().problems.map(({ code }) => code),
    ['bench-item-altered'],
  );
});

test('what the program makes is marked with the versions of all three methods', async (t) => {
  const { bench } = benchIn(t);
  const stored = await bench.view(bench.create({ kind: 'stiffness', input: readings }));
  assert.equal((stored.result as StiffnessFinding).method, 'stiffness 1');
  assert.match(benchVersion, /^stiffness \d+, tension \d+, wheel \d+$/);
});
