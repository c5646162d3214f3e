/** WAV files: every way of writing samples, found again exactly. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { bytesInMemory, openSound, writeWav, type WavEncoding } from '../../src/sound/index.ts';
import { open, samplesOf } from './hands.ts';

const integers: [WavEncoding, number][] = [
  ['pcm8', 8],
  ['pcm16', 16],
  ['pcm24', 24],
];

test('whole numbers written as WAV come back as they were, whatever bits, rate and channels', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...integers),
      fc.integer({ min: 8_000, max: 768_000 }),
      fc.integer({ min: 1, max: 32 }),
      fc.integer({ min: 1, max: 40 }),
      fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true })),
      async ([encoding, bits], rate, channels, frames, chance) => {
        const half = 2 ** (bits - 1);
        const written = Array.from({ length: channels }, () =>
          Array.from(
            { length: frames },
            () => (Math.floor((chance.next().value as number) * 2 * half) - half) / half,
          ),
        );
        const sound = await open(writeWav(written, rate, encoding));
        assert.equal(sound.format.sampleRateHz, rate);
        assert.equal(sound.format.lengthSamples, frames);
        assert.deepEqual(await samplesOf(sound), written);
        assert.deepEqual(sound.warnings, []);
      },
    ),
    { numRuns: 60, seed: 4 },
  );
});

test('blocks that pass are one piece of memory, and say the same as blocks that stay', async () => {
  const samples = Float32Array.from({ length: 200_000 }, (_, i) => Math.sin(i / 7) / 2);
  const other = samples.map((value) => -value);
  const source = bytesInMemory(writeWav([samples, other], 48_000));
  const sound = await openSound(source, 'long.wav');
  const stay: Float32Array[][] = [];
  for await (const block of sound.blocks()) stay.push(block);
  const memories = new Set<unknown>();
  let at = 0;
  for await (const block of sound.blocks({ passing: true })) {
    memories.add(block[0].buffer).add(block[1].buffer);
    assert.deepEqual(block, stay[at++]);
  }
  assert.equal(at, stay.length);
  assert.ok(at > 2, 'more than one block');
  assert.equal(memories.size, 2, 'one array for each channel');
});
