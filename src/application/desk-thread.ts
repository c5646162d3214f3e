/** The thread behind `threadWorkbench`: a desk, and the messages to and from it. */
import { parentPort } from 'node:worker_threads';
import { Desk, type DeskAnswer, type DeskJob } from './desk.ts';

/** A job, with the bytes that the desk asked for last time. */
export interface ToDesk {
  job: DeskJob;
  bytes: Record<string, Uint8Array>;
}

export type FromDesk =
  | { kind: 'missing'; sha256: string[] }
  | { kind: 'progress'; stage: string; fraction: number }
  | { kind: 'answer'; answer: DeskAnswer };

const desk = new Desk();
const say = (message: FromDesk): void => parentPort?.postMessage(message);

parentPort?.on('message', ({ job, bytes }: ToDesk) => {
  for (const [sha256, content] of Object.entries(bytes)) desk.give(sha256, content);
  const missing = desk.missing(job);
  if (missing.length > 0) return say({ kind: 'missing', sha256: missing });
  say({
    kind: 'answer',
    answer: desk.answer(job, (progress) => say({ kind: 'progress', ...progress })),
  });
});
