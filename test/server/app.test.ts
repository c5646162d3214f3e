import assert from 'node:assert/strict';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import test, { after } from 'node:test';
import type { DaySummary, DayView, Refusal } from '../../src/application/index.ts';
import { createApp } from '../../src/server/index.ts';
import { daysOver } from '../../src/application/stored-days.ts';
import { noBench } from '../application/no-bench.ts';
import { noSounds } from '../application/no-sounds.ts';
import { exampleSheet } from '../application/example-sheet.ts';
import { fakeWorkbench } from '../application/fake-workbench.ts';
import { MemoryStore } from '../application/memory-store.ts';

const bytes = (text: string): Uint8Array<ArrayBuffer> =>
  new Uint8Array(new TextEncoder().encode(text));

function setUp(change: Partial<Parameters<typeof createApp>[0]> = {}) {
  const pageFolder = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-page-'));
  after(() => fs.rmSync(pageFolder, { recursive: true, force: true }));
  fs.mkdirSync(path.join(pageFolder, 'assets'));
  fs.writeFileSync(path.join(pageFolder, 'index.html'), '<!doctype html><title>page</title>');
  fs.writeFileSync(path.join(pageFolder, 'assets', 'main-1.js'), 'void 0;');
  const days = daysOver({
    store: new MemoryStore(),
    workbench: fakeWorkbench(),
    now: () => '2026-05-17T18:00:00.000Z',
    demo: async () => ({ sheet: exampleSheet, files: [] }),
  });
  const app = createApp({ days, bench: noBench, sounds: noSounds, pageFolder, ...change });
  const ask = (
    method: string,
    where: string,
    body?: string | Uint8Array<ArrayBuffer>,
    headers = {},
  ): Promise<Response> =>
    Promise.resolve(
      app.request(`http://127.0.0.1:4717${where}`, { method, body, headers: { ...headers } }),
    );
  const view = async (answer: Response | Promise<Response>): Promise<DayView> =>
    (await (await answer).json()) as DayView;
  return { app, days, ask, view };
}

async function dayWithRuns(parts = setUp()) {
  const { ask, view } = parts;
  const made = await view(ask('POST', '/api/days', JSON.stringify({ sheet: exampleSheet })));
  const at = `/api/days/${made.id}`;
  await ask('POST', `${at}/recordings?file=run-1.csv`, bytes('one'));
  await ask('POST', `${at}/recordings?file=run-2.csv`, bytes('two'));
  return { ...parts, id: made.id, at };
}

async function problemsOf(answer: Response): Promise<Refusal['problems']> {
  return ((await answer.json()) as Refusal).problems;
}

test('a day is made from a title, or from a whole sheet, and listed', async () => {
  const { ask, view } = setUp();
  const answer = await ask('POST', '/api/days', JSON.stringify({ title: 'Dyke road' }));
  assert.equal(answer.status, 201);
  const made = await view(answer);
  assert.match(made.sheet, /Dyke road/);
  await ask('POST', '/api/days', JSON.stringify({ sheet: exampleSheet }));
  const list = (await (await ask('GET', '/api/days')).json()) as { days: DaySummary[] };
  assert.deepEqual(list.days.map((day) => day.title).sort(), ['Dyke road', 'Two pairs']);
});

test('a recording comes back byte for byte, as a download and not as a page', async () => {
  const { ask, at } = await dayWithRuns();
  const content = bytes('<script>alert(1)</script>\u0000\r\n');
  const sent = await ask('POST', `${at}/recordings?file=..%2F%2E%2Fx.html`, content);
  assert.equal(sent.status, 201);
  const answer = await ask('GET', `${at}/recordings/x.html`);
  assert.deepEqual(new Uint8Array(await answer.arrayBuffer()), content);
  assert.equal(answer.headers.get('content-type'), 'application/octet-stream');
  assert.match(answer.headers.get('content-disposition') ?? '', /^attachment/);
  assert.equal(answer.headers.get('x-content-type-options'), 'nosniff');
});

test('a name with quotes and letters of any script comes back as RFC 8187 writes it', async () => {
  const { ask, at } = await dayWithRuns();
  const file = encodeURIComponent("Tom's (Längstal)*.csv");
  await ask('POST', `${at}/recordings?file=${file}`, bytes('x'));
  const name = encodeURIComponent("Tom's (Längstal)-.csv");
  const answer = await ask('GET', `${at}/recordings/${name}`);
  assert.equal(
    answer.headers.get('content-disposition'),
    "attachment; filename*=UTF-8''Tom%27s%20%28L%C3%A4ngstal%29-.csv",
  );
});

test('the same recording again answers 200, another under its name 409', async () => {
  const { ask, at } = await dayWithRuns();
  assert.equal((await ask('POST', `${at}/recordings?file=run-1.csv`, bytes('one'))).status, 200);
  const other = await ask('POST', `${at}/recordings?file=run-1.csv`, bytes('other'));
  assert.equal(other.status, 409);
  assert.equal((await problemsOf(other))[0].code, 'name-taken');
});

