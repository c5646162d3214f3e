/** Findings of stored sounds: made from the analysis and all that the sound refers to, and made again when any of it changed. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { Library, SoundRecord } from '../library/index.ts';
import type { BrakeNoiseFinding, NoiseOptions, PluckFinding, PluckOptions } from './contract.ts';
import { noiseHeadline, plucksHeadline } from './describe-noise.ts';
import { sha256 } from './edges.ts';
import { leverTorqueNm, type NamedSound, type PluckRecording } from './reduce-noise.ts';
import { keyOf, type SoundListening } from './sound-listening.ts';
import { wholeSoundOptions } from './sound-options.ts';
import { referenceGone, type SoundReferences } from './sound-references.ts';
import type { SoundThreads } from './sound-threads.ts';

/** Goes up with the methods: findings of another version are made again. */
const findingVersion = 'brake-noise 1';

export interface MadeFinding {
  finding: BrakeNoiseFinding | PluckFinding | null;
  /** Why there is none, or what is missing beside it. */
  problems: Problem[];
  headline: string;
}

export class SoundFindings {
  private readonly library: Library;
  private readonly listening: SoundListening;
  private readonly references: SoundReferences;
  private readonly threads: SoundThreads;
  private readonly making = new Map<string, Promise<MadeFinding>>();

  constructor(
    library: Library,
    listening: SoundListening,
    references: SoundReferences,
    threads: SoundThreads,
  ) {
    this.threads = threads;
    this.library = library;
    this.listening = listening;
    this.references = references;
  }

  /** The finding of a sound whose analysis is there; stored when it was made anew. */
  async of(sound: SoundRecord, named: NamedSound): Promise<MadeFinding> {
    const parts =
      sound.kind === 'noise' ? await this.noise(sound, named) : this.plucks(sound, named);
    const key = sha256(
      JSON.stringify([findingVersion, sound.id, keyOf(sound), sound.options, parts.mark]),
    );
    const known = this.library.sounds.made(sound.id, 'finding');
    if (known?.key === key) return known.data as MadeFinding;
    // Asked for by two windows it is made once.
    const making = this.making.get(key) ?? this.make(sound.id, key, parts.make);
    this.making.set(key, making);
    return making.finally(() => this.making.delete(key));
  }

  private async make(
    id: string,
    key: string,
    make: () => Promise<MadeFinding>,
  ): Promise<MadeFinding> {
    const made = await make();
    const standing = { state: 'ready', headline: made.headline } as const;
    this.library.sounds.putMade(id, 'finding', { key, data: made }, standing);
    return made;
  }

  private async noise(sound: SoundRecord, named: NamedSound) {
    const options = wholeSoundOptions('noise', sound.options);
    const problems: Problem[] = [];
    const found = <T>(field: keyof NoiseOptions, what: string, value: T | null): T | null => {
      if (value === null) problems.push(referenceGone(field, what));
      return value;
    };
    const wheel =
      options.wheel && found('wheel', 'wheel sheet', this.references.wheel(options.wheel));
    const tensions =
      options.tensions &&
      found('tensions', 'table of tensions', await this.references.tensions(options.tensions));
    const ride =
      options.ride && found('ride', 'ride recording', this.references.ride(options.ride));
    const plucks = options.plucks.flatMap((id) => this.pluckRecording(id, problems));
    const mark = [
      wheel,
      tensions && tensions.sha256,
      ride && ride.sha256,
      plucks.map(({ analysed, ...rest }) => ({ ...rest, heard: analysed.plucks?.length })),
      problems,
    ];
    const make = async (): Promise<MadeFinding> => {
      try {
        const recording = ride && (await ride.read());
        const finding = await this.threads.conclude({
          sound: named,
          plucks,
          wheel: wheel || null,
          tensionsN: tensions ? tensions.tensionsN : null,
          ride: recording && ride ? { recording, sha256: ride.sha256 } : null,
          place: {
            startS: options.startS,
            zoneMinutes: options.zoneMinutes,
            circumferenceM: options.circumferenceM,
          },
          brakeTorqueNm: options.brakeTorqueNm,
          rotorSlots: options.rotorSlots,
          treadBlocks: options.treadBlocks,
        });
        return { finding, problems, headline: noiseHeadline(finding) };
      } catch (error) {
        return refused(error, problems);
      }
    };
    return { mark, make };
  }

  private plucks(sound: SoundRecord, named: NamedSound) {
    const options = wholeSoundOptions('plucks', sound.options);
    const problems: Problem[] = [];
    const wheel = options.wheel === null ? null : this.references.wheel(options.wheel);
    if (options.wheel !== null && wheel === null)
      problems.push(referenceGone('wheel', 'wheel sheet'));
    const make = async (): Promise<MadeFinding> => {
      try {
        const finding = await this.threads.concludePlucks(recordingOf(named, options), wheel);
        const headline = plucksHeadline(finding.heard, finding.brakeTorqueNm);
        return { finding, problems, headline };
      } catch (error) {
        return refused(error, problems);
      }
    };
    return { mark: [wheel, problems], make };
  }

  /** A pluck recording that a noise refers to; none while it is not analysed, and that is said. */
  private pluckRecording(id: string, problems: Problem[]): PluckRecording[] {
    const sound = this.library.sounds.get(id);
    if (!sound || sound.kind !== 'plucks' || sound.removedAt !== null) {
      problems.push(referenceGone('plucks', 'recording of plucks'));
      return [];
    }
    const heard = this.listening.ask(sound);
    if (heard && 'analysed' in heard) {
      const { title: file, sha256: hash } = sound;
      const options = wholeSoundOptions('plucks', sound.options);
      return [recordingOf({ file, sha256: hash, analysed: heard.analysed }, options)];
    }
    problems.push({
      code: 'plucks-unusable',
      file: sound.title,
      message: heard
        ? 'This recording of plucks could not be read, so it is left out.'
        : 'This recording of plucks has not been listened to yet, so it is left out.',
      remedy: heard ? 'Look at it for the reason.' : 'Wait for it, or begin its analysis.',
    });
    return [];
  }
}

function recordingOf(named: NamedSound, options: PluckOptions): PluckRecording {
  const { lever, spokes, leaveOut } = options;
  const brakeTorqueNm = lever === null ? options.brakeTorqueNm : leverTorqueNm(lever);
  return { ...named, brakeTorqueNm, spokes, leaveOut };
}

function refused(error: unknown, problems: readonly Problem[]): MadeFinding {
  // Stopped, as when the library is closed, says nothing about the sound.
  if (!(error instanceof LapbenchError) || error.problems[0].code === 'analysis-stopped')
    throw error;
  const all = [...error.problems, ...problems];
  return { finding: null, problems: all, headline: all[0].message };
}
