/** Finding the frame of a FLAC file that holds a moment, without decoding what lies before (RFC 9639, 9.1). */
import type { SoundBytes } from './source.ts';

export interface FlacFrame {
  /** Where its header stands, its first sample and how many there are. */
  byte: number;
  sample: number;
  samples: number;
}

/** Bytes looked at in one place; a frame of music at 24 bits and two channels has some 20 000. */
const windowBytes = 262_144;

/**
 * A frame at or before `target` from which decoding can begin, as near as a few seconds; the first where the file
 * gives no better. `blockSamples` is the block size of STREAMINFO, which numbers of frames count in.
 */
export async function frameBefore(
  source: SoundBytes,
  firstByte: number,
  blockSamples: number,
  target: number,
): Promise<FlacFrame> {
  let best: FlacFrame = { byte: firstByte, sample: 0, samples: blockSamples };
  if (target < blockSamples) return best;
  let low = firstByte;
  let high = source.sizeBytes;
  while (high - low > 2 * windowBytes) {
    const middle = Math.floor((low + high) / 2);
    const frame = firstSureFrame(await source.read(middle, windowBytes), blockSamples);
    if (frame === null || frame.sample > target) high = middle;
    else {
      best = { ...frame, byte: middle + frame.byte };
      low = best.byte;
    }
    if (low >= high) break;
  }
  return best;
}

/** The first frame that is followed by the one that comes next: bytes that only look like a header are not. */
export function firstSureFrame(bytes: Uint8Array, blockSamples: number): FlacFrame | null {
  const open: FlacFrame[] = [];
  for (let at = 0; at + 16 < bytes.length; at++) {
    if (bytes[at] !== 0xff || (bytes[at + 1] & 0xfe) !== 0xf8) continue;
    const frame = headerAt(bytes, at, blockSamples);
    if (frame === null) continue;
    const before = open.find(({ sample, samples }) => sample + samples === frame.sample);
    if (before) return before;
    open.push(frame);
  }
  return null;
}

function headerAt(bytes: Uint8Array, at: number, blockSamples: number): FlacFrame | null {
  const sizeCode = bytes[at + 2] >> 4;
  const rateCode = bytes[at + 2] & 15;
  if (sizeCode === 0 || rateCode === 15 || bytes[at + 3] >> 4 > 10 || bytes[at + 3] & 1)
    return null;
  // The number is written as UTF-8 writes a character, up to 36 bits.
  const lead = bytes[at + 4];
  const more = lead < 0x80 ? 0 : Math.clz32(~(lead << 24)) - 1;
  if (more < 0 || more > 6 || (lead >= 0x80 && lead < 0xc0)) return null;
  let number = lead < 0x80 ? lead : lead & (0x3f >> more);
  for (let i = 1; i <= more; i++) number = number * 64 + (bytes[at + 4 + i] & 0x3f);
  let end = at + 5 + more;
  let samples =
    sizeCode === 1 ? 192 : sizeCode <= 5 ? 576 << (sizeCode - 2) : 256 << (sizeCode - 8);
  if (sizeCode === 6) samples = bytes[end++] + 1;
  if (sizeCode === 7) {
    samples = ((bytes[end] << 8) | bytes[end + 1]) + 1;
    end += 2;
  }
  if (rateCode === 12) end += 1;
  if (rateCode === 13 || rateCode === 14) end += 2;
  if (end >= bytes.length || crc8(bytes, at, end) !== bytes[end]) return null;
  const countsSamples = (bytes[at + 1] & 1) === 1;
  return { byte: at, sample: countsSamples ? number : number * blockSamples, samples };
}

/** x⁸ + x² + x + 1, from zero (RFC 9639, 9.1.8). */
function crc8(bytes: Uint8Array, from: number, to: number): number {
  let value = 0;
  for (let i = from; i < to; i++) {
    value ^= bytes[i];
    for (let bit = 0; bit < 8; bit++) value = value & 0x80 ? ((value << 1) ^ 7) & 0xff : value << 1;
  }
  return value;
}
