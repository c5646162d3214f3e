import type { Io } from './io.ts';

/** Work that is done sooner shows none. */
const quietMs = 1000;

/** One line that tells how far a long work has come, on a terminal only; taken away at the end. */
export function progressOn(io: Io): {
  show: (progress: { stage: string; fraction: number }) => void;
  end: () => void;
} {
  if (!io.errIsTerminal) return { show: () => {}, end: () => {} };
  const began = Date.now();
  let shown = 0;
  return {
    show({ stage, fraction }) {
      if (Date.now() - began < quietMs) return;
      const line = `${stage}: ${Math.floor(100 * fraction)} %`;
      io.err(`\r${line.padEnd(shown)}`);
      shown = line.length;
    },
    end() {
      if (shown > 0) io.err(`\r${' '.repeat(shown)}\r`);
      shown = 0;
    },
  };
}
