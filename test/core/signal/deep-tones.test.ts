/** Long frames for deep tones, weak bursts where a tone is known, and voices. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { mergeAnalyses, soundAnalyser, splitSound } from '../../../src/core/signal/index.ts';
import type { SoundAnalysis } from '../../../src/core/signal/index.ts';
import { decimator } from '../../../src/core/signal/decimator.ts';
import { near } from '../../near.ts';
import { gaussian, render } from './sounds.ts';

const rate = 16_000;

function analyse(samples: Float32Array): SoundAnalysis {
  const analyser = soundAnalyser(rate);
  analyser.push(samples);
  return analyser.finish();
}

function level(samples: Float32Array): number {
  const middle = samples.subarray(200, samples.length - 200);
  return Math.sqrt(middle.reduce((sum, x) => sum + x * x, 0) / middle.length);
}

test('a slowed recording keeps deep tones as they were, in time too, and lets nothing fold onto them', () => {
  const tone = (hz: number): Float32Array =>
    render(2, rate, (i) => Math.SQRT2 * Math.sin((2 * Math.PI * hz * i) / rate));
  for (const hz of [80, 700, 1200]) {
    const slow = decimator(4).push(tone(hz));
    near(level(slow), 1, { abs: 2e-3, why: 'root mean square of a sine of √2' });
    for (const j of [500, 1234])
      near(slow[j], tone(hz)[4 * j], { abs: 5e-3, why: 'sample j lies at sample 4 j' });
  }
  // At 4 kHz these would fold onto 1200, 700 and 80 Hz.
  for (const hz of [2800, 3300, 3920, 7300])
    assert.ok(level(decimator(4).push(tone(hz))) < 1e-3, `${hz} Hz is 60 dB down`);
});

test('a slowed recording does not depend on how it is cut into blocks', () => {
  const normal = gaussian(3);
  const samples = render(1, rate, () => normal());
  const whole = decimator(4).push(samples);
  const cut = decimator(4);
  const pieces: number[] = [];
  for (let i = 0, n = 1; i < samples.length; i += n, n = (n * 7 + 3) % 1000)
    pieces.push(...cut.push(samples.subarray(i, i + n)));
  assert.deepEqual(pieces.length, whole.length);
  pieces.forEach((value, j) =>
    near(value, whole[j], { abs: 1e-6, why: 'single precision of the sound' }),
  );
});

test('two spokes ten hertz apart are two tones', () => {
  const normal = gaussian(11);
  const samples = render(
    20,
    rate,
    (i) =>
      0.02 * normal() +
      (i > 5 * rate && i < 12 * rate
        ? 0.01 *
          (Math.sin((2 * Math.PI * 418 * i) / rate) + Math.sin((2 * Math.PI * 428 * i) / rate))
        : 0),
  );
  const hz = analyse(samples).tracks.map((track) => track.hz);
  assert.equal(hz.length, 2);
  near(Math.min(...hz), 418, { abs: 1, why: 'as made' });
  near(Math.max(...hz), 428, { abs: 1, why: 'as made' });
});

/** A minute of noise with a call at 20 s: harmonics 2 to 5 of a note; `glide` in 1/s of the note, up and then down. */
function called(glide: number, seconds: number): Float32Array {
  const normal = gaussian(21);
  let phase = 0;
  return render(50, rate, (i) => {
    const t = i / rate - 20;
    const inside = t > 0 && t < seconds;
    const hz = 210 * Math.exp(glide * (seconds / 2 - Math.abs(t - seconds / 2)));
    if (inside) phase += (2 * Math.PI * hz) / rate;
    const voice = [2, 3, 4, 5].reduce((sum, n) => sum + Math.sin(n * phase), 0);
    return 0.02 * normal() + (inside ? 0.02 * voice : 0);
  });
}

test('harmonics that rise and fall together for a second are a voice and no tones', () => {
  const { tracks, voices } = analyse(called(0.15, 1.6));
  assert.equal(tracks.length, 0);
  assert.ok(voices.length >= 1);
  assert.ok(voices.every(({ startS, endS }) => startS > 19.8 && endS < 21.8));
});

test('a howl with harmonics stays when it is steady, and when it lasts', () => {
  for (const samples of [called(0, 1.6), called(0.05, 6)]) {
    const { tracks, voices } = analyse(samples);
    assert.ok(tracks.length >= 4, `${tracks.length} tones`);
    assert.equal(voices.length, 0);
  }
});

test('two halves know the deep tones of the whole', () => {
  const normal = gaussian(31);
  const samples = render(
    420,
    rate,
    (i) =>
      0.02 * normal() +
      (i % (20 * rate) < 4 * rate
        ? 0.01 *
          (Math.sin((2 * Math.PI * 300 * i) / rate) + Math.sin((2 * Math.PI * 310 * i) / rate))
        : 0),
  );
  const whole = analyse(samples).tracks;
  const parts = splitSound(samples.length, rate, 2);
  assert.equal(parts.length, 2);
  const joined = mergeAnalyses(
    parts.map((part) => {
      const analyser = soundAnalyser(rate, { part });
      analyser.push(samples.subarray(part.readFromSample, part.readToSample));
      return analyser.finishPart();
    }),
  ).tracks;
  assert.ok(whole.length >= 40, `${whole.length} tones`);
  assert.equal(joined.length, whole.length);
  joined.forEach((track, i) => {
    near(track.hz, whole[i].hz, { abs: 0.3, why: 'the floor has settled' });
    near(track.startS, whole[i].startS, { abs: 0.3, why: 'a frame' });
  });
});