test('a recording may be added without a run, and needs a name', async () => {
  const { ask, view, at } = await dayWithRuns();
  const plain = await view(ask('POST', `${at}/recordings?file=x.csv&run=false`, bytes('x')));
  assert.doesNotMatch(plain.sheet, /x\.csv/);
  assert.equal((await ask('POST', `${at}/recordings`, bytes('x'))).status, 400);
});

test('the finding follows: view, keep, trace', async () => {
  const { ask, view, days, id, at } = await dayWithRuns();
  await days.finding(id);
  const seen = await view(ask('GET', at));
  assert.equal(seen.finding?.title, 'Two pairs');
  assert.equal(seen.recordings[0].summary?.samples, 601);
  assert.equal((await view(ask('POST', `${at}/keep`))).state, 'kept');
  const trace = await ask('GET', `${at}/recordings/run-1.csv/trace`);
  assert.deepEqual(((await trace.json()) as { timeS: number[] }).timeS, [0, 1]);
});

test('edits are checked one by one, and the refusal names the place', async () => {
  const { ask, view, at } = await dayWithRuns();
  const good = JSON.stringify({ edits: [{ op: 'set-run', run: 2, setup: 'control' }] });
  assert.match((await view(ask('PATCH', `${at}/edit`, good))).sheet, /setup: control, file: run-2/);
  const wrong: [string, RegExp][] = [
    ['{"edits": [{"op": "set-run", "run": 0, "setup": "deep"}]}', /edits\.0\.run/],
    ['{"edits": [{"op": "explode"}]}', /edits\.0/],
    ['{"edits": []}', /edits/],
    ['{', /^$/],
    ['{"edits": [{"op": "set-run", "run": 7, "setup": "deep"}]}', /^$/],
  ];
  for (const [body, place] of wrong) {
    const answer = await ask('PATCH', `${at}/edit`, body);
    assert.equal(answer.status, 400, body);
    const [problem] = await problemsOf(answer);
    assert.match(problem.place?.field ?? '', place, body);
    assert.ok(problem.message.length > 10, body);
  }
});

test('no path into the prototype can be edited', async () => {
  const { ask, at } = await dayWithRuns();
  for (const where of [
    '__proto__.polluted',
    'constructor.prototype.polluted',
    'runs.__proto__.x',
  ]) {
    const body = JSON.stringify({ edits: [{ op: 'set', path: where, value: 1 }] });
    assert.equal((await ask('PATCH', `${at}/edit`, body)).status, 400, where);
  }
  assert.equal(({} as Record<string, unknown>).polluted, undefined);
});

test('a sheet with mistakes is stored and its mistakes told; one that is not text is refused', async () => {
  const { ask, view, at } = await dayWithRuns();
  const headers = { 'content-type': 'text/yaml' };
  const stored = await view(ask('PUT', `${at}/sheet`, 'title: [oops', headers));
  assert.equal(stored.sheet, 'title: [oops');
  assert.equal(stored.sheetProblems[0].code, 'sheet-syntax');
  const binary = await ask('PUT', `${at}/sheet`, new Uint8Array([0xff, 0xfe, 0x00]), headers);
  assert.equal(binary.status, 400);
  assert.equal((await view(ask('GET', at))).sheet, 'title: [oops');
});

test('a write against an older version is told so', async () => {
  const { ask, at } = await dayWithRuns();
  const seen = await ask('GET', at);
  const headers = { 'if-match': seen.headers.get('etag') ?? '' };
  assert.equal((await ask('PUT', `${at}/sheet`, `${exampleSheet}# a\n`, headers)).status, 200);
  const late = await ask('PUT', `${at}/sheet`, `${exampleSheet}# b\n`, headers);
  assert.equal(late.status, 412);
  assert.equal((await problemsOf(late))[0].code, 'day-changed');
});

test('a removed day answers 409 until it is restored, an unknown one 404', async () => {
  const { ask, at, id } = await dayWithRuns();
  assert.deepEqual(await (await ask('DELETE', at)).json(), { removed: id });
  assert.equal((await ask('GET', at)).status, 409);
  const removed = (await (await ask('GET', '/api/days?removed=true')).json()) as {
    days: DaySummary[];
  };
  assert.equal(removed.days[0].id, id);
  assert.equal((await ask('POST', `${at}/restore`)).status, 200);
  assert.equal((await ask('GET', at)).status, 200);
  for (const where of ['/api/days/none', '/api/days/none/events', '/api/nothing', '/none.png']) {
    assert.equal((await ask('GET', where)).status, 404, where);
  }
  assert.equal((await ask('GET', `${at}/recordings/none.fit`)).status, 404);
});

test('bodies over the bound are refused, whether they announce their length or not', async () => {
  const { ask, at } = await dayWithRuns();
  const long = 'x'.repeat(1024 * 1024 + 1);
  assert.equal((await ask('PUT', `${at}/sheet`, long)).status, 413);
  const announced = await ask('POST', `${at}/recordings?file=a.csv`, bytes('x'), {
    'content-length': String(1e12),
  });
  assert.equal(announced.status, 413);
});

