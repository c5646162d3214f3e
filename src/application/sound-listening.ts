/** Analyses of stored sounds: one at a time for each, its progress told, its outcome stored. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { Library, SoundRecord } from '../library/index.ts';
import { soundAnalysisVersion, type AnalysedSound } from './analysed-sound.ts';
import type { SoundChannel, SoundState } from './contract-sounds.ts';
import { sha256 } from './edges.ts';
import { analysePlucks, analyseSound } from './sound-analysis.ts';
import { wholeSoundOptions } from './sound-options.ts';
import type { SoundEvent } from './sounds-contract.ts';
import type { SoundThreads } from './sound-threads.ts';

/** As stored. */
export type Heard = { analysed: AnalysedSound } | { problems: Problem[] };

interface UnderWay {
  key: string;
  stop: AbortController;
  progress: { stage: string; fraction: number };
  done: Promise<void>;
}

/** Analyses kept in memory: some MB each. */
const mostKept = 6;

export class SoundListening {
  private readonly library: Library;
  private readonly threads: SoundThreads;
  private readonly emit: (id: string, event: SoundEvent) => void;
  private readonly conclude: (id: string) => Promise<unknown>;
  private readonly underWay = new Map<string, UnderWay>();
  private readonly kept = new Map<string, { key: string; heard: Heard }>();

  constructor(
    library: Library,
    threads: SoundThreads,
    emit: (id: string, event: SoundEvent) => void,
    conclude: (id: string) => Promise<unknown>,
  ) {
    this.conclude = conclude;
    this.library = library;
    this.threads = threads;
    this.emit = emit;
  }

  /** What was heard in the sound as it stands; null: nothing yet. */
  heard(sound: SoundRecord): Heard | null {
    const key = keyOf(sound);
    const known = this.kept.get(sound.id);
    if (known?.key === key) return known.heard;
    const made = this.library.sounds.made(sound.id, 'analysis');
    if (made?.key !== key) return null;
    const heard = made.data as Heard;
    this.keep(sound.id, key, heard);
    return heard;
  }

  /** As `heard`; where that is null an analysis is begun, unless a person stopped it. */
  ask(sound: SoundRecord): Heard | null {
    const heard = this.heard(sound);
    if (heard || sound.removedAt !== null) return heard;
    if (sound.state !== 'stopped') this.begin(sound);
    return null;
  }

  begin(sound: SoundRecord): void {
    const key = keyOf(sound);
    const current = this.underWay.get(sound.id);
    if (current?.key === key) return;
    current?.stop.abort();
    const stop = new AbortController();
    const own: UnderWay = {
      key,
      stop,
      progress: { stage: 'Waiting', fraction: 0 },
      done: Promise.resolve(),
    };
    this.underWay.set(sound.id, own);
    own.done = this.run(sound, own);
  }

  progress(id: string): UnderWay['progress'] | null {
    return this.underWay.get(id)?.progress ?? null;
  }

  /** Stops what is under way, and says so where nothing is known yet. */
  async stop(sound: SoundRecord): Promise<void> {
    const own = this.underWay.get(sound.id);
    own?.stop.abort();
    await own?.done;
    if (this.heard(sound) === null) this.stand(sound, 'stopped', 'Its analysis was stopped.');
  }

  async settled(id: string): Promise<void> {
    for (let own = this.underWay.get(id); own; own = this.underWay.get(id)) await own.done;
  }

  /** Ends all of them; they begin anew when the library is opened again and somebody asks. */
  async close(): Promise<void> {
    const all = [...this.underWay.values()];
    for (const { stop } of all) stop.abort();
    await Promise.all(all.map(({ done }) => done));
  }

  private async run(sound: SoundRecord, own: UnderWay): Promise<void> {
    const { id, kind, file } = sound;
    const channel = channelOf(sound);
    const source = this.library.soundFiles.reader(sound.fileId);
    const analyse = kind === 'plucks' ? analysePlucks : analyseSound;
    let heard: Heard | null = null;
    try {
      const analysed = await analyse(this.threads, source, file, {
        channel,
        signal: own.stop.signal,
        onProgress: (progress) => {
          own.progress = progress;
          this.emit(id, { name: 'progress', data: progress });
        },
      });
      heard = { analysed };
    } catch (error) {
      if (!(own.stop.signal.aborted || isStop(error))) heard = { problems: problemsOf(error) };
    }
    if (this.underWay.get(id) !== own) return;
    if (heard !== null) {
      this.store(id, own.key, heard);
      own.progress = { stage: 'Weighing the causes', fraction: 1 };
      // So that lists have its sentence. What goes wrong here is told to whoever looks at the sound.
      if ('analysed' in heard) await this.conclude(id).catch(() => undefined);
      if (this.underWay.get(id) !== own) return;
    }
    this.underWay.delete(id);
    if (heard !== null)
      this.emit(id, {
        name: 'ready',
        data: { state: 'analysed' in heard ? 'ready' : 'refused' },
      });
  }

  private store(id: string, key: string, heard: Heard): void {
    this.keep(id, key, heard);
    const standing =
      'analysed' in heard
        ? { state: 'ready' as const, headline: '', durationS: heard.analysed.levels.durationS }
        : { state: 'refused' as const, headline: heard.problems[0].message };
    // What is our own fault is not kept: it is tried again when the program is started again.
    const ours = 'problems' in heard && heard.problems[0].code === 'internal';
    try {
      if (!ours) this.library.sounds.putMade(id, 'analysis', { key, data: heard }, standing);
    } catch (error) {
      // The disk is full, or somebody else is writing: what was heard is still in memory.
      if (!(error instanceof LapbenchError)) throw error;
    }
  }

  private stand({ id }: SoundRecord, state: 'stopped', headline: string): void {
    this.library.sounds.stand(id, { state, headline });
    this.emit(id, { name: 'ready', data: { state } });
  }

  private keep(id: string, key: string, heard: Heard): void {
    this.kept.delete(id);
    this.kept.set(id, { key, heard });
    if (this.kept.size > mostKept) this.kept.delete(this.kept.keys().next().value!);
  }
}

/** How a sound stands, as faces are told. */
export function stateOf(sound: SoundRecord, heard: Heard | null, underWay: boolean): SoundState {
  if (underWay) return 'analysing';
  if (heard) return 'analysed' in heard ? 'ready' : 'refused';
  return sound.state === 'stopped' ? 'stopped' : 'waiting';
}

/** Mark of what an analysis is made from. */
export function keyOf(sound: SoundRecord): string {
  return sha256(JSON.stringify([soundAnalysisVersion, sound.kind, channelOf(sound), sound.sha256]));
}

function channelOf({ kind, options }: SoundRecord): SoundChannel {
  return wholeSoundOptions(kind, options).channel;
}

function isStop(error: unknown): boolean {
  return error instanceof LapbenchError && error.problems[0].code === 'analysis-stopped';
}

function problemsOf(error: unknown): Problem[] {
  if (error instanceof LapbenchError) return [...error.problems];
  const text = error instanceof Error ? error.message : String(error);
  return [
    {
      code: 'internal',
      message: `Lapbench made a mistake while listening: ${text.split('\n')[0]}`,
      remedy: 'Nothing stored is lost. Please report what you did.',
    },
  ];
}
