/** The use cases around stored sounds (`Sounds`), over a library and threads that listen. */
import { LapbenchError } from '../core/units/index.ts';
import type { Library, SoundRecord } from '../library/index.ts';
import { bytesInMemory, openSound } from '../sound/index.ts';
import type {
  Hearing,
  NewSound,
  NoiseOptions,
  SoundChange,
  SoundPicture,
  SoundState,
  SoundSummary,
  SoundUpload,
  SoundView,
} from './contract.ts';
import type { WriteOptions } from './days-contract.ts';
import type { Clock } from './edges.ts';
import { analysePlucks } from './sound-analysis.ts';
import { SoundFindings } from './sound-findings.ts';
import { longestPieceS } from './sound-jobs.ts';
import { SoundListening, stateOf } from './sound-listening.ts';
import { checkedSoundOptions, wholeSoundOptions } from './sound-options.ts';
import { notThere, type SoundReferences } from './sound-references.ts';
import type { SoundThreads } from './sound-threads.ts';
import { SoundUploads } from './sound-uploads.ts';
import type { SoundEvent, Sounds } from './sounds-contract.ts';

export interface SoundsEdges {
  library: Library;
  references: SoundReferences;
  threads: SoundThreads;
  now: Clock;
  /** Makes the sounds of the demo, and knows their titles. */
  demo: { make: (sounds: Sounds) => Promise<void>; has: (title: string) => boolean };
}

export function soundsOver(edges: SoundsEdges): Sounds {
  return new StoredSounds(edges);
}

class StoredSounds implements Sounds {
  private readonly library: Library;
  private readonly references: SoundReferences;
  private readonly threads: SoundThreads;
  private readonly now: Clock;
  private readonly demoSounds: SoundsEdges['demo'];
  private readonly uploads: SoundUploads;
  private readonly listening: SoundListening;
  private readonly findings: SoundFindings;
  private readonly listeners = new Map<string, Set<(event: SoundEvent) => void>>();
  private demoUnderWay: Promise<void> | null = null;

  constructor({ library, references, threads, now, demo }: SoundsEdges) {
    this.library = library;
    this.references = references;
    this.threads = threads;
    this.now = now;
    this.demoSounds = demo;
    this.uploads = new SoundUploads(library.soundFiles, now);
    this.listening = new SoundListening(
      library,
      threads,
      (id, event) => this.emit(id, event),
      (id) => this.view(id),
    );
    this.findings = new SoundFindings(library, this.listening, references, threads);
  }

  list({ removed = false } = {}): SoundSummary[] {
    return this.library.sounds
      .list({ removed })
      .map((sound) =>
        summaryOf(sound, this.listening.progress(sound.id) ? 'analysing' : sound.state),
      );
  }

  beginUpload(file: string, bytes: number): SoundUpload {
    return this.uploads.begin(file, bytes);
  }

  upload(id: string): SoundUpload {
    return this.uploads.get(id);
  }

  addPiece(id: string, offset: number, bytes: Uint8Array): SoundUpload {
    return this.uploads.add(id, offset, bytes);
  }

  dropUpload(id: string): void {
    this.uploads.drop(id);
  }

  async create({ kind, upload, title, date, setup, options = {} }: NewSound): Promise<string> {
    const whole = checkedSoundOptions(kind, {}, options);
    const { file } = await this.uploads.seal(upload);
    let began: number | null;
    try {
      const { format } = await openSound(this.library.soundFiles.reader(upload), file);
      began = format.startEpochS ?? null;
    } catch (error) {
      this.library.soundFiles.drop(upload);
      throw error;
    }
    const ownDate = began === null ? this.now() : new Date(1000 * began).toISOString();
    const id = this.library.sounds.create({
      kind,
      title: title ?? (file.replace(/\.[^.]*$/, '') || file),
      date: date ?? ownDate.slice(0, 10),
      setup: setup ?? '',
      options: whole,
      fileId: upload,
      rideId: await this.refer(kind, {}, whole),
    });
    this.listening.ask(this.sound(id));
    return id;
  }

