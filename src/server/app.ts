/** The HTTP interface (API.md) over the use cases; knows no socket, so tests call `app.request`. */
import { Hono } from 'hono';
import { daySheetSchema, type Bench, type Days, type Sounds } from '../application/index.ts';
import { benchRoutes } from './bench-routes.ts';
import { dayRoutes } from './day-routes.ts';
import { hostGuard, originGuard, refuse, tokenGuard } from './guard.ts';
import { safeHeaders } from './headers.ts';
import { refusalOf } from './refusal.ts';
import { soundRoutes } from './sound-routes.ts';
import { pageFile } from './statics.ts';

export interface AppOptions {
  days: Days;
  bench: Bench;
  sounds: Sounds;
  /** Folder of the built page. */
  pageFolder: string;
  /** Reached from this computer only (default true); otherwise `token` is asked for. */
  loopback?: boolean;
  token?: string | null;
  /** Called with what is our own fault. */
  onFault?: (error: unknown) => void;
}

export function createApp(options: AppOptions): Hono {
  const {
    days,
    bench,
    sounds,
    pageFolder,
    loopback = true,
    token = null,
    onFault = () => {},
  } = options;
  if (!loopback && !token) throw new Error('A server reached from outside needs a token.');
  const app = new Hono();
  app.use(safeHeaders());
  app.use(hostGuard(loopback));
  app.use(originGuard());
  if (token) app.use(tokenGuard(token));

  app.route('/api/days', dayRoutes(days));
  app.get('/api/days/:id/bench', async (c) =>
    c.json({ setups: await bench.ofSetups(days.setups(c.req.param('id'))) }),
  );
  app.route('/api/bench', benchRoutes(bench));
  app.route('/api/sounds', soundRoutes(sounds));
  app.get('/api/demo', async (c) => {
    const id = await days.demo();
    bench.demo();
    // Takes seconds; the day need not wait for it.
    sounds.demo().catch(onFault);
    return c.json({ id });
  });
  app.get('/api/schema/day', (c) => c.json(daySheetSchema()));
  app.all('/api/*', (c) =>
    refuse(c, 404, {
      code: 'usage',
      message: `There is no ${c.req.method} ${c.req.path}.`,
      remedy: 'See src/server/API.md for what there is.',
    }),
  );
  app.get('*', async (c) => (await pageFile(c, pageFolder)) ?? c.notFound());

  app.notFound((c) =>
    refuse(c, 404, { code: 'usage', message: 'There is no page at this address.' }),
  );
  app.onError((error, c) => {
    const refusal = refusalOf(error);
    if (refusal) return refuse(c, refusal.status, ...refusal.problems);
    onFault(error);
    return refuse(c, 500, {
      code: 'internal',
      message: 'Lapbench made a mistake; nothing stored is lost.',
      remedy: 'Try again. If it happens again, report what you did.',
    });
  });
  return app;
}
