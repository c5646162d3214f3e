/** Plain samples in MOV and MP4, as cameras write them. */
import { pcmBlocks } from './chunked-pcm.ts';
import type { SoundTrack } from './mp4-boxes.ts';
import { chunkOf, type SampleTable } from './mp4-table.ts';
import { isPcm, type PcmLayout } from './pcm.ts';
import type { SoundBytes } from './source.ts';
import { requireLayout, samplesOf, type Sound } from './sound.ts';
import { warningsOf } from './warnings.ts';

/** Opens a track of plain samples, or null where it is something else. */
export function openMp4Pcm(
  source: SoundBytes,
  file: string,
  track: SoundTrack,
  table: SampleTable,
): Sound | null {
  const written = writtenAs(track);
  if (written === null || !isPcm(written)) return null;
  requireLayout(track.sampleRateHz, track.channels, file);
  const { warnings, warn } = warningsOf(file);
  const { sampleRateHz, channels } = track;
  async function* blocks({
    from,
    to,
  }: {
    from: number;
    to: number;
  }): AsyncGenerator<Float32Array[]> {
    for (let at = from; at < to;) {
      const chunk = chunkOf(table, at);
      const first = table.chunkFirst[chunk];
      const end = Math.min(to, table.chunkFirst[chunk + 1]);
      if (end <= at) return;
      const part = { from: at - first, to: end - first };
      yield* pcmBlocks(source, table.chunkOffset[chunk], written as PcmLayout, part, warn);
      at = end;
    }
  }
  return {
    format: {
      sampleRateHz,
      channels,
      lengthSamples: table.count,
      encoding: `MOV, ${written.bytesPerSample * 8}-bit ${written.kind === 'float' ? 'float' : 'PCM'}`,
    },
    warnings,
    blocks: (part = {}) => blocks(samplesOf(part, sampleRateHz, table.count)),
  };
}

/** Names of QuickTime's plain encodings (QuickTime File Format, sound sample descriptions; ISO/IEC 23003-5). */
function writtenAs({ codec, channels, bits, flags, boxes }: SoundTrack): PcmLayout | null {
  const littleMark = boxes.get('enda');
  const bigEndian = !(littleMark && littleMark[1] === 1);
  const layout = (kind: PcmLayout['kind'], bytes: number, big: boolean): PcmLayout => ({
    kind,
    bytesPerSample: bytes,
    channels,
    bytesPerFrame: bytes * channels,
    bigEndian: big,
  });
  const bytes = Math.ceil(bits / 8);
  switch (codec) {
    case 'sowt':
      return layout('integer', bytes || 2, false);
    case 'twos':
      return layout('integer', bytes || 2, true);
    case 'in24':
      return layout('integer', 3, bigEndian);
    case 'in32':
      return layout('integer', 4, bigEndian);
    case 'fl32':
      return layout('float', 4, bigEndian);
    case 'fl64':
      return layout('float', 8, bigEndian);
    case 'raw ':
      return layout('unsigned', 1, false);
    case 'alaw':
      return layout('a-law', 1, false);
    case 'ulaw':
      return layout('mu-law', 1, false);
    case 'lpcm':
      return layout(flags & 1 ? 'float' : 'integer', bytes, (flags & 2) !== 0);
    case 'ipcm':
    case 'fpcm': {
      const settings = boxes.get('pcmC');
      if (!settings || settings.length < 6) return null;
      const big = (settings[4] & 1) === 0;
      return layout(codec === 'fpcm' ? 'float' : 'integer', settings[5] / 8, big);
    }
    default:
      return null;
  }
}
