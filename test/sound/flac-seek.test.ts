/** The end of a long FLAC without decoding what comes before: files made here, frame by frame (RFC 9639). */
import assert from 'node:assert/strict';
import test from 'node:test';
import { openSound } from '../../src/sound/index.ts';
import { samplesOf, sparse } from './hands.ts';

const block = 4_096;

function crc(bytes: Uint8Array, width: 8 | 16, polynomial: number): number {
  const top = 1 << (width - 1);
  const mask = 2 ** width - 1;
  let value = 0;
  for (const byte of bytes) {
    value ^= byte << (width - 8);
    for (let bit = 0; bit < 8; bit++)
      value = (value & top ? (value << 1) ^ polynomial : value << 1) & mask;
  }
  return value;
}

/** A frame of plain 16-bit samples, one channel. */
function frame(number: number, samples: Int16Array): Buffer {
  const name =
    number < 128
      ? [number]
      : number < 2_048
        ? [0xc0 | (number >> 6), 0x80 | (number & 63)]
        : [0xe0 | (number >> 12), 0x80 | ((number >> 6) & 63), 0x80 | (number & 63)];
  const head = Buffer.from([0xff, 0xf8, 0xca, 0x08, ...name]);
  const body = Buffer.alloc(samples.length * 2);
  samples.forEach((sample, i) => body.writeInt16BE(sample, 2 * i));
  const all = Buffer.concat([head, Buffer.from([crc(head, 8, 0x07), 0x02]), body]);
  const sum = crc(all, 16, 0x8005);
  return Buffer.concat([all, Buffer.from([sum >> 8, sum & 255])]);
}

function flac(frames: number, valueAt: (sample: number) => number): Buffer {
  const info = Buffer.alloc(42);
  info.write('fLaC');
  info.set([0x80, 0, 0, 34], 4);
  info.writeUInt16BE(block, 8);
  info.writeUInt16BE(block, 10);
  // 20 bits of rate, 3 of channels − 1, 5 of bits − 1, 36 of length.
  info.writeBigUInt64BE((48_000n << 44n) | (15n << 36n) | BigInt(frames * block), 18);
  const parts = Array.from({ length: frames }, (_, n) =>
    frame(
      n,
      Int16Array.from({ length: block }, (_, i) => valueAt(n * block + i)),
    ),
  );
  return Buffer.concat([info, ...parts]);
}

test('any second of a long FLAC is found at once, to the sample, though the samples look like headers', async () => {
  // Here and there a whole header of frame 5, right to its check sum: only what follows on tells it apart.
  const name = [0xff, 0xf8, 0xca, 0x08, 5];
  const fake = Buffer.from([...name, crc(Buffer.from(name), 8, 0x07)]);
  const value = (i: number): number =>
    i % 997 < 3 ? fake.readInt16BE(2 * (i % 997)) : ((i * 7_919) % 60_001) - 30_000;
  const frames = 420;
  const bytes = flac(frames, value);
  const source = sparse(bytes.length, [[0, bytes]]);
  const sound = await openSound(source, 'ride.flac');
  assert.equal(sound.format.lengthSamples, frames * block);
  for (const from of [0, 5 * block + 1, 150_000, 1_000_000, frames * block - 3_000]) {
    const before = source.bytesRead();
    const part = { fromS: from / 48_000, toS: (from + 2_000) / 48_000 };
    const [samples] = await samplesOf(sound, part);
    assert.deepEqual(
      samples,
      Array.from({ length: 2_000 }, (_, i) => value(from + i) / 32_768),
    );
    assert.ok(source.bytesRead() - before < bytes.length / 1.5, 'it was not read whole');
  }
  assert.deepEqual(sound.warnings, []);
});
