import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import {
  daySheetData,
  draftDaySheet,
  editDaySheet,
  readDaySheet,
  writeDaySheet,
} from '../../src/sheets/index.ts';
import type { DaySheet, SheetEdit } from '../../src/sheets/index.ts';
import { exampleSheet } from './example.ts';

const edited = (...edits: SheetEdit[]): string => editDaySheet(exampleSheet, edits);
const refused = (edit: unknown, message: RegExp): void => {
  assert.throws(
    () => edited(edit as SheetEdit),
    (error) => error instanceof LapbenchError && message.test(error.message),
  );
};

test('an edit changes its own place and leaves the rest as it was written', () => {
  const before = exampleSheet.replace(/ {2,}#/g, ' #').split('\n');
  const after = edited({ op: 'set', path: 'system.massKg', value: 84.5 }).split('\n');
  const changed = before.flatMap((line, i) => (line === after[i] ? [] : [i + 1]));
  assert.deepEqual(changed, [3]);
  assert.equal(after[2], 'system: {massKg: 84.5, massStandardUncertaintyKg: 0.3}');
  assert.equal(after.length, before.length);
});

test('no edit loses a comment', () => {
  const text = edited(
    { op: 'set', path: 'title', value: 'Rain: a # in it' },
    { op: 'set', path: 'course.kind', value: 'out-and-back' },
    { op: 'set-run', run: 1, setup: 'deep' },
    { op: 'add-run', run: { setup: 'control', file: 'run-3.fit' } },
    { op: 'set', path: 'weather.temperatureC', value: 16 },
    { op: 'overrule-lap', run: 2, lap: 3, use: false, reason: 'a lorry' },
  );
  for (const comment of ['# or channels', '# loop | out-and-back', '# laps from'])
    assert.ok(text.includes(comment), comment);
  const { day } = readDaySheet(text, 'day.yaml');
  assert.equal(day.title, 'Rain: a # in it');
  assert.equal(day.course.kind, 'out-and-back');
  assert.deepEqual(
    day.runs.map(({ setup }) => setup),
    ['deep', 'deep', 'control'],
  );
  assert.deepEqual(day.overrules, [{ run: 2, lap: 3, use: false, reason: 'a lorry' }]);
});

test('a lap is overruled once, overruled anew, and cleared', () => {
  const once = edited({ op: 'overrule-lap', run: 1, lap: 2, use: false, reason: 'a lorry' });
  const anew = editDaySheet(once, [
    { op: 'overrule-lap', run: 1, lap: 2, use: true, reason: null },
  ]);
  assert.deepEqual(readDaySheet(anew, 'd').day.overrules, [
    { run: 1, lap: 2, use: true, reason: null },
  ]);
  const cleared = editDaySheet(anew, [{ op: 'clear-overrule', run: 1, lap: 2 }]);
  assert.deepEqual(daySheetData(cleared), daySheetData(exampleSheet));
});

test('removing a run takes its overrules along and counts the later ones down', () => {
  const text = edited(
    { op: 'overrule-lap', run: 1, lap: 1, use: false, reason: null },
    { op: 'overrule-lap', run: 2, lap: 4, use: true, reason: 'clean after all' },
    { op: 'remove-run', run: 1 },
  );
  const data = daySheetData(text) as DaySheet;
  assert.equal(data.runs.length, 1);
  assert.deepEqual(data.laps, [{ run: 1, lap: 4, use: true, reason: 'clean after all' }]);
});

test('setups are added, renamed everywhere, and removed when nothing is on them', () => {
  const text = edited(
    { op: 'add-setup', setup: { id: 'disc', name: 'Disc', wheelInertiaKgM2: 0.2 } },
    { op: 'rename-setup', setup: 'control', to: 'shallow' },
    { op: 'set-run', run: 2, setup: 'disc' },
    { op: 'remove-setup', setup: 'deep' },
  );
  const { day } = readDaySheet(text, 'day.yaml');
  assert.deepEqual(
    day.setups.map(({ id }) => id),
    ['shallow', 'disc'],
  );
  assert.deepEqual(
    [day.control, ...day.runs.map(({ setup }) => setup)],
    ['shallow', 'shallow', 'disc'],
  );
  refused({ op: 'remove-setup', setup: 'deep' }, /Runs are still on the setup "deep"/);
  refused({ op: 'add-setup', setup: { id: 'deep' } }, /already a setup "deep"/);
});

test('groups that the sheet does not have yet are made; a run may wait for its setup', () => {
  const text = edited(
    { op: 'set', path: 'course.gate', value: { lonDeg: 8, latDeg: 50 } },
    { op: 'set', path: 'csv.columns.speed_mps', value: { column: 'kph', unit: 'km/h' } },
    { op: 'unset', path: 'weather' },
  );
  const { day } = readDaySheet(text, 'day.yaml');
  assert.deepEqual(day.course.gate, { latDeg: 50, lonDeg: 8 });
  assert.deepEqual(day.csvColumns, { speed_mps: { column: 'kph', unit: 'km/h' } });
  assert.equal(day.weather, null);
  const waiting = editDaySheet(text, [{ op: 'set-run', run: 2, setup: null }]);
  assert.throws(() => readDaySheet(waiting, 'd'), /Run 2: "setup" is missing/);
});

test('an edit of what is not there is refused and says so', () => {
  refused({ op: 'set-run', run: 3, setup: 'deep' }, /no run 3/);
  refused({ op: 'set-run', run: 1, setup: 'dep' }, /no setup "dep"/);
  refused({ op: 'set', path: 'system.colour', value: 'red' }, /no place "system.colour"/);
  refused({ op: 'set', path: 'runs.9.setup', value: 'deep' }, /no place "runs.9"/);
  refused({ op: 'set', path: '__proto__.x', value: 1 }, /no place/);
  refused({ op: 'set', path: 'title', value: Number.NaN }, /cannot stand/);
  refused({ op: 'overrule-lap', run: 1, lap: 0, use: true, reason: null }, /no lap 0/);
  refused({ op: 'unset', path: 'runs.0' }, /whole entry/);
  refused({ op: 'paint' }, /no such edit/);
});

test('a JSON sheet stays JSON', () => {
  const json = JSON.stringify(daySheetData(exampleSheet));
  const text = editDaySheet(json, [{ op: 'set-run', run: 2, setup: 'control' }]);
  assert.equal((JSON.parse(text) as DaySheet).runs[1].setup, 'control');
});

test('a person whose lists stand at the margin keeps them there', () => {
  const text = exampleSheet.replaceAll('\n  - ', '\n- ');
  assert.match(
    editDaySheet(text, [{ op: 'set', path: 'title', value: 'B' }]),
    /\nruns:\n- \{setup/,
  );
});

test('written sheets read back to the same data, times in quotes', () => {
  const data = daySheetData(exampleSheet) as DaySheet;
  const text = writeDaySheet(data);
  assert.deepEqual(daySheetData(text), data);
  assert.match(text, /from: "00:00:30"/);
  const shuffled = Object.fromEntries(Object.entries(data).reverse()) as unknown as DaySheet;
  assert.equal(writeDaySheet(shuffled), text);
});

test('a draft of dropped files can be read at once and says what it assumes', () => {
  const text = draftDaySheet({
    title: 'New day',
    date: '2026-05-17',
    files: ['b.fit', { file: 'lap a: 1.csv', from: '00:01:00' }],
  });
  const { day, warnings } = readDaySheet(text, 'day.yaml');
  assert.deepEqual(
    day.runs.map(({ file }) => file),
    ['b.fit', 'lap a: 1.csv'],
  );
  assert.deepEqual(day.system, { massKg: 85, massStandardUncertaintyKg: 8 });
  assert.match(text, /# ASSUMED: weigh/);
  assert.deepEqual(
    warnings.map(({ code }) => code),
    ['one-setup-only'],
  );
  const weighed = draftDaySheet({
    title: 'New day',
    date: '2026-05-17',
    files: ['b.fit'],
    massKg: 79.4,
  });
  assert.doesNotMatch(weighed, /ASSUMED/);
});
