import assert from 'node:assert/strict';
import http from 'node:http';
import test from 'node:test';
import { LapbenchError } from '../../src/application/index.ts';
import { daysOver } from '../../src/application/stored-days.ts';
import { startServer } from '../../src/server/index.ts';
import { noBench } from '../application/no-bench.ts';
import { noSounds } from '../application/no-sounds.ts';
import { exampleSheet } from '../application/example-sheet.ts';
import { fakeWorkbench } from '../application/fake-workbench.ts';
import { MemoryStore } from '../application/memory-store.ts';

function someDays() {
  return daysOver({
    store: new MemoryStore(),
    workbench: fakeWorkbench(),
    now: () => new Date().toISOString(),
    demo: async () => ({ sheet: exampleSheet, files: [] }),
  });
}

test('on a real socket: listens on loopback, takes a recording of 20 MB, ends with streams open', async () => {
  const days = someDays();
  const server = await startServer({
    days,
    bench: noBench,
    sounds: noSounds,
    host: '127.0.0.1',
    port: 0,
  });
  try {
    assert.match(server.url, /^http:\/\/127\.0\.0\.1:\d+\/$/);
    assert.equal(server.token, null);
    const id = days.create({ sheet: exampleSheet });
    const content = new Uint8Array(20_000_000).map((_, index) => index % 251);
    const where = `${server.url}api/days/${id}/recordings`;
    const sent = await fetch(`${where}?file=long.fit`, { method: 'POST', body: content });
    assert.equal(sent.status, 201);
    await sent.arrayBuffer();
    const back = new Uint8Array(await (await fetch(`${where}/long.fit`)).arrayBuffer());
    assert.ok(Buffer.from(back).equals(content));
    const events = await fetch(`${server.url}api/days/${id}/events`);
    assert.equal(events.status, 200);
    // Left open on purpose: closing must not wait for it. Its end is an error for its reader.
    void events.text().catch(() => {});
  } finally {
    await server.close();
  }
  await assert.rejects(fetch(server.url));
});

test('the name in the Host header counts, not the address that was reached', async () => {
  const server = await startServer({
    days: someDays(),
    bench: noBench,
    sounds: noSounds,
    host: '127.0.0.1',
    port: 0,
  });
  try {
    const { port } = new URL(server.url);
    const status = await new Promise((resolve, reject) => {
      http
        .get({ host: '127.0.0.1', port, path: '/api/days', headers: { host: 'evil.example' } })
        .on('response', (answer) => resolve(answer.resume().statusCode))
        .on('error', reject);
    });
    assert.equal(status, 403);
  } finally {
    await server.close();
  }
});

test('a port in use is refused in words, or another taken when that is allowed', async () => {
  const first = await startServer({
    days: someDays(),
    bench: noBench,
    sounds: noSounds,
    host: '127.0.0.1',
    port: 0,
  });
  const port = Number(new URL(first.url).port);
  const options = { days: someDays(), bench: noBench, sounds: noSounds, host: '127.0.0.1', port };
  try {
    await assert.rejects(startServer(options), (error) => {
      assert.ok(error instanceof LapbenchError);
      assert.match(error.message, /is in use/);
      return true;
    });
    const second = await startServer({ ...options, otherPortIfBusy: true });
    assert.notEqual(new URL(second.url).port, String(port));
    await second.close();
  } finally {
    await first.close();
  }
});

test('beyond loopback the printed address carries the token, and nothing answers without it', async () => {
  const server = await startServer({
    days: someDays(),
    bench: noBench,
    sounds: noSounds,
    host: '0.0.0.0',
    port: 0,
  });
  try {
    const { port, searchParams } = new URL(server.url);
    assert.equal(searchParams.get('token'), server.token);
    assert.ok(server.token!.length >= 32);
    const bare = await fetch(`http://127.0.0.1:${port}/api/days`);
    assert.equal(bare.status, 401);
    const headers = { authorization: `Bearer ${server.token}` };
    const withToken = await fetch(`http://127.0.0.1:${port}/api/days`, { headers });
    assert.equal(withToken.status, 200);
  } finally {
    await server.close();
  }
});