  async view(id: string): Promise<SoundView> {
    const sound = this.sound(id);
    const heard = this.listening.ask(sound);
    const analysed = heard && 'analysed' in heard ? heard.analysed : null;
    const { file, sha256 } = sound;
    const made = analysed && (await this.findings.of(sound, { file, sha256, analysed }));
    const { kind } = sound;
    const progress = this.listening.progress(id);
    // Read again: the headline may just have been made.
    const now = this.sound(id);
    return {
      ...summaryOf(now, stateOf(now, heard, progress !== null)),
      options: wholeSoundOptions(kind, sound.options),
      format: analysed?.format ?? null,
      levels: analysed?.levels ?? null,
      ...(kind === 'noise' ? { spectrum: analysed?.spectrum ?? null } : {}),
      finding: made?.finding ?? null,
      problems: made?.problems ?? (heard && 'problems' in heard ? heard.problems : []),
      progress,
    } as SoundView;
  }

  async update(id: string, change: SoundChange, { ifChangedAt }: WriteOptions = {}) {
    const sound = this.sound(id);
    if (ifChangedAt !== undefined && ifChangedAt !== sound.changedAt) {
      throw new LapbenchError({
        code: 'sound-changed',
        message: `The sound was changed at ${sound.changedAt}, after this copy was fetched.`,
        remedy: 'Fetch it again and repeat the change.',
      });
    }
    const options = checkedSoundOptions(sound.kind, sound.options, change.options ?? {});
    this.library.sounds.update(id, {
      title: change.title ?? sound.title,
      date: change.date ?? sound.date,
      setup: change.setup ?? sound.setup,
      options,
      rideId: await this.refer(sound.kind, sound.options, options),
    });
    this.emit(id, { name: 'changed', data: { changedAt: this.sound(id).changedAt } });
    return this.view(id);
  }

  remove(id: string): void {
    const sound = this.sound(id);
    this.library.sounds.remove(id);
    void this.listening.stop(sound);
  }

  restore(id: string): void {
    const sound = this.library.sounds.get(id);
    if (!sound) throw unknown(id);
    if (sound.removedAt !== null) this.library.sounds.restore(id);
  }

  async analyse(id: string): Promise<SoundView> {
    const sound = this.sound(id);
    if (this.listening.heard(sound) === null) this.listening.begin(sound);
    return this.view(id);
  }

  async stop(id: string): Promise<SoundView> {
    await this.listening.stop(this.sound(id));
    return this.view(id);
  }

  overview(id: string): SoundPicture {
    const heard = this.listening.ask(this.sound(id));
    if (heard && 'analysed' in heard) return heard.analysed.picture;
    throw new LapbenchError(
      heard
        ? heard.problems
        : {
            code: 'analysis-stopped',
            message: 'There is no picture of this sound before it was analysed.',
            remedy: 'Wait for its analysis, or begin it.',
          },
    );
  }

  async detail(id: string, fromS: number, toS: number): Promise<SoundPicture> {
    const { channel, source, file } = this.cutting(id, fromS, toS);
    const job = { kind: 'detail', channel, fromS, toS } as const;
    return (await this.threads.run(job, source, file)).picture;
  }

  async piece(id: string, fromS: number, toS: number): Promise<Uint8Array> {
    const { channel, source, file } = this.cutting(id, fromS, toS);
    const job = { kind: 'piece', channel, fromS, toS } as const;
    return (await this.threads.run(job, source, file)).wav;
  }

  async hear(bytes: Uint8Array): Promise<Hearing> {
    const source = bytesInMemory(bytes);
    const heard = await analysePlucks(this.threads, source, 'the plucks', { quick: true });
    const { format, levels, plucks, warnings } = heard;
    return { format, levels, plucks: plucks ?? [], warnings };
  }

  settled(id: string): Promise<void> {
    return this.listening.settled(id);
  }

  demo(): Promise<void> {
    const all = [...this.library.sounds.list(), ...this.library.sounds.list({ removed: true })];
    // Removed ones count: who took the demo out does not want it back.
    if (all.some(({ title }) => this.demoSounds.has(title))) return Promise.resolve();
    this.demoUnderWay ??= this.demoSounds.make(this).finally(() => (this.demoUnderWay = null));
    return this.demoUnderWay;
  }

