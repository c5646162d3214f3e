/** From many channels to one, and the small writer. */
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import test from 'node:test';
import { mixToMono, writeWav } from '../../src/sound/index.ts';
import { open, samplesOf } from './hands.ts';

test('the mean keeps what all channels share; a channel the wrong way round cancels it', () => {
  const left = Float32Array.of(0.5, -0.25, 1);
  const { samples, channel } = mixToMono([left, Float32Array.of(0.5, 0.25, 1)]);
  assert.deepEqual(Array.from(samples), [0.5, 0, 1]);
  assert.equal(channel, null);
  assert.deepEqual(Array.from(mixToMono([left, left.map((x) => -x)]).samples), [0, 0, 0]);
});

test('the loudest is the channel with the most power, not with the highest peak', () => {
  const peak = Float32Array.of(0.9, 0, 0, 0);
  const loud = Float32Array.of(0.6, -0.6, 0.6, -0.6);
  const chosen = mixToMono([peak, loud], 'loudest');
  assert.equal(chosen.channel, 1);
  assert.equal(chosen.samples, loud);
  assert.equal(mixToMono([peak]).samples, peak);
});

test('whole numbers saturate at full scale instead of turning over; no number is silence', async () => {
  for (const [encoding, half] of [
    ['pcm8', 128],
    ['pcm16', 32_768],
    ['pcm24', 8_388_608],
  ] as const) {
    const sound = await open(writeWav([[1, 1.5, -1, -2, NaN]], 8_000, encoding));
    const top = (half - 1) / half;
    assert.deepEqual(await samplesOf(sound), [[top, top, -1, -1, 0]]);
  }
});

test('floats come back as they were, also beyond full scale', async () => {
  const values = [0.1, -1.5, 3e-9, 0];
  assert.deepEqual(await samplesOf(await open(writeWav([values], 44_100, 'float32'))), [
    values.map(Math.fround),
  ]);
  assert.deepEqual(await samplesOf(await open(writeWav([values], 44_100, 'float64'))), [
    values.map(Math.fround),
  ]);
});

test('what the writer makes is byte for byte what scipy.io.wavfile and SoX read rightly', () => {
  // Read back once by SciPy and by SoX (versions in files.json), see tools/reference/sound-written.ts.
  const left = Array.from({ length: 101 }, (_, i) => Math.sin(i / 3) * 0.7);
  const right = left.map((x, i) => (i % 2 ? x : -x / 2));
  const sums = (['pcm8', 'pcm16', 'pcm24', 'pcm32', 'float32', 'float64'] as const).map((one) =>
    createHash('sha256')
      .update(writeWav([left, right], 48_000, one))
      .digest('hex')
      .slice(0, 16),
  );
  assert.deepEqual(sums, [
    '1e22a210d8ae3b42',
    '1cd3457136f4bfeb',
    '16e470ae5727d802',
    '30eca08386feaacb',
    '566db09fde3b43df',
    'b6b25ef4fa1b5da6',
  ]);
});
