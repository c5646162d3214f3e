/** Samples as they lie in a file, turned into one array a channel, full scale = 1. */
import { aLaw, muLaw } from './g711.ts';
import { viewOf } from './source.ts';

export interface PcmLayout {
  kind: 'unsigned' | 'integer' | 'float' | 'a-law' | 'mu-law';
  bytesPerSample: number;
  channels: number;
  /** From one moment to the next, all channels; at least channels × bytesPerSample. */
  bytesPerFrame: number;
  bigEndian: boolean;
}

/** Whether such samples can be decoded. */
export function isPcm({ kind, bytesPerSample }: PcmLayout): boolean {
  if (kind === 'float') return bytesPerSample === 4 || bytesPerSample === 8;
  if (kind === 'integer') return bytesPerSample >= 1 && bytesPerSample <= 4;
  return bytesPerSample === 1;
}

/**
 * One array a channel of the whole frames in `bytes`. Integers are divided by 2^(bits − 1), as sox and ffmpeg do,
 * so 32-bit ones are rounded to single precision. Floats that are no numbers become 0 and are counted. `into`: arrays
 * to write to instead of new ones, long enough.
 */
export function decodePcm(
  bytes: Uint8Array,
  layout: PcmLayout,
  into?: Float32Array[],
): { channels: Float32Array[]; notNumbers: number } {
  const { channels: count, bytesPerFrame, bytesPerSample } = layout;
  const frames = Math.floor(bytes.length / bytesPerFrame);
  const value = valueReader(bytes, layout);
  let notNumbers = 0;
  const channels = Array.from({ length: count }, (_, channel) => {
    const samples = into?.[channel].subarray(0, frames) ?? new Float32Array(frames);
    for (let i = 0, at = channel * bytesPerSample; i < frames; i++, at += bytesPerFrame) {
      samples[i] = value(at);
    }
    if (layout.kind === 'float') {
      for (let i = 0; i < frames; i++) {
        if (Number.isFinite(samples[i])) continue;
        samples[i] = 0;
        notNumbers++;
      }
    }
    return samples;
  });
  return { channels, notNumbers };
}

function valueReader(bytes: Uint8Array, layout: PcmLayout): (at: number) => number {
  const view = viewOf(bytes);
  const little = !layout.bigEndian;
  switch (layout.kind) {
    case 'unsigned':
      return (at) => (bytes[at] - 128) / 128;
    case 'a-law':
      return (at) => aLaw[bytes[at]];
    case 'mu-law':
      return (at) => muLaw[bytes[at]];
    case 'float':
      return layout.bytesPerSample === 4
        ? (at) => view.getFloat32(at, little)
        : (at) => view.getFloat64(at, little);
    case 'integer':
      switch (layout.bytesPerSample) {
        case 1:
          return (at) => view.getInt8(at) / 128;
        case 2:
          return (at) => view.getInt16(at, little) / 32_768;
        case 3: {
          const [low, high] = little ? [0, 2] : [2, 0];
          return (at) =>
            ((bytes[at + high] << 24) | (bytes[at + 1] << 16) | (bytes[at + low] << 8)) /
            2_147_483_648;
        }
        default:
          return (at) => view.getInt32(at, little) / 2_147_483_648;
      }
  }
}
