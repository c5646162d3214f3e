/**
 * Threads that work on sounds: two for analyses, started when they are needed, and one for what a person waits for
 * (a piece to play, a picture of it) while those are busy.
 */
import { Worker } from 'node:worker_threads';
import { LapbenchError } from '../core/units/index.ts';
import type { SoundBytes } from '../sound/index.ts';
import type { NamedText } from './bench-text.ts';
import type { BrakeNoiseFinding, PluckFinding } from './contract-sounds.ts';
import type { NoiseQuestions, PluckRecording } from './reduce-noise.ts';
import type { OnSeconds, SoundAnswer, SoundJob } from './sound-jobs.ts';
import type { FromSoundThread, ToSoundThread } from './sound-thread.ts';

/** A sound's bytes: a file that the thread opens by itself, or a reader in this thread. */
export type SoundSource = { path: string; sizeBytes: number } | SoundBytes;

export interface JobOptions {
  /** Stops the job: it then rejects with `analysis-stopped`. */
  signal?: AbortSignal;
  onSeconds?: OnSeconds;
  /** A person waits for it: not behind long analyses. */
  quick?: boolean;
}

type AnswerOf<Job extends SoundJob> = Extract<SoundAnswer, { kind: Job['kind'] }>;

interface Waiting {
  job: SoundJob;
  source: SoundSource;
  file: string;
  onSeconds?: OnSeconds;
  resolve: (answer: SoundAnswer) => void;
  reject: (error: Error) => void;
}

/** A job that shows no sign of life for so long is given up. */
const silenceLimitMs = 120_000;
const heapLimitMb = 512;
const youngMb = 8;
/** A thread without work gives its memory back after this. */
const idleMs = 20_000;

const noSound: SoundBytes = { sizeBytes: 0, read: () => Promise.resolve(new Uint8Array(0)) };

export class SoundThreads {
  private readonly slow = [new Thread(), new Thread()];
  private readonly quick = [new Thread()];
  private readonly lines = { slow: [] as Waiting[], quick: [] as Waiting[] };
  private closed = false;
  private readonly concludeHere: boolean;

  /** `concludeHere`: findings are made in the calling thread, as a command does; a server has pages that wait. */
  constructor({ concludeHere = false } = {}) {
    this.concludeHere = concludeHere;
  }

  /** Does a job; rejects with `LapbenchError` when the sound is refused or the job is stopped. */
  run<Job extends SoundJob>(
    job: Job,
    source: SoundSource,
    file: string,
    { signal, onSeconds, quick }: JobOptions = {},
  ): Promise<AnswerOf<Job>> {
    return new Promise<SoundAnswer>((resolve, reject) => {
      if (this.closed || signal?.aborted) return reject(stopped());
      const long = job.kind === 'part' || job.kind === 'plucks';
      const line = long && !quick ? 'slow' : 'quick';
      const stop = (): void => this.stop(line, waiting);
      const settle =
        <T>(then: (value: T) => void) =>
        (value: T): void => {
          signal?.removeEventListener('abort', stop);
          then(value);
        };
      const waiting: Waiting = {
        job,
        source,
        file,
        onSeconds,
        resolve: settle(resolve),
        reject: settle(reject),
      };
      signal?.addEventListener('abort', stop);
      this.lines[line].push(waiting);
      this.next(line);
    }) as Promise<AnswerOf<Job>>;
  }

  /** The sounds of the demo take a second to make. */
  demo(): Promise<AnswerOf<{ kind: 'demo' }>> {
    return this.run({ kind: 'demo' }, noSound, 'the demo');
  }

  /** The finding of sounds that were listened to; rejects as `reduceNoise` throws. */
  async conclude(questions: NoiseQuestions): Promise<BrakeNoiseFinding> {
    if (this.concludeHere) return (await import('./reduce-noise.ts')).reduceNoise(questions);
    const { file } = questions.sound;
    return (await this.run({ kind: 'conclude', questions }, noSound, file)).finding;
  }

  async concludePlucks(recording: PluckRecording, wheel: NamedText | null): Promise<PluckFinding> {
    if (this.concludeHere)
      return (await import('./reduce-noise.ts')).reducePlucks(recording, wheel);
    const job = { kind: 'conclude-plucks', recording, wheel } as const;
    return (await this.run(job, noSound, recording.file)).finding;
  }

  async close(): Promise<void> {
    this.closed = true;
    for (const line of Object.values(this.lines))
      for (const one of line.splice(0)) one.reject(stopped());
    await Promise.all([...this.slow, ...this.quick].map((thread) => thread.end(stopped())));
  }

  private next(line: 'slow' | 'quick'): void {
    for (const thread of this[line]) {
      if (thread.busy) continue;
      const waiting = this.lines[line].shift();
      if (!waiting) return;
      thread.begin(waiting, () => this.next(line));
    }
  }

