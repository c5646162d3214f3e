/** The bench over HTTP, on a real library and the real methods. */
import assert from 'node:assert/strict';
import path from 'node:path';
import { test, type TestContext } from 'node:test';
import {
  demoDay,
  openLibraryDays,
  type BenchSummary,
  type BenchView,
  type Problem,
  type SetupBench,
  type WheelShapes,
} from '../../src/application/index.ts';
import { createApp } from '../../src/server/index.ts';
import { exampleSheet } from '../application/example-sheet.ts';
import { folderOf, readings, wheelSheet } from '../application/bench-sample.ts';

async function served(t: TestContext) {
  const folder = folderOf(t);
  const library = await openLibraryDays(path.join(folder, 'test.lapbench'));
  t.after(() => library.close());
  const { days, bench, sounds } = library;
  const app = createApp({ days, bench, sounds, pageFolder: folder });
  const ask = async (method: string, where: string, body?: unknown, headers = {}) =>
    app.request(`http://127.0.0.1:4717${where}`, {
      method,
      body: body === undefined || typeof body === 'string' ? body : JSON.stringify(body),
      headers,
    });
  const view = async (answer: Promise<Response>): Promise<BenchView> =>
    (await (await answer).json()) as BenchView;
  const problems = async (answer: Response): Promise<Problem[]> =>
    ((await answer.json()) as { problems: Problem[] }).problems;
  const list = async (query = ''): Promise<BenchSummary[]> =>
    ((await (await ask('GET', `/api/bench${query}`)).json()) as { items: BenchSummary[] }).items;
  return { library, days, bench, sounds, ask, view, problems, list };
}

test('readings come back as they were sent, with what they come to', async (t) => {
  const { ask, view, list } = await served(t);
  const body = { kind: 'stiffness', title: 'Deep front', setup: 'deep', input: readings };
  const answer = await ask('POST', '/api/bench', body);
  assert.equal(answer.status, 201);
  const made = (await answer.json()) as BenchView;
  assert.equal(answer.headers.get('etag'), `"${made.changedAt}"`);
  assert.equal(made.input, readings);
  assert.equal(made.kind, 'stiffness');
  assert.match(made.headline, /^Lateral stiffness 7\d/);
  assert.deepEqual(await view(ask('GET', `/api/bench/${made.id}`)), made);
  const [item] = await list();
  assert.deepEqual(
    [item.id, item.title, item.setup, item.headline],
    [made.id, 'Deep front', 'deep', made.headline],
  );
});

test('a change names what changes; what cannot be read is stored with its reasons', async (t) => {
  const { ask, view } = await served(t);
  const made = await view(ask('POST', '/api/bench', { kind: 'stiffness', input: readings }));
  const at = `/api/bench/${made.id}`;
  const answer = await ask('PATCH', at, { input: 'what is this' });
  assert.equal(answer.status, 200);
  const changed = (await answer.json()) as BenchView;
  assert.equal(changed.input, 'what is this');
  assert.equal(changed.result, null);
  assert.equal(changed.problems[0].code, 'column-missing');
  assert.deepEqual(changed.earlier?.result, made.result);
  assert.equal(changed.title, made.title);
  const range = await view(ask('PATCH', at, { input: readings, options: { loadN: 150 } }));
  assert.equal((range.result as { loadN: number }).loadN, 150);
});

test('the window that got there first is not written over: 412, and nothing is lost', async (t) => {
  const { ask, view, problems } = await served(t);
  const made = await view(ask('POST', '/api/bench', { kind: 'wheel', input: wheelSheet }));
  const at = `/api/bench/${made.id}`;
  const guard = { 'if-match': `"${made.changedAt}"` };
  assert.equal((await ask('PATCH', at, { title: 'First' }, guard)).status, 200);
  const late = await ask('PATCH', at, { title: 'Second' }, guard);
  assert.equal(late.status, 412);
  assert.equal((await problems(late))[0].code, 'bench-item-changed');
  assert.equal((await view(ask('GET', at))).title, 'First');
  assert.equal((await ask('PATCH', at, { title: 'Third' }, { 'if-match': '*' })).status, 200);
});

