/** Work on one sound, the same in any thread: reads it in pieces, keeps only what comes out. */
import type { PluckSound, SoundFormat } from '../core/evidence/index.ts';
import {
  findPlucks,
  soundAnalyser,
  type AnalysisPart,
  type SoundPart,
} from '../core/signal/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { mixToMono, openSound, writeWav, type Sound, type SoundBytes } from '../sound/index.ts';
import { clippingMeter, type Clipping } from './channel-clipping.ts';
import type { NamedText } from './bench-text.ts';
import type {
  BrakeNoiseFinding,
  PluckFinding,
  SoundChannel,
  SoundPicture,
} from './contract-sounds.ts';
import type { DemoNoise } from './demo-noise.ts';
import type { NoiseQuestions, PluckRecording } from './reduce-noise.ts';
import { pictureOf } from './sound-picture.ts';

/** Longest recording of plucks, and longest cutting to look at or to play: held in memory whole. */
export const longestPlucksS = 900;
export const longestPieceS = 60;

export type SoundJob =
  | ({ channel: SoundChannel } & ListeningJob)
  /** Need no sound: make the finding of sounds that were listened to, and the sounds of the demo. */
  | { kind: 'conclude'; questions: NoiseQuestions }
  | { kind: 'conclude-plucks'; recording: PluckRecording; wheel: NamedText | null }
  | { kind: 'demo' };

type ListeningJob =
  | { kind: 'part'; part: SoundPart | null }
  | { kind: 'plucks' }
  | { kind: 'detail'; fromS: number; toS: number }
  | { kind: 'piece'; fromS: number; toS: number };

/** Of a whole sound or of one part of it. */
export interface PartAnswer {
  kind: 'part';
  part: AnalysisPart;
  /** Of each channel, where several were mixed; else null. */
  clipping: Clipping[] | null;
  format: SoundFormat;
  warnings: Problem[];
}

export type SoundAnswer =
  | PartAnswer
  | { kind: 'plucks'; plucks: PluckSound[]; whole: PartAnswer }
  | { kind: 'detail'; picture: SoundPicture }
  | { kind: 'piece'; wav: Uint8Array }
  | { kind: 'conclude'; finding: BrakeNoiseFinding }
  | { kind: 'conclude-plucks'; finding: PluckFinding }
  | { kind: 'demo'; demo: DemoNoise };

/** Seconds of sound done so far. */
export type OnSeconds = (seconds: number) => void;

/** Does one job. Throws `LapbenchError` where the sound cannot be read or the job does not fit it. */
export async function doSoundJob(
  job: SoundJob,
  source: SoundBytes,
  file: string,
  onSeconds: OnSeconds = () => {},
): Promise<SoundAnswer> {
  if (job.kind === 'demo')
    return { kind: 'demo', demo: (await import('./demo-noise.ts')).demoNoise() };
  if (job.kind === 'conclude' || job.kind === 'conclude-plucks') {
    const { reduceNoise, reducePlucks } = await import('./reduce-noise.ts');
    return job.kind === 'conclude'
      ? { kind: job.kind, finding: reduceNoise(job.questions) }
      : { kind: job.kind, finding: reducePlucks(job.recording, job.wheel) };
  }
  const sound = await openSound(source, file);
  requireChannel(job.channel, sound, file);
  if (job.kind === 'part') return analysePart(sound, job.channel, job.part, onSeconds);
  if (job.kind === 'plucks') return hearPlucks(sound, job.channel, file, onSeconds);
  const samples = await cutting(sound, job.channel, job.fromS, job.toS, file);
  const { sampleRateHz } = sound.format;
  return job.kind === 'piece'
    ? { kind: 'piece', wav: writeWav([samples], Math.round(sampleRateHz)) }
    : { kind: 'detail', picture: pictureOf(samples, sampleRateHz, job.fromS) };
}

