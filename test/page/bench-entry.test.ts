/** What the bench suggests next and how readings are written: without a browser. */
import test from 'node:test';
import assert from 'node:assert/strict';
import fc from 'fast-check';
import { reduceStiffness } from '../../src/application/index.ts';
import type { Problem, StiffnessOptions } from '../../src/application/contract.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import {
  nextPosition,
  nextRemount,
  nextStiffness,
  seriesOf,
} from '../../src/page/bench/next-reading.ts';
import {
  joined,
  readReadings,
  swappedColumns,
  takesKeys,
  withChanged,
  withExchanged,
  without,
  withoutLast,
  withReading,
} from '../../src/page/bench/readings.ts';
import { inLoadUnit, unitAnswers, whatToDo } from '../../src/page/bench/stiffness-words.ts';
import { near } from '../near.ts';

type Row = Record<string, string>;
const range = { preload: 30, load: 196.1 };
const head = 'remount,position_deg,direction,load_n,deflection_mm';
const row = (remount: string, position: string, direction: string, load: number): Row => ({
  remount,
  position_deg: position,
  direction,
  load_n: String(load),
  deflection_mm: '1',
});

/** Follows the suggestions for so many readings. */
function follow(rows: Row[], count: number): Row[] {
  const all = [...rows];
  for (let i = 0; i < count; i++) {
    const { remount, position, direction, load } = nextStiffness(all, range);
    all.push(row(remount, position, direction, Number(load)));
  }
  return all;
}

test('a series goes from no load over the preload to the whole load and down the same way', () => {
  const rows = follow([], 11);
  assert.deepEqual(
    rows.map((one) => Number(one.load_n)),
    [0, 30, 79, 128.1, 177.1, 226.1, 177.1, 128.1, 79, 30, 0],
  );
  assert.deepEqual(
    rows.map((one) => one.direction),
    [...Array<string>(6).fill('load'), ...Array<string>(5).fill('unload')],
  );
  assert.equal(new Set(rows.map((one) => one.remount)).size, 1);
});

test('after the first series the person says whether the wheel is turned or taken out', () => {
  const rows = follow([], 11);
  const next = nextStiffness(rows, range);
  assert.equal(next.open, true);
  assert.equal(next.remount, '2');
  assert.equal(nextStiffness(rows.slice(0, -1), range).open, false, 'not in the middle of one');
});

test('later remounts go through the positions of the first, then the wheel is mounted afresh', () => {
  const first = [...follow([], 11), row('1', '90', 'load', 0)];
  const both = follow(first, 10);
  assert.equal(nextStiffness(both, range).open, true);
  const second = follow([...both, row('2', '0', 'load', 0)], 10);
  const turned = nextStiffness(second, range);
  assert.deepEqual([turned.remount, turned.position, turned.open], ['2', '90', false]);
  const third = nextStiffness(follow(second, 11), range);
  assert.deepEqual([third.remount, third.position, third.open], ['3', '0', false]);
});

test('loads that were hung in the first series are suggested again, the way down too', () => {
  const up = [30, 80, 226].map((load) => row('1', '0', 'load', load));
  assert.equal(nextStiffness(up, range).load, '80', 'down along the loads that were hung');
  const whole = [...up, row('1', '0', 'unload', 80), row('1', '0', 'unload', 30)];
  const next = nextStiffness([...whole, row('2', '0', 'load', 30)], range);
  assert.deepEqual([next.load, next.direction, next.of], ['80', 'load', 5]);
});

test('a series that was broken off does not make a plan', () => {
  const rows = [row('1', '0', 'load', 0), row('2', '0', 'load', 0), row('2', '0', 'load', 30)];
  assert.equal(nextStiffness(rows, range).load, '79');
});

test('a pull to the other side, written with a minus, goes on with a minus', () => {
  const rows = follow([row('1', '0', 'load', 0), row('1', '0', 'load', -30)], 9);
  assert.deepEqual(
    rows.slice(2, 7).map((one) => Number(one.load_n)),
    [-79, -128.1, -177.1, -226.1, -177.1],
  );
});

