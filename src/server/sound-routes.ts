/** Routes under `/api/sounds`. */
import { Hono, type Context } from 'hono';
import { compress } from 'hono/compress';
import { streamSSE } from 'hono/streaming';
import {
  LapbenchError,
  type SoundEvent,
  type Sounds,
  type SoundView,
} from '../application/index.ts';
import { bytesOfBody, jsonOfBody } from './body.ts';
import { ifChangedAt } from './if-changed.ts';
import { newSoundShape, newUploadShape, soundChangeShape } from './sound-body.ts';

const heartbeatMs = 15_000;
/** Of one piece of an upload, and of a few plucks to listen to. */
const maximumPieceBytes = 16 * 1024 * 1024;
const maximumHearingBytes = 32 * 1024 * 1024;

export function soundRoutes(sounds: Sounds): Hono {
  const app = new Hono();
  uploadRoutes(app, sounds);
  app.get('/', (c) =>
    c.json({ sounds: sounds.list({ removed: c.req.query('removed') === 'true' }) }),
  );
  app.post('/', async (c) => {
    const id = await sounds.create(await jsonOfBody(c, newSoundShape));
    return answer(c, await sounds.view(id), 201);
  });
  app.post('/hear', async (c) =>
    c.json(await sounds.hear(await bytesOfBody(c, maximumHearingBytes))),
  );
  app.get('/:id', compress(), async (c) => answer(c, await sounds.view(c.req.param('id'))));
  app.patch('/:id', async (c) => {
    const change = await jsonOfBody(c, soundChangeShape);
    return answer(c, await sounds.update(c.req.param('id'), change, ifChangedAt(c)));
  });
  app.delete('/:id', (c) => {
    const id = c.req.param('id');
    sounds.remove(id);
    return c.json({ removed: id });
  });
  app.post('/:id/restore', async (c) => {
    const id = c.req.param('id');
    sounds.restore(id);
    return answer(c, await sounds.view(id));
  });
  app.post('/:id/analyse', async (c) => answer(c, await sounds.analyse(c.req.param('id'))));
  app.post('/:id/stop', async (c) => answer(c, await sounds.stop(c.req.param('id'))));

  app.get('/:id/overview', compress(), (c) => c.json(sounds.overview(c.req.param('id'))));
  app.get('/:id/detail', compress(), async (c) =>
    c.json(await sounds.detail(c.req.param('id'), second(c, 'from'), second(c, 'to'))),
  );
  app.get('/:id/piece.wav', async (c) => {
    const wav = await sounds.piece(c.req.param('id'), second(c, 'from'), second(c, 'to'));
    return c.body(new Uint8Array(wav), 200, { 'Content-Type': 'audio/wav' });
  });
  app.get('/:id/events', (c) => events(c, sounds, c.req.param('id')));
  return app;
}

function uploadRoutes(app: Hono, sounds: Sounds): void {
  app.post('/uploads', async (c) => {
    const { file, bytes } = await jsonOfBody(c, newUploadShape);
    return c.json(sounds.beginUpload(file, bytes), 201);
  });
  app.get('/uploads/:id', (c) => c.json(sounds.upload(c.req.param('id'))));
  app.put('/uploads/:id', async (c) => {
    const id = c.req.param('id');
    // Whole in memory before it is stored: a piece that breaks off leaves nothing behind.
    const piece = await bytesOfBody(c, maximumPieceBytes);
    const offset = Number(c.req.query('offset') || NaN);
    if (Number.isInteger(offset) && offset >= 0) return c.json(sounds.addPiece(id, offset, piece));
    throw new LapbenchError({
      code: 'usage',
      message: 'The place of the piece in the file is missing.',
      remedy: 'Add ?offset= with the number of its first byte, from 0.',
    });
  });
  app.delete('/uploads/:id', (c) => {
    const id = c.req.param('id');
    sounds.dropUpload(id);
    return c.json({ removed: id });
  });
}

function second(c: Context, name: 'from' | 'to'): number {
  const given = c.req.query(name);
  const value = given === undefined || given.trim() === '' ? NaN : Number(given);
  if (Number.isFinite(value)) return value;
  throw new LapbenchError({
    code: 'usage',
    place: { field: name },
    message: `"${name}" is ${given === undefined ? 'missing' : JSON.stringify(given.slice(0, 40))}.`,
    remedy: 'Give seconds from the start of the sound: ?from=12.5&to=20.',
  });
}

function answer(c: Context, view: SoundView, status: 200 | 201 = 200): Response {
  c.header('ETag', `"${view.changedAt}"`);
  return c.json(view, status);
}

async function events(c: Context, sounds: Sounds, id: string): Promise<Response> {
  // Asked before the stream opens, so that an unknown sound is a plain 404.
  const { state, progress } = await sounds.view(id);
  return streamSSE(c, async (stream) => {
    const send = ({ name, data }: SoundEvent): Promise<void> =>
      stream.writeSSE({ event: name, data: JSON.stringify(data) });
    let end = (): void => {};
    const ended = new Promise<void>((resolve) => (end = resolve));
    const stop = sounds.listen(id, (event) => void send(event));
    const heartbeat = setInterval(() => void stream.write(': still here\n\n'), heartbeatMs);
    stream.onAbort(end);
    await send(
      progress ? { name: 'progress', data: progress } : { name: 'ready', data: { state } },
    );
    await ended;
    clearInterval(heartbeat);
    stop();
  });
}