/** Throws unless the sound has that channel. */
export function requireChannel(channel: SoundChannel, sound: Sound, file: string): void {
  const { channels } = sound.format;
  if (channel === 'mix' || (Number.isInteger(channel) && channel >= 1 && channel <= channels))
    return;
  throw new LapbenchError({
    code: 'usage',
    file,
    message: `There is no channel ${channel}: the sound has ${channels === 1 ? 'one channel' : `${channels} channels`}.`,
    remedy: channels === 1 ? 'Leave the channel out.' : `Give 1 to ${channels}, or mix.`,
  });
}

const monoOf = (block: Float32Array[], channel: SoundChannel): Float32Array =>
  channel === 'mix' ? mixToMono(block).samples : block[channel - 1];

async function analysePart(
  sound: Sound,
  channel: SoundChannel,
  part: SoundPart | null,
  onSeconds: OnSeconds,
  keep?: (mono: Float32Array) => void,
): Promise<PartAnswer> {
  const { sampleRateHz, channels } = sound.format;
  const analyser = soundAnalyser(sampleRateHz, part === null ? {} : { part });
  const clipping = channel === 'mix' && channels > 1 ? clippingMeter(sampleRateHz, channels) : null;
  const from = part?.readFromSample ?? 0;
  const to = part?.readToSample ?? Infinity;
  let at = from;
  const passing = keep === undefined;
  const wanted =
    part === null
      ? sound.blocks({ passing })
      : sound.blocks({ fromS: from / sampleRateHz, toS: to / sampleRateHz, passing });
  for await (const block of wanted) {
    const mono = monoOf(block, channel);
    clipping?.push(block, at, part?.countFromSample ?? 0, part?.countToSample ?? Infinity);
    analyser.push(mono);
    keep?.(mono);
    at += mono.length;
    onSeconds((at - from) / sampleRateHz);
  }
  return {
    kind: 'part',
    part: analyser.finishPart(),
    clipping: clipping?.channels ?? null,
    format: sound.format,
    warnings: sound.warnings,
  };
}

async function hearPlucks(
  sound: Sound,
  channel: SoundChannel,
  file: string,
  onSeconds: OnSeconds,
): Promise<SoundAnswer> {
  const { sampleRateHz } = sound.format;
  const most = longestPlucksS * sampleRateHz;
  const blocks: Float32Array[] = [];
  let length = 0;
  const whole = await analysePart(sound, channel, null, onSeconds, (mono) => {
    length += mono.length;
    if (length > most) {
      throw new LapbenchError({
        code: 'sound-limits',
        file,
        message: `A recording of plucks may last ${longestPlucksS / 60} minutes; this one is longer.`,
        remedy: 'Cut it to the plucks, or record them in several files.',
      });
    }
    blocks.push(mono);
  });
  return { kind: 'plucks', plucks: findPlucks(joined(blocks, length), sampleRateHz), whole };
}

async function cutting(
  sound: Sound,
  channel: SoundChannel,
  fromS: number,
  toS: number,
  file: string,
): Promise<Float32Array> {
  const { sampleRateHz, lengthSamples } = sound.format;
  const blocks: Float32Array[] = [];
  let length = 0;
  for await (const block of sound.blocks({ fromS, toS })) {
    const mono = monoOf(block, channel);
    blocks.push(mono);
    length += mono.length;
  }
  if (length > 0) return joined(blocks, length);
  const whole =
    lengthSamples === null ? '' : ` It lasts ${(lengthSamples / sampleRateHz).toFixed(1)} s.`;
  throw new LapbenchError({
    code: 'usage',
    file,
    message: `There is no sound from ${fromS} to ${toS} s.${whole}`,
    remedy: 'Ask for a piece inside it.',
  });
}

function joined(blocks: Float32Array[], length: number): Float32Array {
  const samples = new Float32Array(length);
  let at = 0;
  for (const block of blocks) {
    samples.set(block, at);
    at += block.length;
  }
  return samples;
}
