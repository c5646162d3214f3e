/** Headers of WAV files as recorders leave them: right, unfinished, damaged. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { openSound } from '../../src/sound/index.ts';
import { chunk, fmt, open, refusal, riff, samplesOf, sparse } from './hands.ts';

/** Samples 1, 2, 3 … as 16-bit numbers. */
const ramp = (count: number): Buffer =>
  Buffer.from(Int16Array.from({ length: count }, (_, i) => i + 1).buffer);
const step = 1 / 32_768;

test('chunks before and after the sound are passed over, of odd length too, padded or not', async () => {
  const list = chunk('LIST', Buffer.from('INFOodd'));
  const unpadded = chunk('LIST', Buffer.from('INFOodd')).subarray(0, 15);
  for (const extra of [list, unpadded]) {
    const file = riff(
      chunk('JUNK', [1, 2, 3]),
      extra,
      chunk('fmt ', fmt({})),
      chunk('data', ramp(3)),
      list,
    );
    const sound = await open(file);
    assert.deepEqual(await samplesOf(sound), [[step, 2 * step, 3 * step]]);
    assert.deepEqual(sound.warnings, []);
  }
});

test('a size of nothing, of everything or beyond the end: read to the end and said', async () => {
  for (const stated of [0, 0xffff_ffff, 0x7fff_ffff, 5_000]) {
    const sound = await open(riff(chunk('fmt ', fmt({})), chunk('data', ramp(100), stated)));
    assert.equal(sound.format.lengthSamples, 100, String(stated));
    assert.deepEqual(
      sound.warnings.map(({ code }) => code),
      ['format-truncated'],
    );
    assert.equal((await samplesOf(sound))[0][99], 100 * step);
  }
});

test('a header that was last brought up to date long before the end does not hide the rest', async () => {
  const sound = await open(riff(chunk('fmt ', fmt({})), chunk('data', ramp(1_000), 100)));
  assert.equal(sound.format.lengthSamples, 1_000);
  assert.match(sound.warnings[0].message, /did not finish/);
});

test('half a sample at the end is left out', async () => {
  const sound = await open(
    riff(chunk('fmt ', fmt({})), chunk('data', ramp(10), 999)).subarray(0, -1),
  );
  assert.equal((await samplesOf(sound))[0].length, 9);
});

test('five hours of RF64, 6 GB: the last second comes from beyond 4 GB, and little is read', async () => {
  const frameBytes = 6;
  const frames = 5 * 3600 * 48_000 + 200_000_000;
  const dataBytes = frames * frameBytes;
  const head = riff(
    chunk('ds64', Buffer.alloc(28)),
    chunk('fmt ', fmt({ channels: 2, rate: 48_000, bits: 24 })),
    chunk('data', [], 0xffff_ffff),
  );
  head.write('RF64');
  head.writeBigUInt64LE(BigInt(dataBytes), 20 + 8);
  const at = head.length + (frames - 2) * frameBytes;
  assert.ok(at > 2 ** 32);
  const last = Uint8Array.from([0, 0, 0x40, 0, 0, 0xc0, 0, 0, 0x20, 1, 0, 0]);
  const source = sparse(head.length + dataBytes, [
    [0, head],
    [at, last],
  ]);
  const sound = await openSound(source, 'long.wav');
  assert.equal(sound.format.lengthSamples, frames);
  assert.deepEqual(sound.warnings, []);
  const [left, right] = await samplesOf(sound, { fromS: (frames - 2) / 48_000 });
  assert.deepEqual(left, [0.5, 0.25]);
  assert.deepEqual(right, [-0.5, 2 ** -23]);
  assert.ok(source.bytesRead() < 10_000, `${source.bytesRead()} bytes read`);
  head.write('BW64');
  assert.equal((await openSound(source, 'long.wav')).format.lengthSamples, frames);
});

test('blocks are no longer than 65 536 samples and follow each other without a gap', async () => {
  const sound = await open(riff(chunk('fmt ', fmt({})), chunk('data', ramp(200_000))));
  const lengths: number[] = [];
  for await (const [samples] of sound.blocks()) lengths.push(samples.length);
  assert.deepEqual(lengths, [65_536, 65_536, 65_536, 3_392]);
});

