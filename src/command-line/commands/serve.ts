/** `lapbench serve` and `lapbench start`: the page on this computer. */
import {
  describeFinding,
  LapbenchError,
  openLibraryDays,
  type LibraryDays,
} from '../../application/index.ts';
import { startServer, type RunningServer } from '../../server/index.ts';
import type { At } from '../io.ts';
import { libraryPath } from '../library-path.ts';
import { canOpenBrowser, openBrowser } from '../open-page.ts';

export interface ServeOptions {
  port?: string;
  host: string;
  open?: boolean;
}

/** Tried first, so that the address stays the same from day to day; else any free port. */
const usualPort = 4717;

/** `lapbench serve` */
export async function serve(at: At, options: ServeOptions): Promise<void> {
  await serving(at, options, async (_, server) => {
    at.io.out(`Lapbench is at ${server.url}\n${leaving}`);
  });
}

/** `lapbench start`: the demo day through the real path, then the page on it. */
export async function start(at: At, options: ServeOptions): Promise<void> {
  await serving(at, options, async ({ days, bench, sounds }, server) => {
    const id = await days.demo();
    bench.demo();
    sounds.demo().catch((error) => at.io.err(`${String(error)}\n`));
    const finding = await days.finding(id);
    const address = server.addressOf(id);
    at.io.out(`${describeFinding(finding)}\nThe same day on the page: ${address}\n${leaving}`);
    if (options.open !== false && canOpenBrowser(at.io.env)) openBrowser(address);
  });
}

const leaving = 'Ctrl-C stops it; what is stored stays.\n';

async function serving(
  at: At,
  options: ServeOptions,
  ready: (library: LibraryDays, server: RunningServer) => Promise<void>,
): Promise<void> {
  const port = portOf(options.port);
  const library = await openLibraryDays(libraryPath(at), { thread: true });
  const { days, bench, sounds } = library;
  try {
    const server = await startServer({
      days,
      bench,
      sounds,
      host: options.host,
      port: port ?? usualPort,
      otherPortIfBusy: port === null,
      onFault: (error) => at.io.err(`${error instanceof Error ? error.stack : String(error)}\n`),
    });
    try {
      const stopped = at.io.stopped();
      await ready(library, server);
      await stopped;
    } finally {
      await server.close();
    }
  } finally {
    await library.close();
  }
}

function portOf(given: string | undefined): number | null {
  if (given === undefined) return null;
  const port = Number(given);
  if (Number.isInteger(port) && port >= 0 && port <= 65535) return port;
  throw new LapbenchError({
    code: 'usage',
    message: `${JSON.stringify(given)} is not a port.`,
    remedy: 'Give a whole number from 0 to 65535.',
  });
}