test('the page is served with a policy that lets nothing else in', async () => {
  const { ask } = setUp();
  const page = await ask('GET', '/');
  assert.match(page.headers.get('content-type') ?? '', /text\/html/);
  const policy = page.headers.get('content-security-policy') ?? '';
  assert.match(policy, /default-src 'self'/);
  assert.doesNotMatch(policy, /script-src[^;]*unsafe/);
  assert.match(policy, /frame-ancestors 'none'/);
  assert.match((await ask('GET', '/assets/main-1.js')).headers.get('cache-control') ?? '', /immut/);
  for (const where of ['/..%2f..%2fpackage.json', '/%2e%2e/%2e%2e/package.json', '/%00.js']) {
    assert.equal((await ask('GET', where)).status, 404, where);
  }
});

test('a foreign name for this server is refused (DNS rebinding)', async () => {
  const { app } = setUp();
  for (const [host, status] of [
    ['127.0.0.1:4717', 200],
    ['localhost:4717', 200],
    ['[::1]:4717', 200],
    ['evil.example:4717', 403],
    ['127.0.0.1.evil.example', 403],
  ] as const) {
    const answer = await app.request('http://127.0.0.1:4717/api/days', { headers: { host } });
    assert.equal(answer.status, status, host);
  }
});

test('a write from a page of another site is refused', async () => {
  const { ask } = setUp();
  const body = JSON.stringify({ title: 'x' });
  const host = '127.0.0.1:4717';
  const cases: [Record<string, string>, number][] = [
    [{ host, origin: 'http://127.0.0.1:4717' }, 201],
    [{ host, 'sec-fetch-site': 'same-origin' }, 201],
    [{ host }, 201],
    [{ host, origin: 'http://evil.example' }, 403],
    [{ host, origin: 'http://127.0.0.1:9999' }, 403],
    [{ host, origin: 'null' }, 403],
    [{ host, 'sec-fetch-site': 'cross-site' }, 403],
  ];
  for (const [headers, status] of cases) {
    const answer = await ask('POST', '/api/days', body, headers);
    assert.equal(answer.status, status, JSON.stringify(headers));
  }
});

test('beyond loopback everything asks for the token: header, cookie, or once in the address', async () => {
  const { ask } = setUp({ loopback: false, token: 'long-and-random' });
  assert.equal((await ask('GET', '/api/days')).status, 401);
  assert.equal((await ask('GET', '/')).status, 401);
  const wrong = { authorization: 'Bearer long-and-wrong' };
  assert.equal((await ask('GET', '/api/days', undefined, wrong)).status, 401);
  const right = { authorization: 'Bearer long-and-random' };
  assert.equal((await ask('GET', '/api/days', undefined, right)).status, 200);
  const first = await ask('GET', '/?token=long-and-random');
  assert.equal(first.status, 302);
  assert.equal(first.headers.get('location'), '/');
  const setCookie = first.headers.get('set-cookie') ?? '';
  assert.match(setCookie, /HttpOnly/);
  assert.match(setCookie, /SameSite=Strict/);
  const cookie = setCookie.split(';')[0];
  assert.equal((await ask('GET', '/api/days', undefined, { cookie })).status, 200);
  assert.throws(() => setUp({ loopback: false, token: null }), /token/);
});

test('a fault of ours is 500, told apart, and says nothing of its insides', async () => {
  const faults: unknown[] = [];
  const { ask, days } = setUp({ onFault: (error) => faults.push(error) });
  days.list = () => {
    throw new TypeError('secret inside');
  };
  const answer = await ask('GET', '/api/days');
  assert.equal(answer.status, 500);
  const text = await answer.text();
  assert.match(text, /"code":"internal"/);
  assert.doesNotMatch(text, /secret/);
  assert.equal(faults.length, 1);
});

test('the schema of the day sheet is to be had', async () => {
  const { ask } = setUp();
  const schema = (await (await ask('GET', '/api/schema/day')).json()) as { properties: object };
  assert.ok('runs' in schema.properties);
});

test('the event stream begins with the present state and tells of changes', async () => {
  const { ask, days, id, at } = await dayWithRuns();
  await days.finding(id);
  const answer = await ask('GET', `${at}/events`);
  assert.match(answer.headers.get('content-type') ?? '', /text\/event-stream/);
  const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
  let text = '';
  const until = async (wanted: RegExp): Promise<void> => {
    while (!wanted.test(text)) {
      const { value, done } = await reader.read();
      assert.equal(done, false, `stream ended before ${wanted}: ${text.slice(0, 200)}`);
      text += value;
    }
  };
  await until(/event: finding\ndata: \{"finding":\{"schema":"lapbench\/field-drag@1".*\n\n/);
  await days.edit(id, [{ op: 'set', path: 'title', value: 'Other' }]);
  await until(/event: changed\ndata: \{"changedAt":"2026-05-17/);
  await until(/event: reducing\n/);
  await until(/event: progress\ndata: \{"stage":"Estimating the day","fraction":0.5\}/);
  await until(/event: finding\ndata: .*"title":"Other"/);
  await reader.cancel();
});
