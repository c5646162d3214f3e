/** What the tests of sounds share. */
import fs from 'node:fs';
import path from 'node:path';
import {
  bytesInMemory,
  openSound,
  type Sound,
  type SoundBytes,
  type SoundPart,
} from '../../src/sound/index.ts';
import { LapbenchError, type Problem } from '../../src/core/units/index.ts';

export const folder = path.join(import.meta.dirname, '..', 'fixtures', 'sound');

export const bytesOf = (name: string): Uint8Array => fs.readFileSync(path.join(folder, name));

export const openFixture = (name: string): Promise<Sound> =>
  openSound(bytesInMemory(bytesOf(name)), name);

export const open = (bytes: Uint8Array, name = 'made-up'): Promise<Sound> =>
  openSound(bytesInMemory(bytes), name);

/** All samples of a part, a channel each. */
export async function samplesOf(sound: Sound, part?: SoundPart): Promise<number[][]> {
  const channels: number[][] = Array.from({ length: sound.format.channels }, () => []);
  for await (const block of sound.blocks(part)) {
    block.forEach((samples, channel) => {
      for (const sample of samples) channels[channel].push(sample);
    });
  }
  return channels;
}

/** What a promise is refused with; fails when it is not. */
export async function refusal(promise: Promise<unknown>): Promise<readonly Problem[]> {
  try {
    await promise;
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  throw new Error('it was not refused');
}

/** A file that is mostly nothing: `pieces` lie at their offsets, zeros between them; counts what is read. */
export function sparse(
  sizeBytes: number,
  pieces: [number, Uint8Array][],
): SoundBytes & { bytesRead: () => number } {
  let read = 0;
  return {
    sizeBytes,
    bytesRead: () => read,
    read: (offset, length) => {
      const bytes = new Uint8Array(Math.max(0, Math.min(length, sizeBytes - offset)));
      read += bytes.length;
      for (const [at, piece] of pieces) {
        const from = Math.max(offset, at);
        const to = Math.min(offset + bytes.length, at + piece.length);
        if (from < to) bytes.set(piece.subarray(from - at, to - at), from - offset);
      }
      return Promise.resolve(bytes);
    },
  };
}

/** A RIFF chunk: name, size, body, and a byte more where the size is odd. */
export function chunk(
  name: string,
  body: Uint8Array | number[],
  statedBytes = body.length,
): Buffer {
  const head = Buffer.alloc(8);
  head.write(name, 0, 'latin1');
  head.writeUInt32LE(statedBytes, 4);
  return Buffer.concat([head, Uint8Array.from(body), Buffer.alloc(body.length % 2)]);
}

/** The body of `fmt `; what is not said is 16-bit PCM, mono, 8 kHz. */
export function fmt({ tag = 1, channels = 1, rate = 8_000, bits = 16, align = -1 }): Buffer {
  const body = Buffer.alloc(16);
  body.writeUInt16LE(tag, 0);
  body.writeUInt16LE(channels, 2);
  body.writeUInt32LE(rate, 4);
  body.writeUInt16LE(align < 0 ? (channels * bits) / 8 : align, 12);
  body.writeUInt16LE(bits, 14);
  return body;
}

export function riff(...chunks: Uint8Array[]): Buffer {
  const body = Buffer.concat([Buffer.from('WAVE'), ...chunks]);
  const head = Buffer.alloc(8);
  head.write('RIFF');
  head.writeUInt32LE(body.length, 4);
  return Buffer.concat([head, body]);
}
