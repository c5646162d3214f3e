/** The noise of a brake from files on disk: what one command does, from the sounds to the finding. */
import { LapbenchError } from '../core/units/index.ts';
import { readRecording } from '../recordings/index.ts';
import type { RidePlace } from './align-ride.ts';
import { readBenchFile } from './bench-text.ts';
import type { BrakeNoiseFinding, SoundChannel } from './contract-sounds.ts';
import { readFileBounded, sha256 } from './edges.ts';
import { reduceNoise, type NamedSound, type PluckRecording } from './reduce-noise.ts';
import { analysePlucks, analyseSound } from './sound-analysis.ts';
import { sha256OfFile, soundFile } from './sound-file.ts';
import { SoundThreads } from './sound-threads.ts';

/** A file: where it is, and how the person knows it. */
export interface NamedFile {
  location: string;
  name: string;
}

export interface NoiseFiles {
  sound: NamedFile;
  plucks: (NamedFile & { brakeTorqueNm: number })[];
  /** In the order plucked, in each of the recordings; null: from 1 round the wheel. */
  spokes: number[] | null;
  wheel: NamedFile | null;
  tensions: NamedFile | null;
  ride: NamedFile | null;
  place: RidePlace;
  brakeTorqueNm: number | null;
  rotorSlots: number | null;
  treadBlocks: number | null;
  channel: SoundChannel;
}

/**
 * Analyses the sounds in threads and reduces them; nothing is stored.
 *
 * @throws LapbenchError when a file is missing or cannot be read, when the sound is silent, or the rest does not fit
 */
export async function noiseOfFiles(
  files: NoiseFiles,
  onProgress: (progress: { stage: string; fraction: number }) => void = () => {},
): Promise<BrakeNoiseFinding> {
  // Small files first: who mistyped a name should not wait for an hour of sound.
  const text = (one: NamedFile | null) => one && readBenchFile(one.location, one.name);
  const wheel = text(files.wheel);
  const tensions = text(files.tensions);
  const ride = files.ride && rideOf(files.ride);
  const sources = [files.sound, ...files.plucks].map(({ location, name }) =>
    soundFile(location, name),
  );
  const threads = new SoundThreads();
  try {
    const { channel } = files;
    const plucks: PluckRecording[] = [];
    for (const [i, { name, brakeTorqueNm }] of files.plucks.entries()) {
      const source = sources[i + 1];
      const analysed = await analysePlucks(threads, source, name, { channel, onProgress });
      const hash = await sha256OfFile(source);
      plucks.push({ file: name, sha256: hash, analysed, brakeTorqueNm, spokes: files.spokes });
    }
    const { name } = files.sound;
    const [analysed, hash] = await Promise.all([
      analyseSound(threads, sources[0], name, { channel, onProgress }),
      sha256OfFile(sources[0]),
    ]);
    // Before the wheel is computed: what the threads held is then free.
    await threads.close();
    const sound: NamedSound = { file: name, sha256: hash, analysed };
    const { place, brakeTorqueNm, rotorSlots, treadBlocks } = files;
    return refuseSilence(
      reduceNoise({
        ...{ sound, plucks, wheel, tensions, ride },
        ...{ place, brakeTorqueNm, rotorSlots, treadBlocks },
      }),
    );
  } finally {
    await threads.close();
  }
}

function rideOf({ location, name }: NamedFile) {
  const bytes = readFileBounded(location, name);
  return { recording: readRecording(bytes, name), sha256: sha256(bytes) };
}

/** A silent file is a mistake of the recorder's, not a finding. */
function refuseSilence(finding: BrakeNoiseFinding): BrakeNoiseFinding {
  const silent = finding.warnings.filter(({ code }) => code === 'sound-silent');
  if (finding.tones.length > 0 || silent.length === 0) return finding;
  throw new LapbenchError(silent);
}
