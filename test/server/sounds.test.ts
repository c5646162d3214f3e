/** Sounds over HTTP, on a real library with real threads. */
import assert from 'node:assert/strict';
import path from 'node:path';
import test, { type TestContext } from 'node:test';
import {
  openLibraryDays,
  type Hearing,
  type NoiseSoundView,
  type PluckSoundView,
  type Problem,
  type SoundPicture,
  type SoundSummary,
  type SoundUpload,
} from '../../src/application/index.ts';
import { createApp, startServer } from '../../src/server/index.ts';
import { folderOf } from '../application/bench-sample.ts';
import { strokes, toneInNoise, wavOf } from '../application/sound-sample.ts';

async function served(t: TestContext) {
  const folder = folderOf(t);
  const library = await openLibraryDays(path.join(folder, 'test.lapbench'));
  t.after(() => library.close());
  const { days, bench, sounds } = library;
  const app = createApp({ days, bench, sounds, pageFolder: folder });
  const ask = async (method: string, where: string, body?: unknown, headers = {}) =>
    app.request(`http://127.0.0.1:4717/api/sounds${where}`, {
      method,
      body:
        body === undefined || body instanceof Uint8Array
          ? (body as RequestInit['body'])
          : JSON.stringify(body),
      headers,
    });
  const json = async <T>(method: string, where: string, body?: unknown): Promise<T> =>
    (await (await ask(method, where, body)).json()) as T;
  const send = async (bytes: Uint8Array, file = 'a.wav'): Promise<string> => {
    const begun = await json<SoundUpload>('POST', '/uploads', { file, bytes: bytes.length });
    for (let at = 0; at < bytes.length; at += 100_000) {
      const piece = bytes.slice(at, at + 100_000);
      await json('PUT', `/uploads/${begun.upload}?offset=${at}`, piece);
    }
    return begun.upload;
  };
  const make = async (kind: string, bytes: Uint8Array, options = {}): Promise<string> => {
    const upload = await send(bytes);
    const { id } = await json<SoundSummary>('POST', '', { kind, upload, options });
    await sounds.settled(id);
    return id;
  };
  return { library, sounds, ask, json, send, make };
}

const howl = wavOf(toneInNoise({ seconds: 5, hz: 640 }));

test('a sound comes in by pieces, is analysed, looked at, heard and removed', async (t) => {
  const { json, ask, make } = await served(t);
  const id = await make('noise', howl);
  const answer = await ask('GET', `/${id}`);
  const view = (await answer.json()) as NoiseSoundView;
  assert.equal(answer.headers.get('etag'), `"${view.changedAt}"`);
  assert.equal(view.state, 'ready');
  assert.ok(Math.abs(view.finding!.tones[0].hz - 640) < 0.2);
  const picture = await json<SoundPicture>('GET', `/${id}/overview`);
  assert.equal(Buffer.from(picture.levels, 'base64').length, picture.rows * picture.columns);
  const detail = await json<SoundPicture>('GET', `/${id}/detail?from=1&to=3`);
  assert.equal(detail.fromS, 1);
  const piece = await ask('GET', `/${id}/piece.wav?from=1&to=2`);
  assert.equal(piece.headers.get('content-type'), 'audio/wav');
  assert.equal((await piece.arrayBuffer()).byteLength, 44 + 2 * 16_000);
  await ask('DELETE', `/${id}`);
  assert.deepEqual(await json('GET', ''), { sounds: [] });
  assert.equal((await ask('GET', `/${id}`)).status, 409);
  await ask('POST', `/${id}/restore`);
  assert.equal((await json<{ sounds: SoundSummary[] }>('GET', '')).sounds[0].id, id);
});

test('plucks: what was heard, changed by hand, guarded against another window', async (t) => {
  const { json, ask, make } = await served(t);
  const id = await make('plucks', wavOf(strokes([410, 350])), { brakeTorqueNm: 31.4 });
  const view = await json<PluckSoundView>('GET', `/${id}`);
  assert.deepEqual(
    view.finding!.heard.map(({ spoke }) => spoke),
    [1, 2],
  );
  assert.equal(view.finding!.brakeTorqueNm, 31.4);
  const changed = await json<PluckSoundView>('PATCH', `/${id}`, { options: { spokes: [3, 4] } });
  assert.deepEqual(
    changed.finding!.heard.map(({ spoke }) => spoke),
    [3, 4],
  );
  const late = await ask('PATCH', `/${id}`, { title: 'x' }, { 'if-match': `"${view.changedAt}"` });
  assert.equal(late.status, 412);
});

test('a few plucks are heard at once', async (t) => {
  const { json } = await served(t);
  const { plucks } = await json<Hearing>('POST', '/hear', wavOf(strokes([410, null])));
  assert.equal(plucks.length, 2);
  assert.ok(plucks[0].ringing > 0.5 && plucks[1].ringing < 0.5);
});

test('an upload that broke off goes on where it stopped', async (t) => {
  const { json, ask } = await served(t);
  const begun = await json<SoundUpload>('POST', '/uploads', {
    file: '../../etc/descent.wav',
    bytes: howl.length,
  });
  assert.equal(begun.file, 'descent.wav');
  const own = `/uploads/${begun.upload}`;
  await ask('PUT', `${own}?offset=0`, howl.slice(0, 50_000));
  assert.equal((await json<SoundUpload>('GET', own)).received, 50_000);
  assert.equal((await ask('PUT', `${own}?offset=60000`, howl.slice(60_000))).status, 409);
  await ask('PUT', `${own}?offset=50000`, howl.slice(50_000));
  const made = await ask('POST', '', { kind: 'noise', upload: begun.upload });
  assert.equal(made.status, 201);
});