  listen(id: string, listener: (event: SoundEvent) => void): () => void {
    const own = this.listeners.get(id) ?? new Set();
    this.listeners.set(id, own.add(listener));
    return () => {
      own.delete(listener);
      if (own.size === 0) this.listeners.delete(id);
    };
  }

  async close(): Promise<void> {
    await this.demoUnderWay?.catch(() => undefined);
    await this.listening.close();
    await this.threads.close();
  }

  private cutting(id: string, fromS: number, toS: number) {
    const sound = this.sound(id);
    const fits = fromS >= 0 && toS > fromS && toS - fromS <= longestPieceS;
    if (!fits) {
      throw new LapbenchError({
        code: 'usage',
        message: `There is no piece from ${fromS} to ${toS} s.`,
        remedy: `Ask from the earlier to the later second, ${longestPieceS} s at most.`,
      });
    }
    const { channel } = wholeSoundOptions(sound.kind, sound.options);
    return { channel, source: this.library.soundFiles.reader(sound.fileId), file: sound.file };
  }

  private sound(id: string): SoundRecord {
    const sound = this.library.sounds.get(id);
    if (!sound) throw unknown(id);
    if (sound.removedAt === null) return sound;
    throw new LapbenchError({
      code: 'sound-removed',
      message: `The sound ${JSON.stringify(id.slice(0, 60))} is removed.`,
      remedy: 'Restore it first.',
    });
  }

  /** Refuses what is newly referred to and is not there. Answers the file of a ride that came in as an upload. */
  private async refer(
    kind: SoundRecord['kind'],
    before: unknown,
    after: unknown,
  ): Promise<string | null> {
    const was = wholeSoundOptions(kind, before);
    const now = wholeSoundOptions(kind, after);
    const { wheel } = now;
    if (wheel !== null && wheel !== was.wheel && !this.references.wheel(wheel))
      throw notThere('wheel', 'wheel sheet');
    if (kind !== 'noise') return null;
    const [old, { tensions, ride, plucks }] = [was as NoiseOptions, now as NoiseOptions];
    if (
      tensions !== null &&
      tensions !== old.tensions &&
      !(await this.references.tensions(tensions))
    )
      throw notThere('tensions', 'table of tensions that gives tensions');
    for (const id of plucks.filter((one) => !old.plucks.includes(one))) {
      const sound = this.library.sounds.get(id);
      if (sound?.kind !== 'plucks' || sound.removedAt !== null)
        throw notThere('plucks', 'recording of plucks');
    }
    if (ride === null) return null;
    if (JSON.stringify(ride) !== JSON.stringify(old.ride)) {
      if ('upload' in ride) await this.uploads.seal(ride.upload);
      const found = this.references.ride(ride);
      if (!found) throw notThere('ride', 'ride recording');
      await found.read();
    }
    return 'upload' in ride ? ride.upload : null;
  }

  private emit(id: string, event: SoundEvent): void {
    for (const listener of this.listeners.get(id) ?? []) listener(event);
    // What a howl refers to has changed with it.
    if (event.name !== 'progress') this.emitToThoseWith(id);
  }

  private emitToThoseWith(plucks: string): void {
    for (const [id, listeners] of this.listeners) {
      const sound = this.library.sounds.get(id);
      if (sound?.kind !== 'noise') continue;
      if (!wholeSoundOptions('noise', sound.options).plucks.includes(plucks)) continue;
      for (const listener of listeners) listener({ name: 'ready', data: { state: 'ready' } });
    }
  }
}

function summaryOf(sound: SoundRecord, state: SoundState): SoundSummary {
  const { id, kind, title, date, setup, file, bytes, sha256, changedAt, durationS } = sound;
  const headline = sound.headline || (state === 'ready' ? 'Listened to.' : 'Not listened to yet.');
  return {
    ...{ id, kind, title, date, setup, file, bytes, sha256, changedAt },
    state,
    durationS,
    headline,
  };
}

function unknown(id: string): LapbenchError {
  return new LapbenchError({
    code: 'sound-unknown',
    message: `The library holds no sound ${JSON.stringify(id.slice(0, 60))}.`,
    remedy: 'Look at the list of sounds.',
  });
}
