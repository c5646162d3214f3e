/** A WAV file from samples: cuttings to play, the demo, tests. Held in memory whole, so for minutes, not hours. */
import { viewOf } from './source.ts';

export type WavEncoding = 'pcm8' | 'pcm16' | 'pcm24' | 'pcm32' | 'float32' | 'float64';

const mostBytes = 0x7fff_ffff;

/**
 * The bytes of a WAV file (44 bytes of header, or 58 with the `fact` chunk that floats need).
 * @param channels one array a channel, all of one length, full scale = 1; integers saturate there
 * @param sampleRateHz whole samples a second
 * @param encoding 16-bit where nothing is said: rounded to the nearest step, no dither
 */
export function writeWav(
  channels: ArrayLike<number>[],
  sampleRateHz: number,
  encoding: WavEncoding = 'pcm16',
): Uint8Array<ArrayBuffer> {
  const count = channels.length;
  const frames = channels[0]?.length ?? 0;
  if (count < 1 || count > 65_535) throw new RangeError(`${count} channels`);
  if (channels.some((samples) => samples.length !== frames))
    throw new RangeError('the channels differ in length');
  if (!Number.isInteger(sampleRateHz) || sampleRateHz <= 0 || sampleRateHz > 0xffff_ffff)
    throw new RangeError(`${sampleRateHz} samples a second`);
  const float = encoding.startsWith('float');
  const bits = Number(/\d+/.exec(encoding)?.[0]);
  const bytesPerFrame = (count * bits) / 8;
  const dataBytes = frames * bytesPerFrame;
  if (dataBytes > mostBytes) throw new RangeError(`${dataBytes} bytes do not fit a WAV file`);

  const headBytes = float ? 58 : 44;
  const bytes = new Uint8Array(headBytes + dataBytes + (dataBytes % 2));
  const view = viewOf(bytes);
  let at = 0;
  const text = (value: string): void => {
    for (const letter of value) bytes[at++] = letter.charCodeAt(0);
  };
  const u16 = (value: number): void => {
    view.setUint16(at, value, true);
    at += 2;
  };
  const u32 = (value: number): void => {
    view.setUint32(at, value, true);
    at += 4;
  };
  text('RIFF');
  u32(bytes.length - 8);
  text('WAVEfmt ');
  u32(float ? 18 : 16);
  u16(float ? 3 : 1);
  u16(count);
  u32(sampleRateHz);
  u32(sampleRateHz * bytesPerFrame);
  u16(bytesPerFrame);
  u16(bits);
  if (float) {
    u16(0);
    text('fact');
    u32(4);
    u32(frames);
  }
  text('data');
  u32(dataBytes);

  const put = putter(view, encoding);
  for (let i = 0; i < frames; i++) {
    for (let channel = 0; channel < count; channel++, at += bits / 8) put(at, channels[channel][i]);
  }
  return bytes;
}

function putter(view: DataView, encoding: WavEncoding): (at: number, value: number) => void {
  const whole = (value: number, half: number): number =>
    Math.max(-half, Math.min(half - 1, Math.round(value * half) || 0));
  switch (encoding) {
    case 'float32':
      return (at, value) => view.setFloat32(at, value, true);
    case 'float64':
      return (at, value) => view.setFloat64(at, value, true);
    case 'pcm8':
      return (at, value) => view.setUint8(at, whole(value, 128) + 128);
    case 'pcm16':
      return (at, value) => view.setInt16(at, whole(value, 32_768), true);
    case 'pcm24':
      return (at, value) => {
        const step = whole(value, 8_388_608);
        view.setUint16(at, step & 0xffff, true);
        view.setInt8(at + 2, step >> 16);
      };
    case 'pcm32':
      return (at, value) => view.setInt32(at, whole(value, 2_147_483_648), true);
  }
}