test('a load between two of the plan goes on to the one beyond it', () => {
  const rows = [row('1', '0', 'load', 0), row('1', '0', 'load', 100)];
  assert.equal(nextStiffness(rows, range).load, '128.1');
});

test('loads in kilograms are suggested in kilograms', () => {
  const options: StiffnessOptions = { preloadN: 30, loadN: 196.133, loadUnit: 'kg' };
  const { load, unit } = inLoadUnit(options);
  assert.equal(unit, 'kg');
  near(load, 20, { rel: 1e-9, why: '196.133 N at standard gravity, exact by definition' });
  const rows = [row('1', '0', 'load', 0), row('1', '0', 'load', 3.06)];
  assert.equal(nextStiffness(rows, inLoadUnit(options)).load, '8.06');
});

test('a plan always ends: following it comes to the next mounting within one series', () => {
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 0, max: 300 }), { minLength: 1, maxLength: 8 }),
      fc.boolean(),
      (loads, down) => {
        const rows = loads.map((load) => row('1', '0', 'load', load));
        if (down) rows.push(row('1', '0', 'unload', 10));
        return nextStiffness(follow(rows, 40), range).remount !== '1';
      },
    ),
    { seed: 20261125, numRuns: 60 },
  );
});

test('series are cut where the wheel is taken out, turned, or loaded once more', () => {
  const rows = [
    ...follow([], 11),
    row('1', '0', 'load', 0),
    row('1', '90', 'load', 0),
    row('2', '90', 'load', 0),
  ];
  assert.deepEqual(
    seriesOf(rows).map((own) => own.length),
    [11, 1, 1, 1],
  );
});

test('names of remounts and positions go on by themselves', () => {
  assert.deepEqual(['1', '9', 'b12', 'evening'].map(nextRemount), ['2', '10', 'b13', 'evening 2']);
  assert.deepEqual(['0', '270', '', '22.5'].map(nextPosition), ['90', '0', '90', '112.5']);
});

test('what to do is said for the hands: zero, preload, load, unload, turn, mount', () => {
  const say = (values: Row, before: Row | null) =>
    whatToDo(values, before, 30, 'N').replaceAll('\u202f', ' ');
  const last = row('1', '0', 'load', 30);
  assert.equal(say(row('1', '0', 'load', 0), null), 'No load: set the dial to zero.');
  assert.equal(say(last, row('1', '0', 'load', 0)), 'Put on the preload: 30 N.');
  assert.equal(say(row('1', '0', 'load', 79), last), 'Load up to 79 N.');
  assert.match(say(row('1', '0', 'unload', 79), last), /^Take load off: 79 N left/);
  assert.match(say(row('1', '0', 'unload', 0), last), /^Take all load off; leave the dial/);
  assert.match(say(row('1', '90', 'load', 0), last), /^Turn the wheel to 90°/);
  assert.match(say(row('2', '0', 'load', 0), last), /^Take the wheel out and mount it afresh/);
  assert.match(say(row('1', '0', 'load', 30), null), /set the dial to zero; the slop is then not/);
  assert.match(say({ ...last, load_n: '' }, last), /^Say which load/);
});

