/** The terminal, handed in so that tests can stand in for it. */
import path from 'node:path';

export interface Io {
  out: (text: string) => void;
  err: (text: string) => void;
  env: Record<string, string | undefined>;
  cwd: string;
  /** Whether somebody looks at `err` as it is written; left out: no. */
  errIsTerminal?: boolean;
  /** Resolves when the person stops the server (Ctrl-C), or at once in tests. */
  stopped: () => Promise<void>;
}

/** The terminal and the library a command was called with. */
export interface At {
  io: Io;
  /** As typed after --library; null: the usual place. */
  library: string | null;
}

/** A path as typed, from the folder the person is in. */
export function fromHere(io: Io, typed: string): string {
  return path.resolve(io.cwd, typed);
}

/** This process's own terminal. A reader that hangs up early (`| head`) ends us quietly. */
export function processIo(): Io {
  process.stdout.on('error', quietOnClosedPipe);
  process.stderr.on('error', quietOnClosedPipe);
  return {
    out: (text) => void process.stdout.write(text),
    err: (text) => void process.stderr.write(text),
    env: process.env,
    cwd: process.cwd(),
    errIsTerminal: process.stderr.isTTY,
    stopped: () =>
      new Promise((resolve) => {
        // On, not once: one Ctrl-C can come twice, from the terminal and from the process before us.
        for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
          process.on(signal, () => resolve());
      }),
  };
}

function quietOnClosedPipe(error: NodeJS.ErrnoException): void {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
}
