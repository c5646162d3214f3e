import assert from 'node:assert/strict';
import test from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import type { DayEvent } from '../../src/application/days-contract.ts';
import { daysOver } from '../../src/application/stored-days.ts';
import { exampleFinding } from './example-finding.ts';
import { exampleSheet } from './example-sheet.ts';
import { fakeWorkbench, type FakeWorkbench } from './fake-workbench.ts';
import { MemoryStore } from './memory-store.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const stillClock = (): string => '2026-05-17T18:00:00.000Z';

function setUp(workbench: FakeWorkbench = fakeWorkbench(), now = stillClock) {
  const store = new MemoryStore();
  const demo = async () => ({
    sheet: exampleSheet.replace('date:', 'invented: true\ndate:'),
    files: [
      { file: 'run-1.csv', bytes: bytes('one') },
      { file: 'run-2.csv', bytes: bytes('two') },
    ],
  });
  return { days: daysOver({ store, workbench, now, demo }), store, workbench };
}

async function dayWithRuns(workbench?: FakeWorkbench) {
  const parts = setUp(workbench);
  const id = parts.days.create({ sheet: exampleSheet });
  await parts.days.addRecording(id, 'run-1.csv', bytes('one'));
  const { view } = await parts.days.addRecording(id, 'run-2.csv', bytes('two'));
  return { ...parts, id, view };
}

const codeOf = (code: string) => (error: unknown) =>
  error instanceof LapbenchError && error.problems[0].code === code;

test('a new day has a draft sheet with one setup, no runs and the date of today', async () => {
  const { days } = setUp();
  const id = days.create({ title: 'Evening on the dyke' });
  const view = await days.view(id);
  assert.equal(view.state, 'draft');
  assert.match(view.sheet, /Evening on the dyke/);
  assert.match(view.sheet, /2026-05-17/);
  assert.equal(view.finding, null);
  assert.equal(view.reducing, false);
  assert.ok(view.sheetProblems.length > 0, 'a sheet without runs is not finished');
  assert.deepEqual(
    days.list().map((day) => [day.id, day.runs, day.setups]),
    [[id, 0, 1]],
  );
});

test('a sound sheet with its recordings is reduced, and the finding announced', async () => {
  const { days, id, view, workbench } = await dayWithRuns(fakeWorkbench({ held: true }));
  assert.equal(view.reducing, true);
  const events: string[] = [];
  days.listen(id, (event) => events.push(event.name));
  assert.equal((await days.view(id)).finding, null);
  await releaseUntil(workbench, days.finding(id));
  assert.deepEqual(events.at(-1), 'finding');
  const after = await days.view(id);
  assert.equal(after.reducing, false);
  assert.equal(after.finding?.title, 'Two pairs');
});

test('while a day is reduced only the newest sheet waits, and those between are never computed', async () => {
  const { days, id, workbench } = await dayWithRuns(fakeWorkbench({ held: true }));
  await releaseUntil(workbench, days.finding(id));
  const before = workbench.reduced.length;
  for (const title of ['One', 'Two', 'Three']) {
    await days.edit(id, [{ op: 'set', path: 'title', value: title }]);
  }
  const events: DayEvent[] = [];
  days.listen(id, (event) => events.push(event));
  await releaseUntil(workbench, days.finding(id));
  const titles = workbench.reduced.slice(before).map((sheet) => sheet.match(/title: (.*)/)![1]);
  assert.deepEqual(titles, ['One', 'Three']);
  const said = events.flatMap((event) =>
    event.name === 'finding' ? [event.data.finding.title] : [],
  );
  assert.deepEqual(said, ['Three'], 'a finding of an older sheet is not announced');
});

test('an edit undone brings the old finding back without computing', async () => {
  const { days, id, workbench } = await dayWithRuns();
  await days.finding(id);
  await days.edit(id, [{ op: 'set', path: 'title', value: 'Other' }]);
  await days.finding(id);
  const { length } = workbench.reduced;
  const view = await days.edit(id, [{ op: 'set', path: 'title', value: 'Two pairs' }]);
  assert.equal(view.finding?.title, 'Two pairs');
  assert.equal(workbench.reduced.length, length);
});

