/**
 * A workbench in a thread of its own. Jobs are answered one by one, in order; the thread is started
 * with the first job and again after one that failed or took too long.
 */
import { Worker } from 'node:worker_threads';
import type { DeskAnswer, DeskJob } from './desk.ts';
import type { ToDesk, FromDesk } from './desk-thread.ts';
import type { BenchMaker } from './bench-making.ts';
import { workbenchOf } from './direct-workbench.ts';
import type { BytesOf, OnProgress, Workbench } from './workbench.ts';

/** Over this, a job is given up: a day of 8 h takes about a second. */
const defaultLimitMs = 120_000;

/** Memory that the thread may take; a hostile file must not take the server with it. */
const heapLimitMb = 1024;

interface Waiting {
  job: DeskJob;
  bytesOf: BytesOf;
  onProgress?: OnProgress;
  resolve: (answer: DeskAnswer) => void;
}

/** Computes in a thread beside this one. `limitMs` bounds each job. */
export function threadWorkbench(limitMs = defaultLimitMs): Workbench & BenchMaker {
  const line = new Line(limitMs);
  return workbenchOf(
    (job, bytesOf, onProgress) =>
      new Promise((resolve) => line.add({ job, bytesOf, onProgress, resolve })),
    () => line.close(),
  );
}

class Line {
  private readonly limitMs: number;
  private readonly waiting: Waiting[] = [];
  private current: Waiting | null = null;
  private worker: Worker | null = null;
  private timer: NodeJS.Timeout | null = null;

  constructor(limitMs: number) {
    this.limitMs = limitMs;
  }

  add(job: Waiting): void {
    this.waiting.push(job);
    this.next();
  }

  async close(): Promise<void> {
    for (const job of this.waiting.splice(0)) job.resolve(stopped('closed'));
    const worker = this.worker;
    this.worker = null;
    this.finish(stopped('closed'));
    await worker?.terminate();
  }

  private next(): void {
    if (this.current || this.waiting.length === 0) return;
    this.current = this.waiting.shift()!;
    this.worker ??= this.start();
    // An idle thread must not keep the process alive; one at work must.
    this.worker.ref();
    this.timer = setTimeout(() => this.giveUp(), this.limitMs);
    this.send({ job: this.current.job, bytes: {} });
  }

  private start(): Worker {
    const worker = new Worker(new URL('./desk-thread.ts', import.meta.url), {
      resourceLimits: { maxOldGenerationSizeMb: heapLimitMb },
    });
    worker.on('message', (message: FromDesk) => this.receive(worker, message));
    worker.on('error', (error: NodeJS.ErrnoException) =>
      this.lost(
        worker,
        error.code === 'ERR_WORKER_OUT_OF_MEMORY'
          ? tooMuch('The work needs more memory than it may have.')
          : stopped(error.message),
      ),
    );
    worker.on('exit', () => this.lost(worker, stopped('the thread ended')));
    return worker;
  }

  private receive(worker: Worker, message: FromDesk): void {
    const { current } = this;
    if (worker !== this.worker || !current) return;
    if (message.kind === 'progress') return current.onProgress?.(message);
    if (message.kind === 'answer') return this.finish(message.answer);
    try {
      const bytes = Object.fromEntries(
        message.sha256.map((sha256) => [sha256, current.bytesOf(sha256)]),
      );
      this.send({ job: current.job, bytes });
    } catch (error) {
      this.finish({ kind: 'failed', message: error instanceof Error ? error.message : `${error}` });
    }
  }

  private send(message: ToDesk): void {
    this.worker?.postMessage(message);
  }

  private finish(answer: DeskAnswer): void {
    if (this.timer) clearTimeout(this.timer);
    this.timer = null;
    this.worker?.unref();
    const done = this.current;
    this.current = null;
    done?.resolve(answer);
    this.next();
  }

  private giveUp(): void {
    const seconds = Math.round(this.limitMs / 1000);
    const worker = this.worker;
    this.worker = null;
    void worker?.terminate();
    this.finish(tooMuch(`The work took over ${seconds} s and was given up.`));
  }

  private lost(worker: Worker, answer: DeskAnswer): void {
    if (worker !== this.worker) return;
    this.worker = null;
    if (this.current) this.finish(answer);
  }
}

function stopped(why: string): DeskAnswer {
  return { kind: 'failed', message: `The work was cut off: ${why}.` };
}

function tooMuch(message: string): DeskAnswer {
  const remedy = 'Cut the recordings to the hours of the test, the table to what was measured.';
  return { kind: 'refused', problems: [{ code: 'file-too-large', message, remedy }] };
}