test('readings are added, changed and taken out in the text, whatever else stands in it', () => {
  const text = `# bench by the window\n${head}\n1,0,load,0,0\n\n1,0,load,30,0.9`;
  const added = withReading(text, row('1', '0', 'load', 79));
  assert.equal(added, `${text}\n1,0,load,79,1\n`);
  assert.equal(withoutLast(added), `${text}\n`);
  const changed = withChanged(added, 1, { deflection_mm: '0.95' });
  assert.deepEqual(readReadings(changed).rows[1].deflection_mm, '0.95');
  assert.match(changed, /^# bench by the window/);
  assert.deepEqual(readReadings(without(added, [0, 2])).lines, [4]);
  assert.equal(withoutLast(`${head}\n`), `${head}\n`, 'nothing to take');
});

test('a table of semicolons, and columns in another order, take readings in their own way', () => {
  const text = 'Load N;Direction;Remount;Deflection mm\n30;load;1;0,9\n';
  const readings = readReadings(text);
  assert.ok(takesKeys(readings, ['remount', 'direction', 'load_n', 'deflection_mm']));
  assert.equal(withReading(text, row('1', '0', 'load', 79)), `${text}79;load;1;1\n`);
  assert.ok(!takesKeys(readReadings('remount,load_n\n"1, by hand",3\n'), ['remount', 'load_n']));
});

test('exchanged columns keep every number in its place', () => {
  const text = `# note\n${head}\n1,0,load,0.9,30\n`;
  const mended = withExchanged(text, 'load_n', 'deflection_mm');
  assert.equal(readReadings(mended).rows[0].load_n, '30');
  assert.equal(withExchanged(mended, 'load_n', 'deflection_mm'), text);
});

test('readings entered in two windows are all kept', () => {
  const base = `${head}\n1,0,load,0,0\n`;
  const ours = `${base}1,0,load,30,0.9\n`;
  const theirs = `${base}1,0,load,30,0.8\n`;
  assert.deepEqual(joined(base, ours, base), { text: ours, lost: false });
  assert.deepEqual(joined(base, ours, theirs), {
    text: `${theirs}1,0,load,30,0.9\n`,
    lost: false,
  });
  const mended = base.replace('load,0,0', 'load,0,0.01');
  assert.equal(joined(base, mended, theirs).text, `${mended}1,0,load,30,0.8\n`);
  assert.equal(joined(base, ours, mended).text, `${mended}1,0,load,30,0.9\n`);
  assert.deepEqual(joined(base, mended, `${head}\n`), { text: mended, lost: true });
});

test('kilograms are asked about with what the answer changes', () => {
  const options: StiffnessOptions = { preloadN: 30, loadN: 196.1, loadUnit: null };
  const asked = (field: string): Problem => ({
    code: 'reading-unit',
    place: { field },
    message: 'The loads look like kilograms.',
  });
  const [kilograms, newtons] = unitAnswers(asked('load_n'), options);
  assert.deepEqual(kilograms.options, { loadUnit: 'kg' });
  assert.deepEqual(newtons.options, { loadUnit: 'N' });
  const both = unitAnswers(asked('load_n'), { ...options, preloadN: 3, loadN: 20 })[0];
  // 20 kg × 9.80665 m/s², standard gravity, exact by definition (CGPM 1901).
  assert.deepEqual(both.options, { loadUnit: 'kg', preloadN: 29.4, loadN: 196.1 });
  assert.match(both.text.replaceAll('\u202f', ' '), /preload 29\.4 N, load 196\.1 N/);
  const load = unitAnswers(asked('load'), { ...options, loadN: 20 })[0];
  assert.deepEqual(load.options, { loadN: 196.1 }, 'a preload of 30 N stays');
  assert.deepEqual(unitAnswers({ ...asked('deflection_mm') }, options), []);
  assert.deepEqual(unitAnswers({ ...asked('load_n'), code: 'dial-reset' }, options), []);
});

test('the two columns that a refusal calls swapped are the ones exchanged, whichever they are', () => {
  const mounted = (remount: number, position: number, load: number, dial: number): string =>
    `${remount},${position},load,${load},${dial}`;
  const rows = [1, 2, 3].flatMap((remount) =>
    [0, 90].flatMap((position) =>
      [0, 30, 130, 226].map((load) => mounted(remount, position, load, load && 0.1 + load / 100)),
    ),
  );
  for (const [one, other] of [
    ['load_n', 'deflection_mm'],
    ['remount', 'position_deg'],
  ]) {
    const sound = [head, ...rows].join('\n');
    const text = withExchanged(sound, one, other);
    const range = { preloadN: 30, loadN: 196.1, loadUnit: null };
    assert.throws(
      () => reduceStiffness({ text, file: 'r.csv' }, range),
      (error: unknown) => {
        assert.ok(error instanceof LapbenchError);
        assert.deepEqual(swappedColumns(error.problems[0]), [one, other]);
        return true;
      },
    );
    assert.equal(reduceStiffness({ text: sound, file: 'r.csv' }, range).remounts, 3);
  }
  assert.equal(swappedColumns({ message: 'The dial was reset.' }), null);
});