test('edits keep the comments of the sheet', async () => {
  const { days, id } = await dayWithRuns();
  const view = await days.edit(id, [
    { op: 'set-run', run: 2, setup: 'control' },
    { op: 'overrule-lap', run: 1, lap: 2, use: false, reason: 'a lorry passed' },
  ]);
  assert.match(view.sheet, /# Written at the roadside/);
  assert.match(view.sheet, /a lorry passed/);
});

test('when one of several edits does not fit, none is done', async () => {
  const { days, id, view } = await dayWithRuns();
  const edits = [
    { op: 'set' as const, path: 'title', value: 'Half done' },
    { op: 'set-run' as const, run: 9, setup: 'deep' },
  ];
  await assert.rejects(days.edit(id, edits), LapbenchError);
  assert.equal((await days.view(id)).sheet, view.sheet);
});

test('a sheet with mistakes is stored as it is, and its mistakes are told with their lines', async () => {
  const { days, id } = await dayWithRuns();
  const wrong = exampleSheet.replace('83.2', '83200');
  const view = await days.putSheet(id, wrong);
  assert.equal(view.sheet, wrong);
  assert.equal(view.sheetProblems[0].place?.line, 4);
  assert.equal(view.finding, null);
  assert.deepEqual(view.findingProblems, view.sheetProblems);
  const unreadable = await days.putSheet(id, 'title: [');
  assert.equal(unreadable.sheetData, null);
  assert.equal(unreadable.sheet, 'title: [');
});

test('a recording that the sheet does not name gets a run that waits for its setup', async () => {
  const { days, id } = await dayWithRuns();
  const { added, view } = await days.addRecording(id, '../folder/run-3.csv', bytes('three'));
  assert.equal(added, true);
  assert.deepEqual(
    view.recordings.map((one) => one.file),
    ['run-1.csv', 'run-2.csv', 'run-3.csv'],
  );
  const { runs } = view.sheetData as { runs: { file: string; setup?: string }[] };
  assert.equal(runs[2].file, 'run-3.csv');
  assert.equal(runs[2].setup, undefined);
  assert.match(view.sheetProblems[0].message, /Run 3/);
});

test('the same recording twice changes nothing; another under its name is refused', async () => {
  const { days, id, view } = await dayWithRuns();
  const again = await days.addRecording(id, 'run-1.csv', bytes('one'));
  assert.equal(again.added, false);
  assert.equal(again.view.changedAt, view.changedAt);
  await assert.rejects(days.addRecording(id, 'run-1.csv', bytes('other')), codeOf('name-taken'));
  assert.deepEqual(days.recordingBytes(id, 'run-1.csv'), bytes('one'));
});

test('a recording that cannot be read is stored all the same, with the reason', async () => {
  const { days, id } = await dayWithRuns();
  const { view } = await days.addRecording(id, 'run-3.csv', bytes('bad bytes'));
  assert.equal(view.recordings[2].summary, null);
  assert.equal(view.recordings[2].problems[0].code, 'format-damaged');
  assert.deepEqual(days.recordingBytes(id, 'run-3.csv'), bytes('bad bytes'));
  await assert.rejects(days.trace(id, 'run-3.csv'), codeOf('format-damaged'));
});

test('removing a recording takes its runs out and counts the later ones down', async () => {
  const { days, id } = await dayWithRuns();
  await days.edit(id, [{ op: 'overrule-lap', run: 2, lap: 1, use: false, reason: null }]);
  const view = await days.removeRecording(id, 'run-1.csv');
  const data = view.sheetData as { runs: { file: string }[]; laps: { run: number }[] };
  assert.deepEqual(
    data.runs.map((run) => run.file),
    ['run-2.csv'],
  );
  assert.equal(data.laps[0].run, 1);
  await assert.rejects(days.removeRecording(id, 'run-1.csv'), codeOf('recording-unknown'));
});

test('a kept day keeps its finding, and an edit makes it a draft again', async () => {
  const { days, id, store } = await dayWithRuns();
  const kept = await days.keep(id);
  assert.equal(kept.state, 'kept');
  assert.match(days.list()[0].headline, /Deep pair lower/);
  const edited = await days.edit(id, [{ op: 'set', path: 'title', value: 'Other' }]);
  assert.equal(edited.state, 'draft');
  assert.match(days.list()[0].headline, /^Before the last change: Against/);
  assert.equal(store.kept(id)?.finding.title, 'Two pairs', 'the finding kept before stays');
});

test('a day whose finding is refused is not kept, and says why', async () => {
  const refusal = new LapbenchError({ code: 'laps-too-few', message: 'One lap only.' });
  const workbench = fakeWorkbench({
    answer: () => {
      throw refusal;
    },
  });
  const { days, id } = await dayWithRuns(workbench);
  await assert.rejects(days.keep(id), codeOf('laps-too-few'));
  const view = await days.view(id);
  assert.equal(view.state, 'draft');
  assert.equal(view.findingProblems[0].code, 'laps-too-few');
});

test('a fault of ours in the estimate is told as such and does not stop the rest', async () => {
  const workbench = fakeWorkbench({
    answer: () => {
      throw new TypeError('undefined is not a number');
    },
  });
  const { days, id } = await dayWithRuns(workbench);
  await assert.rejects(days.finding(id), codeOf('internal'));
  assert.equal((await days.view(id)).findingProblems[0].code, 'internal');
});

test('recomputing replaces the kept finding and hands back the one before', async () => {
  let round = 0;
  const workbench = fakeWorkbench({ answer: () => exampleFinding({ title: `round ${++round}` }) });
  const { days, id, store } = await dayWithRuns(workbench);
  await days.keep(id);
  const { before, after } = await days.recompute(id);
  assert.notEqual(before?.title, after.title);
  assert.equal(store.kept(id)?.finding.title, after.title);
});

test('a removed day is out of the list and refuses changes until it is restored', async () => {
  const { days, id } = await dayWithRuns();
  days.remove(id);
  assert.deepEqual(days.list(), []);
  assert.equal(days.list({ removed: true })[0].id, id);
  await assert.rejects(days.view(id), codeOf('day-removed'));
  days.restore(id);
  assert.equal((await days.view(id)).recordings.length, 2);
  await assert.rejects(days.view('nothing'), codeOf('day-unknown'));
});

test('a write that names an older version is refused, even within one tick of the clock', async () => {
  const { days, id, view } = await dayWithRuns();
  await days.putSheet(id, `${exampleSheet}# mine\n`, { ifChangedAt: view.changedAt });
  const late = days.putSheet(id, `${exampleSheet}# theirs\n`, { ifChangedAt: view.changedAt });
  await assert.rejects(late, codeOf('day-changed'));
  assert.match((await days.view(id)).sheet, /# mine/);
});

test('the demo day is made once, kept, and marked as invented', async () => {
  const { days } = setUp();
  const [first, second] = await Promise.all([days.demo(), days.demo()]);
  assert.equal(first, second);
  assert.equal(await days.demo(), first);
  const [only, ...others] = days.list();
  assert.deepEqual([only.state, only.invented, others.length], ['kept', true, 0]);
  days.remove(first);
  assert.notEqual(await days.demo(), first, 'a removed demo day is made anew');
});

/** Lets held reductions go, one after the other, until the promise is settled. */
async function releaseUntil(workbench: FakeWorkbench, promise: Promise<unknown>): Promise<void> {
  let done = false;
  void promise.finally(() => (done = true));
  while (!done) {
    workbench.release();
    await new Promise((resolve) => setImmediate(resolve));
  }
}
