/** Routes under `/api/bench`. */
import { Hono, type Context } from 'hono';
import { compress } from 'hono/compress';
import type { Bench, BenchView } from '../application/index.ts';
import { benchChangeShape, jsonOfBody, newBenchShape } from './body.ts';
import { ifChangedAt } from './if-changed.ts';

export function benchRoutes(bench: Bench): Hono {
  const app = new Hono();
  app.get('/', async (c) =>
    c.json({ items: await bench.list({ removed: c.req.query('removed') === 'true' }) }),
  );
  app.post('/', async (c) => {
    const id = bench.create(await jsonOfBody(c, newBenchShape));
    return answer(c, await bench.view(id), 201);
  });
  app.get('/:id', async (c) => answer(c, await bench.view(c.req.param('id'))));
  app.patch('/:id', async (c) => {
    const change = await jsonOfBody(c, benchChangeShape);
    return answer(c, await bench.update(c.req.param('id'), change, ifChangedAt(c)));
  });
  app.delete('/:id', (c) => {
    const id = c.req.param('id');
    bench.remove(id);
    return c.json({ removed: id });
  });
  app.post('/:id/restore', async (c) => {
    const id = c.req.param('id');
    bench.restore(id);
    return answer(c, await bench.view(id));
  });
  // The one large answer; a page on a phone in the workshop's wireless network waits for it.
  app.get('/:id/shapes', compress(), async (c) => c.json(await bench.shapes(c.req.param('id'))));
  return app;
}

function answer(c: Context, view: BenchView, status: 200 | 201 = 200): Response {
  c.header('ETag', `"${view.changedAt}"`);
  return c.json(view, status);
}
