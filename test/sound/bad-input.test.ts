/** Files that are no sounds, or are no longer whole. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { openSound, writeWav } from '../../src/sound/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { bytesOf, open, refusal, samplesOf, sparse } from './hands.ts';

test('an empty file, a text, noise and other kinds are refused by what they are', async () => {
  const cases: [Uint8Array, string, RegExp][] = [
    [new Uint8Array(0), 'file-empty', /empty/],
    [Buffer.from('time,speed\n0,10\n'), 'format-unknown', /a text/],
    [Uint8Array.of(7), 'format-unknown', /not a sound/],
    [new Uint8Array(10_000), 'format-unknown', /not a sound/],
    [Buffer.from('caff0000000000'), 'sound-encoding', /CAF/],
    [Buffer.from('#!AMR\n........'), 'sound-encoding', /AMR/],
    [Buffer.from('RIFF0000AVI LIST'), 'sound-encoding', /video in an AVI/],
    [Buffer.from('RIFF0000WEBPVP8 '), 'sound-encoding', /WEBP/],
    [
      Buffer.from('ID3\x04\x00\x00\x00\x00\x00\x02..no frames at all'),
      'format-damaged',
      /no MP3 frame/,
    ],
    [Buffer.from('fLaC'), 'format-damaged', /FLAC/],
    [Buffer.from('OggS'), 'sound-encoding', /Ogg/],
    [Uint8Array.of(0x1a, 0x45, 0xdf, 0xa3, 1, 2, 3), 'format-damaged', /WebM/],
  ];
  for (const [bytes, code, words] of cases) {
    const [problem] = await refusal(open(bytes, 'ride.wav'));
    assert.equal(problem.code, code, problem.message);
    assert.match(problem.message, words);
    assert.ok(problem.remedy);
  }
});

test('the kind is told by content: an MP3 named .wav is read as MP3', async () => {
  assert.equal((await open(bytesOf('mono.mp3'), 'ride.wav')).format.encoding, 'MP3');
});

test('an MP4 cut short before its index says that the recorder lost power or the copy is not whole', async () => {
  const [problem] = await refusal(open(bytesOf('mono.m4a').subarray(0, 2_500), 'ride.m4a'));
  assert.equal(problem.code, 'format-truncated');
  assert.match(problem.message, /index/);
});

test('an MP4 cut short behind its index is read as far as it goes, and said', async () => {
  const whole = bytesOf('stereo.m4a');
  const sound = await open(whole.subarray(0, whole.length - 1_500));
  const [left] = await samplesOf(sound);
  assert.ok(left.length > 5_000 && left.length < (sound.format.lengthSamples ?? 0));
  assert.deepEqual(
    sound.warnings.map(({ code }) => code),
    ['format-truncated'],
  );
});

test('a FLAC that lost frames on the way says how much is missing, and keeps the rest', async () => {
  const whole = bytesOf('mono.flac');
  const sound = await open(Buffer.concat([whole.subarray(0, 14_000), whole.subarray(14_500)]));
  const [samples] = await samplesOf(sound);
  assert.ok(samples.length < 13_230 && samples.length > 0);
  assert.equal(sound.warnings[0].code, 'sound-part-lost');
  assert.match(sound.warnings[0].message, /About 65 %/);
});

test('one broken unit of AAC becomes silence, and all that follows stays in time', async () => {
  const bytes = Uint8Array.from(bytesOf('stereo.m4a'));
  const whole = await samplesOf(await open(bytesOf('stereo.m4a')));
  // Somewhere in the middle of the media data, which stands last in this file.
  bytes.fill(0xff, bytes.length - 2_600, bytes.length - 2_400);
  const sound = await open(bytes);
  const damaged = await samplesOf(sound);
  assert.equal(damaged[0].length, whole[0].length);
  const end = whole[0].length;
  assert.deepEqual(damaged[0].slice(end - 1_500), whole[0].slice(end - 1_500));
  assert.notDeepEqual(damaged[0], whole[0]);
  assert.equal(sound.warnings[0]?.code, 'sound-part-lost');
});

test('a beginning of FLAC with a terabyte of nothing behind ends soon, and says so', async () => {
  const flac = bytesOf('mono.flac');
  const source = sparse(2 ** 40, [[0, flac.subarray(0, 15_000)]]);
  const sound = await openSound(source, 'ride.flac');
  const started = process.hrtime.bigint();
  let samples = 0;
  for await (const [block] of sound.blocks()) samples += block.length;
  assert.ok(samples > 4_000);
  assert.ok(Number(process.hrtime.bigint() - started) < 20e9);
  assert.ok(source.bytesRead() < 6_000_000);
  assert.match(sound.warnings.at(-1)?.message ?? '', /from here on/);
});

/** A change to a file: bytes written over, a piece taken out, the end cut off. */
const damage = fc.record({
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  kind: fc.constantFrom('overwrite', 'cut out', 'end'),
  bytes: fc.uint8Array({ minLength: 1, maxLength: 40 }),
});

function damaged(
  bytes: Uint8Array,
  { at, kind, bytes: by }: { at: number; kind: string; bytes: Uint8Array },
): Uint8Array {
  // More often near the beginning, where the headers are.
  const place = Math.floor(at ** 2 * bytes.length);
  if (kind === 'end') return bytes.slice(0, place + 1);
  if (kind === 'cut out')
    return Buffer.concat([bytes.subarray(0, place), bytes.subarray(place + by.length)]);
  const changed = bytes.slice();
  changed.set(by.subarray(0, bytes.length - place), place);
  return changed;
}

const small = ['mono.mp3', 'mono.m4a', 'mono.ogg', 'stereo.opus', 'mono.flac', 'stereo.webm'];
const headers = ['u8.wav', 'rf64.wav', 'bext.wav', 'f64.wav', 'camera.mov', 'lossless.m4a'];
for (const [names, runs] of [
  [small, 10],
  [headers, 60],
] as const) {
  for (const name of names) {
    test(`${name} with damage anywhere: a clear refusal or bounded samples, never a crash`, async () => {
      const whole = Uint8Array.from(bytesOf(name));
      await fc.assert(
        fc.asyncProperty(fc.array(damage, { minLength: 1, maxLength: 3 }), async (all) => {
          const bytes = all.reduce(damaged, whole);
          try {
            const sound = await open(bytes);
            let samples = 0;
            for await (const block of sound.blocks()) {
              assert.equal(block.length, sound.format.channels);
              assert.ok(block.every((one) => one.length === block[0].length));
              assert.ok(block[0].length <= 65_536);
              samples += block[0].length;
              assert.ok(samples < 5_000_000);
            }
          } catch (error) {
            if (!(error instanceof LapbenchError)) throw error;
          }
        }),
        { numRuns: runs, seed: 44 },
      );
    });
  }
}

test('a writer asked for the impossible says so', () => {
  assert.throws(() => writeWav([], 48_000), RangeError);
  assert.throws(() => writeWav([[1], [1, 2]], 48_000), RangeError);
  assert.throws(() => writeWav([[1]], 0.5), RangeError);
});