  private stop(line: 'slow' | 'quick', waiting: Waiting): void {
    const place = this.lines[line].indexOf(waiting);
    if (place >= 0) this.lines[line].splice(place, 1);
    const thread = this[line].find((one) => one.current === waiting);
    if (thread) void thread.end(stopped()).then(() => this.next(line));
    else waiting.reject(stopped());
  }
}

class Thread {
  current: Waiting | null = null;
  private worker: Worker | null = null;
  private timer: NodeJS.Timeout | null = null;
  private idle: NodeJS.Timeout | null = null;
  private done: () => void = () => {};

  get busy(): boolean {
    return this.current !== null;
  }

  begin(waiting: Waiting, done: () => void): void {
    if (this.idle) clearTimeout(this.idle);
    this.idle = null;
    this.current = waiting;
    this.done = done;
    this.worker ??= this.start();
    // An idle thread must not keep the process alive; one at work must.
    this.worker.ref();
    this.stillAlive();
    const { job, source, file } = waiting;
    const path = 'path' in source ? source.path : null;
    this.send({ kind: 'job', job, file, path, sizeBytes: source.sizeBytes });
  }

  /** Cuts off what is under way. */
  async end(error: Error = new Error('ended')): Promise<void> {
    const worker = this.worker;
    this.worker = null;
    this.settle((current) => current.reject(error));
    if (this.idle) clearTimeout(this.idle);
    this.idle = null;
    await worker?.terminate();
  }

  private start(): Worker {
    const worker = new Worker(new URL('./sound-thread.ts', import.meta.url), {
      // The young generation holds blocks of samples, which are soon let go: a small one keeps the whole small.
      resourceLimits: { maxOldGenerationSizeMb: heapLimitMb, maxYoungGenerationSizeMb: youngMb },
    });
    const lost = (error: Error): void => {
      if (worker !== this.worker) return;
      this.worker = null;
      this.settle((current) => current.reject(error));
      this.done();
    };
    worker.on('message', (message: FromSoundThread) => {
      if (worker === this.worker) this.receive(message);
    });
    worker.on('error', (error: NodeJS.ErrnoException) =>
      lost(error.code === 'ERR_WORKER_OUT_OF_MEMORY' ? tooMuch(this.current?.file) : error),
    );
    worker.on('exit', () => lost(new Error('The thread that worked on a sound ended.')));
    return worker;
  }

  private receive(message: FromSoundThread): void {
    const { current } = this;
    if (!current) return;
    this.stillAlive();
    if (message.kind === 'seconds') return current.onSeconds?.(message.seconds);
    if (message.kind === 'read') return void this.read(current, message);
    if (message.kind === 'answer') this.settle(({ resolve }) => resolve(message.answer));
    else {
      const error =
        message.kind === 'refused'
          ? new LapbenchError(message.problems)
          : new Error(message.message);
      this.settle(({ reject }) => reject(error));
    }
    this.done();
  }

  private async read(
    { source }: Waiting,
    { ask, offset, length }: Extract<FromSoundThread, { kind: 'read' }>,
  ): Promise<void> {
    try {
      if ('path' in source) throw new Error('a file is read by the thread itself');
      const bytes = await source.read(offset, length);
      this.send({ kind: 'bytes', ask, bytes });
    } catch (error) {
      const message = error instanceof Error ? error.message : String(error);
      this.send({ kind: 'no-bytes', ask, message });
    }
  }

  private send(message: ToSoundThread): void {
    this.worker?.postMessage(message);
  }

  private stillAlive(): void {
    if (this.timer) clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      const file = this.current?.file;
      void this.end(givenUp(file)).then(() => this.done());
    }, silenceLimitMs);
  }

  private settle(how: (current: Waiting) => void): void {
    if (this.timer) clearTimeout(this.timer);
    this.timer = null;
    this.worker?.unref();
    this.idle ??= setTimeout(() => void this.end(), idleMs).unref();
    const { current } = this;
    this.current = null;
    if (current) how(current);
  }
}

function stopped(): LapbenchError {
  return new LapbenchError({
    code: 'analysis-stopped',
    message: 'The work on the sound was stopped.',
    remedy: 'Begin it again when you want the result.',
  });
}

function tooMuch(file: string | undefined): LapbenchError {
  return new LapbenchError({
    code: 'file-too-large',
    file,
    message: 'The work on this sound needs more memory than it may have.',
    remedy: 'Save the sound as WAV with a sound editor, with fewer channels.',
  });
}

function givenUp(file: string | undefined): LapbenchError {
  return new LapbenchError({
    code: 'format-damaged',
    file,
    message: `Nothing came out of this sound for ${silenceLimitMs / 1000} s, so it was given up.`,
    remedy: 'Save the sound as WAV with a sound editor and try that.',
  });
}