test('bodies that are not what the route takes are refused, and make nothing', async (t) => {
  const { ask, problems, list } = await served(t);
  const cases: [unknown, string][] = [
    ['{', ''],
    [{}, 'kind'],
    [{ kind: 'spoke' }, 'kind'],
    [{ kind: 'wheel', input: 7 }, 'input'],
    [{ kind: 'wheel', date: 'May' }, 'date'],
    [{ kind: 'wheel', title: '  ' }, 'title'],
    [{ kind: 'wheel', extra: 1 }, ''],
    [{ kind: 'wheel', edits: [{ op: 'set', path: 'rim.massKg', value: null }] }, 'edits.0.value'],
    [{ kind: 'wheel', edits: [{ op: 'grow', path: 'rim' }] }, 'edits.0.op'],
    [{ kind: 'wheel', options: { compareWith: 'none' } }, 'options.compareWith'],
    [{ kind: 'stiffness', options: { preloadN: 'thirty' } }, 'options.preloadN'],
    [{ kind: 'tension', options: { unknown: true } }, 'options.unknown'],
  ];
  for (const [body, field] of cases) {
    const answer = await ask('POST', '/api/bench', body);
    assert.equal(answer.status, 400, JSON.stringify(body));
    const [problem] = await problems(answer);
    assert.equal(problem.place?.field ?? '', field, JSON.stringify(body));
    assert.ok(problem.remedy);
  }
  assert.deepEqual(await list(), []);
});

test('a body over 1 MB is refused; the largest that fits is stored, however long a table', async (t) => {
  const { ask, view, problems } = await served(t);
  const made = await view(ask('POST', '/api/bench', { kind: 'stiffness', input: readings }));
  const at = `/api/bench/${made.id}`;
  const tooLong = await ask('PATCH', at, { input: 'x'.repeat(1024 * 1024) });
  assert.equal(tooLong.status, 413);
  assert.doesNotMatch((await problems(tooLong))[0].remedy!, /recording/);
  assert.equal((await view(ask('GET', at))).input, readings);
  const rows = `${readings.split('\n').slice(0, 3).join('\n')}\n${'1,0,load,0,0\n'.repeat(11_000)}`;
  const long = await view(ask('PATCH', at, { input: rows }));
  assert.equal(long.input, rows);
  assert.equal(long.problems[0].code, 'file-too-large');
});

test('what is not there is 404, what is removed 409 until it is restored', async (t) => {
  const { ask, view, list } = await served(t);
  const made = await view(ask('POST', '/api/bench', { kind: 'wheel', input: wheelSheet }));
  const at = `/api/bench/${made.id}`;
  for (const [method, where] of [
    ['GET', '/api/bench/none'],
    ['GET', '/api/bench/none/shapes'],
    ['DELETE', '/api/bench/none'],
    ['POST', '/api/bench/none/restore'],
    ['GET', '/api/days/none/bench'],
    ['PUT', at],
  ] as const) {
    assert.equal((await ask(method, where)).status, 404, `${method} ${where}`);
  }
  assert.equal((await ask('PATCH', '/api/bench/none', {})).status, 404);
  assert.equal((await ask('DELETE', at)).status, 200);
  assert.deepEqual(await list(), []);
  assert.equal((await list('?removed=true'))[0].id, made.id);
  for (const where of [at, `${at}/shapes`]) assert.equal((await ask('GET', where)).status, 409);
  assert.equal((await ask('PATCH', at, { title: 'x' })).status, 409);
  assert.deepEqual((await view(ask('POST', `${at}/restore`))).result, made.result);
});

