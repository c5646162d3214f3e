/** WAV files: from the body of `fmt ` to samples. Any part is read from its own place in the file. */
import { LapbenchError } from '../core/units/index.ts';
import { pcmBlocks } from './chunked-pcm.ts';
import { isPcm, type PcmLayout } from './pcm.ts';
import { latin, viewOf, type SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { warningsOf } from './warnings.ts';
import { readWavChunks } from './wav-header.ts';

/** Format tags (mmreg.h of the Windows SDK). */
const tags = { pcm: 1, float: 3, aLaw: 6, muLaw: 7, extensible: 0xfffe };
const tagsNotRead = new Map([
  [0x0002, 'Microsoft ADPCM'],
  [0x0011, 'IMA ADPCM'],
  [0x0031, 'GSM 6.10'],
  [0x0050, 'MPEG layer I or II'],
  [0x0055, 'MP3'],
  [0x00ff, 'AAC'],
]);

/** The last 14 bytes of the subformat of WAVE_FORMAT_EXTENSIBLE, whose first two are a format tag. */
const subformatTail = '00000000001000800000aa00389b71'.slice(2);

/** Opens a WAV file (RIFF, RF64, BW64). Throws LapbenchError where there is no sound to be had from it. */
export async function openWav(source: SoundBytes, file: string): Promise<Sound> {
  const { warnings, warn } = warningsOf(file);
  const chunks = await readWavChunks(source, file, warn);
  const { layout, sampleRateHz, encoding } = readFormat(chunks.format, file);
  const lengthSamples = Math.floor(chunks.dataBytes / layout.bytesPerFrame);
  if (lengthSamples === 0) {
    throw new LapbenchError({
      code: 'recording-too-short',
      file,
      message: 'The WAV file has a header but no sound.',
      remedy: 'Record again and stop the recorder before it is switched off.',
    });
  }
  return {
    format: {
      sampleRateHz,
      channels: layout.channels,
      lengthSamples,
      encoding: `WAV, ${encoding}`,
      ...startOf(chunks.origination),
    },
    warnings,
    blocks: (part = {}) =>
      pcmBlocks(
        source,
        chunks.dataOffset,
        layout,
        { ...samplesOf(part, sampleRateHz, lengthSamples), passing: part.passing },
        warn,
      ),
  };
}

function readFormat(
  format: Uint8Array,
  file: string,
): { layout: PcmLayout; sampleRateHz: number; encoding: string } {
  const view = viewOf(format);
  let tag = view.getUint16(0, true);
  const channels = view.getUint16(2, true);
  const sampleRateHz = view.getUint32(4, true);
  const blockAlign = view.getUint16(12, true);
  const bits = format.length >= 16 ? view.getUint16(14, true) : 8;
  if (tag === tags.extensible && format.length >= 40 && hex(format, 26, 40) === subformatTail) {
    tag = view.getUint16(24, true);
  }
  requireLayout(sampleRateHz, channels, file);

  // The room that one sample takes is what the frame says; a damaged frame size gives way to the bits.
  const fromBits = Math.ceil(bits / 8);
  const fromFrame = blockAlign / channels;
  const bytesPerSample =
    Number.isInteger(fromFrame) && fromFrame >= fromBits && fromFrame <= 8 ? fromFrame : fromBits;
  const kind = kindOf(tag, bytesPerSample);
  const layout: PcmLayout | null = kind && {
    kind,
    bytesPerSample,
    channels,
    bytesPerFrame: bytesPerSample * channels,
    bigEndian: false,
  };
  if (layout === null || !isPcm(layout)) {
    const name = tagsNotRead.get(tag) ?? `format ${tag} with ${bits} bits`;
    throw new LapbenchError({
      code: 'sound-encoding',
      file,
      message: `The samples of this WAV file are written as ${name}, which is not read.`,
      remedy: 'Save it as WAV with 16 or 24 bits, or as FLAC, with a sound editor.',
    });
  }
  return { layout, sampleRateHz, encoding: words(layout, bits) };
}

function kindOf(tag: number, bytesPerSample: number): PcmLayout['kind'] | null {
  switch (tag) {
    case tags.pcm:
      return bytesPerSample === 1 ? 'unsigned' : 'integer';
    case tags.float:
      return 'float';
    case tags.aLaw:
      return 'a-law';
    case tags.muLaw:
      return 'mu-law';
    default:
      return null;
  }
}

function words({ kind, bytesPerSample }: PcmLayout, bits: number): string {
  if (kind === 'a-law') return 'A-law';
  if (kind === 'mu-law') return 'µ-law';
  const name = kind === 'float' ? 'float' : 'PCM';
  const room = bytesPerSample * 8;
  return bits === room || bits === 0 ? `${room}-bit ${name}` : `${bits}-bit ${name} in ${room}`;
}

const hex = (bytes: Uint8Array, from: number, to: number): string =>
  Array.from(bytes.subarray(from, to), (byte) => byte.toString(16).padStart(2, '0')).join('');

/** Of `2026-06-01` and `10:00:00`, whatever stands between their parts (EBU Tech 3285, 2.3). */
function startOf(origination: string | null): {
  startEpochS: number | null;
  startClock: 'local' | null;
  startNote: string | null;
} {
  const parts = /^(\d{4}).(\d\d).(\d\d)(\d\d).(\d\d).(\d\d)$/.exec(origination ?? '');
  const [year, month, day, hour, minute, second] = (parts ?? []).slice(1).map(Number);
  const ms = Date.UTC(year, month - 1, day, hour, minute, second);
  const sound = year >= 1990 && month >= 1 && month <= 12 && day >= 1 && day <= 31 && hour <= 24;
  if (!sound || Number.isNaN(ms)) return { startEpochS: null, startClock: null, startNote: null };
  return {
    startEpochS: ms / 1000,
    startClock: 'local',
    startNote:
      'from the bext chunk: the recorder’s clock to the second, as a time of day without a time zone',
  };
}

/** Whether a file begins as a WAV file does. */
export function isWav(head: Uint8Array): boolean {
  return ['RIFF', 'RF64', 'BW64'].includes(latin(head, 0, 4)) && latin(head, 8, 12) === 'WAVE';
}
