/** The app on a real socket. */
import { randomBytes } from 'node:crypto';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { createAdaptorServer, type ServerType } from '@hono/node-server';
import { LapbenchError, type Bench, type Days, type Sounds } from '../application/index.ts';
import { createApp } from './app.ts';
import { isLoopback } from './guard.ts';

export interface ServerOptions {
  days: Days;
  bench: Bench;
  sounds: Sounds;
  host: string;
  port: number;
  /** Take any free port when `port` is in use; otherwise that is refused. */
  otherPortIfBusy?: boolean;
  pageFolder?: string;
  onFault?: (error: unknown) => void;
}

export interface RunningServer {
  /** Address of the page, with the token where one is needed. */
  url: string;
  /** Address of one day on the page. */
  addressOf: (dayId: string) => string;
  /** Asked for when the server is reached from beyond this computer; otherwise null. */
  token: string | null;
  close: () => Promise<void>;
}

const builtPage = fileURLToPath(new URL('../../dist/page', import.meta.url));

/** Starts to listen. Throws `LapbenchError` when the address cannot be had. */
export async function startServer(options: ServerOptions): Promise<RunningServer> {
  const { days, bench, sounds, host, port, onFault } = options;
  const loopback = isLoopback(host);
  const token = loopback ? null : randomBytes(24).toString('base64url');
  const pageFolder = options.pageFolder ?? builtPage;
  const app = createApp({ days, bench, sounds, pageFolder, loopback, token, onFault });
  const server = createAdaptorServer({ fetch: app.fetch });
  await listenOn(server, host, port, options.otherPortIfBusy ?? false);
  const bound = server.address() as AddressInfo;
  const name = host.includes(':') ? `[${host}]` : host === '0.0.0.0' ? 'localhost' : host;
  const base = `http://${name}:${bound.port}/`;
  const query = token ? `?token=${token}` : '';
  return {
    url: `${base}${query}`,
    addressOf: (dayId) => `${base}${query}#/day/${encodeURIComponent(dayId)}`,
    token,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        // Event streams never end by themselves.
        if ('closeAllConnections' in server) server.closeAllConnections();
      }),
  };
}

async function listenOn(
  server: ServerType,
  host: string,
  port: number,
  otherPortIfBusy: boolean,
): Promise<void> {
  try {
    await listen(server, host, port);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EADDRINUSE' && otherPortIfBusy) return listen(server, host, 0);
    throw new LapbenchError({
      code: 'usage',
      message:
        code === 'EADDRINUSE'
          ? `Port ${port} is in use.`
          : `The server cannot listen on ${host}, port ${port} (${code}).`,
      remedy: 'Choose another with --port (0 takes any free one) or another --host.',
    });
  }
}

function listen(server: ServerType, host: string, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      resolve();
    });
  });
}
