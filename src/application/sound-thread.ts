/** The thread behind `SoundThreads`: does one job at a time, and asks for bytes that are not in a file. */
import fs from 'node:fs/promises';
import { parentPort } from 'node:worker_threads';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { SoundBytes } from '../sound/index.ts';
import { doSoundJob, type SoundAnswer, type SoundJob } from './sound-jobs.ts';

export type ToSoundThread =
  | { kind: 'job'; job: SoundJob; file: string; path: string | null; sizeBytes: number }
  | { kind: 'bytes'; ask: number; bytes: Uint8Array }
  | { kind: 'no-bytes'; ask: number; message: string };

export type FromSoundThread =
  | { kind: 'read'; ask: number; offset: number; length: number }
  | { kind: 'seconds'; seconds: number }
  | { kind: 'answer'; answer: SoundAnswer }
  | { kind: 'refused'; problems: Problem[] }
  /** Our fault. */
  | { kind: 'failed'; message: string };

/** Between two words of progress. */
const sayEveryMs = 200;

const say = (message: FromSoundThread, move: ArrayBuffer[] = []): void =>
  parentPort?.postMessage(message, move);

let asked = 0;
const waiting = new Map<
  number,
  { resolve: (bytes: Uint8Array) => void; reject: (error: Error) => void }
>();

parentPort?.on('message', (message: ToSoundThread) => {
  if (message.kind === 'job') return void answer(message);
  const one = waiting.get(message.ask);
  waiting.delete(message.ask);
  if (message.kind === 'bytes') one?.resolve(message.bytes);
  else one?.reject(new Error(message.message));
});

async function answer({
  job,
  file,
  path,
  sizeBytes,
}: Extract<ToSoundThread, { kind: 'job' }>): Promise<void> {
  const handle = path === null ? null : await fs.open(path);
  try {
    const source: SoundBytes = {
      sizeBytes,
      read: async (offset, length) => {
        if (handle === null) return askFor(offset, length);
        const { buffer, bytesRead } = await handle.read(
          new Uint8Array(Math.max(0, Math.min(length, sizeBytes - offset))),
          { position: offset },
        );
        return buffer.subarray(0, bytesRead);
      },
    };
    let said = 0;
    const result = await doSoundJob(job, source, file, (seconds) => {
      if (Date.now() - said < sayEveryMs) return;
      said = Date.now();
      say({ kind: 'seconds', seconds });
    });
    say({ kind: 'answer', answer: result });
  } catch (error) {
    if (error instanceof LapbenchError) say({ kind: 'refused', problems: [...error.problems] });
    else
      say({
        kind: 'failed',
        message: error instanceof Error ? (error.stack ?? error.message) : String(error),
      });
  } finally {
    await handle?.close();
  }
}

function askFor(offset: number, length: number): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const ask = asked++;
    waiting.set(ask, { resolve, reject });
    say({ kind: 'read', ask, offset, length });
  });
}
