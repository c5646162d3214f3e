/** A whole sound analysed beside this thread: cut in two where it can be begun in the middle, and joined again. */
import os from 'node:os';
import type { PluckSound, SoundFormat } from '../core/evidence/index.ts';
import { mergeAnalyses, splitSound, type SoundAnalysis } from '../core/signal/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { openSound, type SoundBytes } from '../sound/index.ts';
import { worstClipping } from './channel-clipping.ts';
import type { AnalysedSound } from './analysed-sound.ts';
import type { SoundChannel, SoundPicture } from './contract-sounds.ts';
import { fileBytes } from './sound-file.ts';
import { requireChannel, type PartAnswer } from './sound-jobs.ts';
import type { SoundSource, SoundThreads } from './sound-threads.ts';

export interface AnalyseOptions {
  channel?: SoundChannel;
  signal?: AbortSignal;
  /** A person waits for it: not behind long analyses. */
  quick?: boolean;
  onProgress?: (progress: { stage: string; fraction: number }) => void;
}

const mostParts = 2;

/**
 * Analyses a sound, also one of hours, in little memory.
 * @throws LapbenchError when it cannot be read, or `analysis-stopped`
 */
export async function analyseSound(
  threads: SoundThreads,
  source: SoundSource,
  file: string,
  options: AnalyseOptions = {},
): Promise<AnalysedSound> {
  const { channel = 'mix', signal, onProgress = () => {} } = options;
  const { format, warnings } = await opened(source, file, channel);
  const parts = partsOf(format);
  const wholeS = format.lengthSamples === null ? null : format.lengthSamples / format.sampleRateHz;
  const seconds = parts.map(() => 0);
  const say = (part: number) => (done: number) => {
    seconds[part] = done;
    const sum = seconds.reduce((a, b) => a + b, 0);
    // Without a length there is only a guess, which must not reach the end by itself.
    const fraction = wholeS === null ? 1 - Math.exp(-sum / 1200) : Math.min(1, sum / wholeS);
    onProgress({ stage: `Listening to ${file}`, fraction });
  };
  // One part that fails stops the others.
  const rest = new AbortController();
  const both = signal ? AbortSignal.any([signal, rest.signal]) : rest.signal;
  const answers = await Promise.all(
    parts.map((part, i) =>
      threads
        .run({ kind: 'part', part, channel }, source, file, { signal: both, onSeconds: say(i) })
        .catch((error: unknown) => {
          rest.abort();
          throw error;
        }),
    ),
  );
  return joined(answers, null, channel, warnings);
}

/** As `analyseSound`, for a recording of plucks (some minutes at most): also finds each pluck. */
export async function analysePlucks(
  threads: SoundThreads,
  source: SoundSource,
  file: string,
  options: AnalyseOptions = {},
): Promise<AnalysedSound> {
  const { channel = 'mix', signal, quick, onProgress = () => {} } = options;
  const { format, warnings } = await opened(source, file, channel);
  const wholeS = (format.lengthSamples ?? 0) / format.sampleRateHz;
  const { plucks, whole } = await threads.run({ kind: 'plucks', channel }, source, file, {
    signal,
    quick,
    onSeconds: (done) =>
      onProgress({
        stage: `Listening to ${file}`,
        fraction: wholeS > 0 ? Math.min(1, done / wholeS) : 0.5,
      }),
  });
  return joined([whole], plucks, channel, warnings);
}

/** Format, and what is wrong with the file's beginning; also refuses it, before a thread is started. */
async function opened(
  source: SoundSource,
  file: string,
  channel: SoundChannel,
): Promise<{ format: SoundFormat; warnings: Problem[] }> {
  const opened = 'path' in source ? fileBytes(source) : null;
  try {
    const sound = await openSound(opened ?? (source as SoundBytes), file);
    requireChannel(channel, sound, file);
    if (sound.format.lengthSamples === 0) {
      throw new LapbenchError({
        code: 'format-damaged',
        file,
        message: 'The file holds no sound, only a header.',
        remedy: 'Copy it again from the recorder, or record again.',
      });
    }
    return sound;
  } finally {
    await opened?.close();
  }
}

function partsOf({ lengthSamples, sampleRateHz, encoding }: SoundFormat) {
  // The others are decoded from their start: a second thread would decode the first half for nothing.
  const fromAnywhere = /^(WAV|MOV|FLAC,)|in MP4$/.test(encoding);
  if (lengthSamples === null || !fromAnywhere) return [null];
  const many = Math.min(mostParts, os.availableParallelism());
  const parts = splitSound(lengthSamples, sampleRateHz, many);
  return parts.length === 1 ? [null] : parts;
}

function joined(
  answers: readonly PartAnswer[],
  plucks: PluckSound[] | null,
  channel: SoundChannel,
  warnings: readonly Problem[],
): AnalysedSound {
  const analysis = mergeAnalyses(answers.map(({ part }) => part));
  const { format } = answers[0];
  const mixed = worstClipping(answers.map(({ clipping }) => clipping ?? []));
  const levels = { ...analysis.levels };
  if (mixed) Object.assign(levels, { clippedShare: mixed.share, clippedAtS: mixed.atS });
  const told = [...warnings, ...answers.flatMap((answer) => answer.warnings)];
  return {
    format,
    channelUsed:
      channel !== 'mix'
        ? `channel ${channel} of ${format.channels}`
        : format.channels === 1
          ? 'the only one'
          : `mean of ${format.channels}`,
    levels,
    tracks: analysis.tracks,
    spectrum: thinned(analysis.spectrum),
    plucks,
    picture: pictureOf(analysis),
    warnings: told.filter(
      (one, i) => told.findIndex((other) => JSON.stringify(other) === JSON.stringify(one)) === i,
    ),
  };
}

const mostPoints = 2000;

/** The strongest bin of each stretch, so that no tone is lost. */
function thinned({ hz, psd }: SoundAnalysis['spectrum']): AnalysedSound['spectrum'] {
  const step = Math.ceil(hz.length / mostPoints);
  const points: AnalysedSound['spectrum'] = { hz: [], psdDb: [] };
  for (let i = 0; i < hz.length; i += step) {
    let most = i;
    for (let k = i; k < Math.min(hz.length, i + step); k++) if (psd[k] > psd[most]) most = k;
    points.hz.push(round(hz[most], 2));
    points.psdDb.push(round(psd[most] > 1e-20 ? 10 * Math.log10(psd[most]) : -200, 2));
  }
  return points;
}

function pictureOf({ overview }: SoundAnalysis): SoundPicture {
  const { timeS, columnS, edgesHz, levelDb } = overview;
  return {
    fromS: Math.max(0, (timeS[0] ?? 0) - columnS / 2),
    columnS,
    columns: timeS.length,
    rows: edgesHz.length - 1,
    edgesHz: Array.from(edgesHz, (hz) => round(hz, 3)),
    levels: Buffer.from(levelDb).toString('base64'),
  };
}

function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