test('a wheel’s shapes are to be had, small enough for a phone where it asks for that', async (t) => {
  const { ask, view, problems } = await served(t);
  const many = wheelSheet.replace('count: 16', 'count: 24').replace('count: 8', 'count: 12');
  const made = await view(ask('POST', '/api/bench', { kind: 'wheel', input: many }));
  const at = `/api/bench/${made.id}/shapes`;
  const plain = await (await ask('GET', at)).text();
  const shapes = JSON.parse(plain) as WheelShapes;
  assert.equal(shapes.spokes.length, 36);
  assert.equal(shapes.forwards?.length, 72);
  assert.ok(plain.length < 500_000, `${plain.length} letters`);
  const packed = await ask('GET', at, undefined, { 'accept-encoding': 'gzip' });
  assert.equal(packed.headers.get('content-encoding'), 'gzip');
  const bytes = (await packed.clone().arrayBuffer()).byteLength;
  assert.ok(bytes < 100_000, `${bytes} bytes`);
  const stream = packed.body!.pipeThrough(new DecompressionStream('gzip'));
  assert.equal(await new Response(stream).text(), plain);

  const other = await view(ask('POST', '/api/bench', { kind: 'stiffness' }));
  const refusedKind = await ask('GET', `/api/bench/${other.id}/shapes`);
  assert.equal(refusedKind.status, 400);
  assert.match((await problems(refusedKind))[0].message, /stiffness readings/);
  await ask('PATCH', `/api/bench/${made.id}`, { input: 'rim: {' });
  const broken = await ask('GET', at);
  assert.equal(broken.status, 400);
  assert.ok((await problems(broken))[0].message);
});

test('a day’s setups are shown with their bench items, while the day is a draft too', async (t) => {
  const { ask, view, days } = await served(t);
  const day = days.create({ sheet: exampleSheet });
  const [{ id, name }] = days.setups(day);
  const made = await view(
    ask('POST', '/api/bench', { kind: 'stiffness', input: readings, setup: name.toUpperCase() }),
  );
  await ask('POST', '/api/bench', { kind: 'stiffness', input: readings, setup: 'elsewhere' });
  const answer = await ask('GET', `/api/days/${day}/bench`);
  const { setups } = (await answer.json()) as { setups: SetupBench[] };
  assert.equal(setups.length, days.setups(day).length);
  const mine = setups.find(({ setup }) => setup === id)!;
  assert.deepEqual(
    mine.items.map((item) => [item.id, item.headline]),
    [[made.id, made.headline]],
  );
  assert.equal(setups.flatMap(({ items }) => items).length, 1);
  const ridden = async (setup: string): Promise<string[]> => {
    const found = await ask('GET', `/api/days?setup=${encodeURIComponent(setup)}`);
    return ((await found.json()) as { days: { id: string }[] }).days.map((one) => one.id);
  };
  days.create({ title: 'Another day' });
  assert.deepEqual(await ridden(made.setup), [day], 'and from the item back to the day');
  assert.deepEqual(await ridden('elsewhere'), []);
  assert.deepEqual(await ridden(''), []);
  await days.putSheet(day, 'setups: [{name: no id}, 7, {id: only-id}]\n');
  assert.deepEqual(days.setups(day), [{ id: 'only-id', name: 'only-id' }]);
  await days.putSheet(day, 'setups: [');
  assert.deepEqual(await (await ask('GET', `/api/days/${day}/bench`)).json(), { setups: [] });
});

test('the demo comes with its bench, once, and does not bring back what was removed', async (t) => {
  const { ask, list, days, sounds } = await served(t);
  // Its finding is not waited for here.
  const { sheet } = await demoDay();
  days.demo = async () => days.create({ sheet });
  // Nor are its sounds, which bring a wheel of their own.
  sounds.demo = async () => {};
  const { id } = (await (await ask('GET', '/api/demo')).json()) as { id: string };
  const items = await list();
  assert.deepEqual(items.map(({ kind }) => kind).sort(), [
    'stiffness',
    'stiffness',
    'stiffness',
    'tension',
    'wheel',
    'wheel',
  ]);
  const { setups } = (await (await ask('GET', `/api/days/${id}/bench`)).json()) as {
    setups: SetupBench[];
  };
  assert.deepEqual(
    setups.map(({ setup, items: own }) => [setup, own.length]),
    [
      ['shallow', 2],
      ['mid', 1],
      ['deep', 3],
    ],
  );
  for (const item of items) await ask('DELETE', `/api/bench/${item.id}`);
  await ask('GET', '/api/demo');
  assert.deepEqual(await list(), []);
});