test('24 bits in a room of 32, and the extensible form of every plain kind, are read', async () => {
  const extensible = (bits: number, valid: number, tag: number): Buffer => {
    const body = Buffer.alloc(40);
    fmt({ tag: 0xfffe, bits }).copy(body);
    body.writeUInt16LE(22, 16);
    body.writeUInt16LE(valid, 18);
    body.writeUInt16LE(tag, 24);
    Buffer.from('000000001000800000aa00389b71', 'hex').copy(body, 26);
    return body;
  };
  const of = async (format: Buffer, data: Buffer): Promise<number[]> =>
    (await samplesOf(await open(riff(chunk('fmt ', format), chunk('data', data)))))[0];
  assert.deepEqual(await of(extensible(32, 24, 1), Buffer.from([0, 0, 0, 0x40])), [0.5]);
  assert.deepEqual(await of(extensible(8, 8, 1), Buffer.from([192, 0])), [0.5, -1]);
  assert.deepEqual(await of(extensible(32, 32, 3), Buffer.from(Float32Array.of(0.7).buffer)), [
    Math.fround(0.7),
  ]);
  assert.deepEqual(await of(fmt({ bits: 24, align: 4 }), Buffer.from([0, 0, 0, 0xc0])), [-0.5]);
});

test('floats that are no numbers become silence and are counted', async () => {
  const data = Buffer.from(Float32Array.of(0.5, NaN, Infinity, -0.25).buffer);
  const sound = await open(riff(chunk('fmt ', fmt({ tag: 3, bits: 32 })), chunk('data', data)));
  assert.deepEqual(await samplesOf(sound), [[0.5, 0, 0, -0.25]]);
  assert.equal(sound.warnings[0].code, 'value-invalid');
  assert.match(sound.warnings[0].message, /2 here/);
});

// Output values of ITU-T G.711 tables 1a and 2a, from memory; all 800 values of the files by SoX agree with FFmpeg.
test('A-law and µ-law give the values of G.711: 4032 and 8031 at the top, 1 and 0 at the bottom', async () => {
  const of = async (tag: number, octets: number[]): Promise<number[]> =>
    (
      await samplesOf(await open(riff(chunk('fmt ', fmt({ tag, bits: 8 })), chunk('data', octets))))
    )[0];
  const aLaw = await of(6, [0xaa, 0xab, 0xd5, 0x55, 0x2a]);
  assert.deepEqual(
    aLaw.map((x) => x * 4_096),
    [4_032, 3_904, 1, -1, -4_032],
  );
  const muLaw = await of(7, [0x80, 0x81, 0x8f, 0xff, 0x00]);
  assert.deepEqual(
    muLaw.map((x) => x * 8_192),
    [8_031, 7_775, 4_191, 0, -8_031],
  );
});

test('what cannot be: no fmt, no data, no channels, absurd rates, other encodings', async () => {
  const data = chunk('data', ramp(10));
  const cases: [Buffer, string, RegExp][] = [
    [riff(data), 'format-damaged', /fmt chunk is missing/],
    [riff(chunk('fmt ', [1, 0]), data), 'format-damaged', /cut short/],
    [riff(chunk('fmt ', fmt({}))), 'format-damaged', /no data chunk/],
    [riff(), 'format-damaged', /no data chunk/],
    [riff(chunk('fmt ', fmt({})), chunk('data', [])), 'recording-too-short', /no sound/],
    [riff(chunk('fmt ', fmt({ channels: 0 })), data), 'sound-limits', /0 channels/],
    [riff(chunk('fmt ', fmt({ channels: 33 })), data), 'sound-limits', /33 channels/],
    [riff(chunk('fmt ', fmt({ rate: 7_999 })), data), 'sound-limits', /7999 samples/],
    [riff(chunk('fmt ', fmt({ rate: 768_001 })), data), 'sound-limits', /768001 samples/],
    [riff(chunk('fmt ', fmt({ tag: 0x55 })), data), 'sound-encoding', /MP3/],
    [riff(chunk('fmt ', fmt({ bits: 64 })), data), 'sound-encoding', /64 bits/],
    [riff(chunk('fmt ', fmt({ tag: 3, bits: 16 })), data), 'sound-encoding', /16 bits/],
  ];
  for (const [bytes, code, words] of cases) {
    const [problem] = await refusal(open(bytes, 'ride.wav'));
    assert.equal(problem.code, code);
    assert.match(problem.message, words);
    assert.equal(problem.file, 'ride.wav');
    assert.ok(problem.remedy);
  }
});

test('eight channels at 96 kHz and one second are a sound like any other', async () => {
  const frames = 96_000;
  const bytes = riff(
    chunk('fmt ', fmt({ channels: 8, rate: 96_000, bits: 32 })),
    chunk('data', Buffer.alloc(frames * 32, 1)),
  );
  const sound = await open(bytes);
  assert.equal(sound.format.channels, 8);
  let count = 0;
  for await (const block of sound.blocks()) count += block[7].length;
  assert.equal(count, frames);
});
