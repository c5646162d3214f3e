/**
 * Files written by SoX and FFmpeg, read here and by FFmpeg: the same samples at the same places.
 * The files and FFmpeg's values: tools/reference/sound-files.py, versions in files.json.
 */
import assert from 'node:assert/strict';
import test from 'node:test';
import { near } from '../near.ts';
import { bytesOf, openFixture, refusal, samplesOf } from './hands.ts';

interface Reference {
  by: string;
  sampleRateHz: number;
  channels: number;
  samples: number;
  every: number;
  values: number[][];
}

const reference = JSON.parse(Buffer.from(bytesOf('files.json')).toString()) as {
  files: Record<string, Reference>;
};

/** How far two right decoders may be apart; null: the same to the bit. */
const lossy: Record<string, { abs: number; why: string }> = {
  mp3: { abs: 2e-5, why: 'two decoders of layer III round differently' },
  ogg: { abs: 2e-6, why: 'single precision' },
  opus: { abs: 5e-5, why: 'libopus here, FFmpeg’s own decoder there' },
  webm: { abs: 5e-5, why: 'libopus here, FFmpeg’s own decoder there' },
  m4a: { abs: 2e-4, why: 'two decoders of AAC in fixed and floating point' },
  mp4: { abs: 2e-4, why: 'two decoders of AAC in fixed and floating point' },
  aac: { abs: 2e-4, why: 'two decoders of AAC in fixed and floating point' },
};
/** FFmpeg keeps the encoder's run-in here, our decoder drops its first 1024 samples: the media do not name it. */
const later: Record<string, number> = { 'units.aac': 1024, 'fragments.mp4': 1024 };
const notRead = ['adpcm.wav', 'other.mp4', 'aiff.aiff', 'speech.spx'];

for (const [name, file] of Object.entries(reference.files)) {
  if (notRead.includes(name)) continue;
  test(`${name}, written by ${file.by}: each sample as FFmpeg reads it, in time to the sample`, async () => {
    const sound = await openFixture(name);
    assert.equal(sound.format.sampleRateHz, file.sampleRateHz);
    assert.equal(sound.format.channels, file.channels);
    const samples = await samplesOf(sound);
    const shift = later[name] ?? 0;
    const allowed = name === 'lossless.m4a' ? undefined : lossy[name.split('.').pop() ?? ''];
    // Within a frame: FFmpeg does not cut the encoder's padding off the end of AAC.
    const frame = allowed ? 1024 : 0;
    assert.ok(Math.abs(samples[0].length + shift - file.samples) <= frame, `${samples[0].length}`);
    if (sound.format.lengthSamples !== null) {
      assert.equal(sound.format.lengthSamples, samples[0].length, 'the length it says beforehand');
    }
    let compared = 0;
    file.values.forEach((expected, i) => {
      const at = i * file.every - shift;
      if (at < 0 || at >= samples[0].length) return;
      const actual = samples.map((channel) => channel[at]);
      if (allowed) near(actual, expected, allowed);
      else assert.deepEqual(actual, expected.map(Math.fround));
      compared++;
    });
    assert.ok(compared > 20, `${compared} compared`);
    const told = sound.warnings.map(({ code }) => code);
    assert.deepEqual(told, name === 'pipe-ffmpeg.wav' ? ['format-truncated'] : []);
  });

  test(`${name}: a part from the middle is the same as the middle of all`, async () => {
    const sound = await openFixture(name);
    const all = await samplesOf(sound);
    const rate = sound.format.sampleRateHz;
    const from = Math.floor(all[0].length * 0.6);
    const to = Math.floor(all[0].length * 0.8);
    const part = await samplesOf(sound, { fromS: from / rate, toS: to / rate });
    assert.ok(to > from);
    assert.deepEqual(
      part,
      all.map((channel) => channel.slice(from, to)),
    );
    assert.deepEqual(
      await samplesOf(sound, { fromS: all[0].length / rate }),
      all.map(() => []),
    );
  });
}

test('kinds that are not read are named, with what to do', async () => {
  for (const name of notRead) {
    const [problem] = await refusal(openFixture(name));
    assert.equal(problem.code, 'sound-encoding', name);
    assert.match(problem.remedy ?? '', /WAV/);
  }
  const [adpcm] = await refusal(openFixture('adpcm.wav'));
  assert.match(adpcm.message, /ADPCM/);
});

test('a video without sound is refused as that', async () => {
  const [problem] = await refusal(openFixture('mute.mp4'));
  assert.equal(problem.code, 'sound-track-missing');
  assert.match(problem.message, /video has no sound/);
});

test('the start is taken from bext as a time of day, from MP4 as UTC, and nowhere invented', async () => {
  const bext = (await openFixture('bext.wav')).format;
  assert.equal(bext.startEpochS, Date.UTC(2026, 5, 1, 10, 30, 5) / 1000);
  assert.equal(bext.startClock, 'local');
  const phone = (await openFixture('mono.m4a')).format;
  assert.equal(phone.startEpochS, Date.UTC(2026, 5, 1, 8, 0, 0) / 1000);
  assert.equal(phone.startClock, 'utc');
  assert.match(phone.startNote ?? '', /moment they stopped/);
  assert.equal((await openFixture('stereo.m4a')).format.startEpochS ?? null, null);
  assert.equal((await openFixture('s16.wav')).format.startEpochS ?? null, null);
});
