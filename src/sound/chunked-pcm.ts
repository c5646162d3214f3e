/** Blocks of plain samples that lie in one piece in a file: any part is read from its own place. */
import type { Problem } from '../core/units/index.ts';
import { decodePcm, type PcmLayout } from './pcm.ts';
import type { SoundBytes } from './source.ts';
import { blockSamples } from './sound.ts';

/** One read asks for no more than this. */
const mostBytes = 4_194_304;

/**
 * Frames `from` up to `to` of the samples that begin at byte `dataOffset`. A file that ends before its time ends
 * the blocks, with a warning.
 */
export async function* pcmBlocks(
  source: SoundBytes,
  dataOffset: number,
  layout: PcmLayout,
  { from, to, passing = false }: { from: number; to: number; passing?: boolean },
  warn: (problem: Omit<Problem, 'file'>) => void,
): AsyncGenerator<Float32Array[]> {
  const most = Math.max(1, Math.min(blockSamples, Math.floor(mostBytes / layout.bytesPerFrame)));
  const longest = Math.max(0, Math.min(most, to - from));
  const room = new Uint8Array(longest * layout.bytesPerFrame);
  const kept = passing
    ? Array.from({ length: layout.channels }, () => new Float32Array(longest))
    : undefined;
  for (let at = from; at < to;) {
    const frames = Math.min(most, to - at);
    const offset = dataOffset + at * layout.bytesPerFrame;
    const bytes = await source.read(offset, frames * layout.bytesPerFrame, room);
    const { channels, notNumbers } = decodePcm(bytes, layout, kept);
    if (notNumbers > 0) {
      warn({
        code: 'value-invalid',
        place: { byte: offset },
        message: `Some samples are no numbers (${notNumbers} here); they were taken as silence.`,
        remedy: 'If there are many, the file is damaged there.',
      });
    }
    const got = channels[0].length;
    if (got > 0) yield channels;
    if (got < frames) {
      warn({
        code: 'format-truncated',
        place: { byte: offset + bytes.length },
        message: 'The file became shorter while it was read.',
        remedy: 'Wait until the recorder or the copying is done, then read it again.',
      });
      return;
    }
    at += got;
  }
}