test('a piece whose connection is cut leaves the upload as it was', async (t) => {
  const { library, json } = await served(t);
  const { days, bench, sounds } = library;
  const begun = await json<SoundUpload>('POST', '/uploads', { file: 'a.wav', bytes: 400_000 });
  const server = await startServer({ days, bench, sounds, host: '127.0.0.1', port: 0 });
  try {
    const cut = new AbortController();
    const body = new ReadableStream<Uint8Array>({
      start(controller) {
        controller.enqueue(new Uint8Array(100_000));
        setTimeout(() => cut.abort(), 100);
      },
    });
    await assert.rejects(
      fetch(`${server.url}api/sounds/uploads/${begun.upload}?offset=0`, {
        ...{ method: 'PUT', body, signal: cut.signal },
        duplex: 'half',
      } as RequestInit),
    );
    await new Promise((resolve) => setTimeout(resolve, 100));
    assert.equal((await json<SoundUpload>('GET', `/uploads/${begun.upload}`)).received, 0);
    const again = await fetch(`${server.url}api/sounds/uploads/${begun.upload}?offset=0`, {
      method: 'PUT',
      body: new Uint8Array(400_000),
    });
    assert.equal(((await again.json()) as SoundUpload).received, 400_000);
  } finally {
    await server.close();
  }
});

test('an analysis tells how far it is, can be stopped, and begins again', async (t) => {
  const { json, ask, send, sounds } = await served(t);
  const upload = await send(wavOf(toneInNoise({ seconds: 200 })));
  const { id, state } = await json<SoundSummary>('POST', '', { kind: 'noise', upload });
  assert.equal(state, 'analysing');
  const events = (await ask('GET', `/${id}/events`)).body!.getReader();
  const first = new TextDecoder().decode((await events.read()).value);
  assert.match(first, /^event: progress\ndata: \{"stage":/);
  assert.equal((await ask('GET', `/${id}/overview`)).status, 409);
  assert.equal((await json<SoundSummary>('POST', `/${id}/stop`)).state, 'stopped');
  let told = '';
  while (!told.includes('event: ready'))
    told += new TextDecoder().decode((await events.read()).value);
  await events.cancel();
  assert.equal((await json<SoundSummary>('POST', `/${id}/analyse`)).state, 'analysing');
  await sounds.settled(id);
  assert.equal((await json<SoundSummary>('GET', `/${id}`)).state, 'ready');
});

const wrong: [what: string, method: string, where: string, body: unknown, status: number][] = [
  ['an unknown sound', 'GET', '/nowhere', undefined, 404],
  ['events of an unknown sound', 'GET', '/nowhere/events', undefined, 404],
  ['an unknown upload', 'GET', '/uploads/nowhere', undefined, 404],
  ['a piece for an unknown upload', 'PUT', '/uploads/nowhere?offset=0', howl, 404],
  ['a piece without its place', 'PUT', '/uploads/nowhere', howl, 400],
  ['a sound of no kind', 'POST', '', { kind: 'song', upload: 'x' }, 400],
  ['a sound of an unknown upload', 'POST', '', { kind: 'noise', upload: 'x' }, 404],
  ['an upload without a size', 'POST', '/uploads', { file: 'a.wav' }, 400],
  ['an empty file', 'POST', '/uploads', { file: 'a.wav', bytes: 0 }, 400],
  ['a file too large', 'POST', '/uploads', { file: 'a.wav', bytes: 9e12 }, 413],
  ['plucks that are no sound', 'POST', '/hear', new Uint8Array(100), 400],
  ['no plucks at all', 'POST', '/hear', new Uint8Array(0), 400],
  ['another field', 'PATCH', '/nowhere', { colour: 'red' }, 400],
];
for (const [what, method, where, body, status] of wrong) {
  test(`refused with ${status} and the reason: ${what}`, async (t) => {
    const { ask } = await served(t);
    const answer = await ask(method, where, body);
    assert.equal(answer.status, status);
    const { problems } = (await answer.json()) as { problems: Problem[] };
    assert.ok(problems[0].message.length > 10);
  });
}

test('pieces that cannot be played, options that do not fit, and what is no sound are refused', async (t) => {
  const { ask, make, send } = await served(t);
  const id = await make('noise', howl);
  for (const query of [
    '',
    '?from=1',
    '?from=2&to=1',
    '?from=0&to=90',
    '?from=x&to=2',
    '?from=50&to=51',
  ]) {
    assert.equal((await ask('GET', `/${id}/piece.wav${query}`)).status, 400, query);
    assert.equal((await ask('GET', `/${id}/detail${query}`)).status, 400, query);
  }
  assert.equal((await ask('PATCH', `/${id}`, { options: { channel: 0 } })).status, 400);
  const upload = await send(new Uint8Array(300).fill(65));
  assert.equal((await ask('POST', '', { kind: 'noise', upload })).status, 400);
  assert.equal((await ask('GET', `/uploads/${upload}`)).status, 404);
  assert.equal((await ask('POST', '/uploads', 'x'.repeat(2_000_000))).status, 413);
});
