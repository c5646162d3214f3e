/** Routes under `/api/days`. */
import { Hono, type Context } from 'hono';
import { streamSSE } from 'hono/streaming';
import { daysOfSetup, type DayEvent, type Days, type DayView } from '../application/index.ts';
import { bytesOfBody, editsShape, jsonOfBody, newDayShape, textOfBody } from './body.ts';
import { ifChangedAt } from './if-changed.ts';

/** Often enough that no proxy or browser takes the connection for dead. */
const heartbeatMs = 15_000;

export function dayRoutes(days: Days): Hono {
  const app = new Hono();
  app.get('/', (c) => {
    const setup = c.req.query('setup');
    const found =
      setup === undefined
        ? days.list({ removed: c.req.query('removed') === 'true' })
        : daysOfSetup(days, setup);
    return c.json({ days: found });
  });
  app.post('/', async (c) => {
    const id = days.create(await jsonOfBody(c, newDayShape));
    return answer(c, await days.view(id), 201);
  });

  app.get('/:id', async (c) => answer(c, await days.view(c.req.param('id'))));
  app.put('/:id/sheet', async (c) =>
    answer(c, await days.putSheet(c.req.param('id'), await textOfBody(c), ifChangedAt(c))),
  );
  app.patch('/:id/edit', async (c) => {
    const { edits } = await jsonOfBody(c, editsShape);
    return answer(c, await days.edit(c.req.param('id'), edits, ifChangedAt(c)));
  });
  app.post('/:id/keep', async (c) => answer(c, await days.keep(c.req.param('id'))));
  app.delete('/:id', (c) => {
    const id = c.req.param('id');
    days.remove(id);
    return c.json({ removed: id });
  });
  app.post('/:id/restore', async (c) => {
    const id = c.req.param('id');
    days.restore(id);
    return answer(c, await days.view(id));
  });

  app.post('/:id/recordings', async (c) => {
    const bytes = await bytesOfBody(c);
    const options = { addRun: c.req.query('run') !== 'false' };
    const id = c.req.param('id');
    const { added, view } = await days.addRecording(id, c.req.query('file') ?? '', bytes, options);
    return answer(c, view, added ? 201 : 200);
  });
  app.delete('/:id/recordings/:file', async (c) =>
    answer(c, await days.removeRecording(c.req.param('id'), c.req.param('file'))),
  );
  app.get('/:id/recordings/:file', (c) => {
    const bytes = days.recordingBytes(c.req.param('id'), c.req.param('file'));
    // Always a download: a stranger's bytes must never be taken for a page.
    return c.body(new Uint8Array(bytes), 200, {
      'Content-Type': 'application/octet-stream',
      'Content-Disposition': `attachment; filename*=UTF-8''${extendedValue(c.req.param('file'))}`,
    });
  });
  app.get('/:id/recordings/:file/trace', async (c) =>
    c.json(await days.trace(c.req.param('id'), c.req.param('file'))),
  );
  app.get('/:id/events', (c) => events(c, days, c.req.param('id')));
  return app;
}

/** Percent-encoding as RFC 8187 wants it: stricter than for addresses. */
function extendedValue(text: string): string {
  return encodeURIComponent(text).replace(
    /['()*]/g,
    (letter) => `%${letter.charCodeAt(0).toString(16).toUpperCase()}`,
  );
}

function answer(c: Context, view: DayView, status: 200 | 201 = 200): Response {
  c.header('ETag', `"${view.changedAt}"`);
  return c.json(view, status);
}

async function events(c: Context, days: Days, id: string): Promise<Response> {
  // Asked before the stream opens, so that an unknown day is a plain 404.
  const view = await days.view(id);
  return streamSSE(c, async (stream) => {
    const send = ({ name, data }: DayEvent): Promise<void> =>
      stream.writeSSE({ event: name, data: JSON.stringify(data) });
    let end = (): void => {};
    const ended = new Promise<void>((resolve) => (end = resolve));
    const stop = days.listen(id, (event) => void send(event));
    const heartbeat = setInterval(() => void stream.write(': still here\n\n'), heartbeatMs);
    stream.onAbort(end);
    await send(present(view));
    await ended;
    clearInterval(heartbeat);
    stop();
  });
}

/** The state of a day as the event that would have announced it. */
function present(view: DayView): DayEvent {
  if (view.finding) return { name: 'finding', data: { finding: view.finding } };
  if (view.reducing) return { name: 'reducing', data: {} };
  return { name: 'problem', data: { problems: view.findingProblems } };
}
