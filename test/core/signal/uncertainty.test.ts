/** Whether the stated uncertainty of a tone's frequency is kept, and where levels and frequencies come out. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { ToneTrack } from '../../../src/core/evidence/index.ts';
import { criticalBandHz, soundAnalyser } from '../../../src/core/signal/index.ts';
import { frameVariance } from '../../../src/core/signal/linking.ts';
import { hannOffset } from '../../../src/core/signal/peaks.ts';
import { near } from '../../near.ts';
import { gaussian, render, uniform } from './sounds.ts';

const rate = 8000;
const noise = 0.02;

/** A tone of 4 s in white noise, after one second, gliding about `hz` in its middle (at 3 s). */
function toneInNoise(
  hz: number,
  driftHzPerS: number,
  toneToNoiseDb: number,
  seed: number,
): Float32Array {
  const normal = gaussian(seed);
  const inBand = ((noise * noise * 2) / rate) * criticalBandHz(hz);
  const amplitude = Math.sqrt(2 * inBand * 10 ** (toneToNoiseDb / 10));
  return render(6, rate, (i) => {
    const t = i / rate - 3;
    const tone =
      Math.abs(t) < 2
        ? amplitude * Math.sin(2 * Math.PI * (hz * t + (driftHzPerS * t * t) / 2))
        : 0;
    return tone + noise * normal();
  });
}

function tracksOf(samples: Float32Array): ToneTrack[] {
  const analyser = soundAnalyser(rate);
  analyser.push(samples);
  return analyser.finish().tracks;
}

/** Time that the power-weighted mean frequency belongs to. */
function weightedTime({ timeS, frameLevelDb }: ToneTrack): number {
  const power = frameLevelDb.map((db) => 10 ** (db / 10));
  const all = power.reduce((a, b) => a + b, 0);
  return power.reduce((sum, p, i) => sum + p * timeS[i], 0) / all;
}

for (const [toneToNoiseDb, driftHzPerS] of [
  [0, 0],
  [6, 0],
  [20, 0],
  [3, 20],
  [20, 40],
]) {
  test(`a tone ${toneToNoiseDb} dB over its noise, gliding ${driftHzPerS} Hz/s: the 95 % interval holds the truth`, () => {
    const draw = uniform(17 + toneToNoiseDb + driftHzPerS);
    let found = 0;
    let inside = 0;
    const runs = 40;
    for (let run = 0; run < runs; run++) {
      const hz = 400 + 600 * draw();
      const near = tracksOf(toneInNoise(hz, driftHzPerS, toneToNoiseDb, 100 * run + 7)).filter(
        (track) => Math.abs(track.hz - hz) < 90,
      );
      near.sort((a, b) => b.endS - b.startS - (a.endS - a.startS));
      const [track] = near;
      if (!track) continue;
      found++;
      const truth = hz + driftHzPerS * (weightedTime(track) - 3);
      if (Math.abs(track.hz - truth) < 1.96 * track.standardUncertaintyHz) inside++;
    }
    assert.ok(found >= 0.85 * runs, `found ${found} of ${runs}`);
    // 95 % of 40 is 38; fewer than 34 have a chance of 0.5 % (binomial).
    assert.ok(inside >= 0.85 * found, `${inside} of ${found}`);
  });
}

test('the frequency of one frame scatters no less than the bound of Cramér and Rao, and three times that as stated', () => {
  // Rife & Boorstyn (1974): var f ≥ 6 σ²/(π² A² N³) fs²; 1/(π²E) bins² for E = |X|²/noise, frameVariance states three times that.
  const bound = (rate * rate * 6 * noise ** 2) / (Math.PI ** 2 * 0.1 ** 2 * 1024 ** 3);
  const samples = ((): Float32Array => {
    const normal = gaussian(5);
    return render(
      20,
      rate,
      (i) => 0.1 * Math.sin((2 * Math.PI * 702.3 * i) / rate) + noise * normal(),
    );
  })();
  const [track] = tracksOf(samples);
  const points = track.frequencyHz.map((hz) => (hz - 702.3) ** 2);
  assert.ok(points.length > 290, 'each point is one frame');
  const seen = points.reduce((a, b) => a + b, 0) / points.length;
  assert.ok(seen > bound && seen < 3.6 * bound, `${seen / bound} times the bound`);
  const excess = ((0.1 ** 2 / 4) * 1024 * (2 / 3)) / noise ** 2;
  near(frameVariance(excess) * (rate / 1024) ** 2, 3 * bound, {
    rel: 1e-9,
    why: 'the same formula',
  });
});

test('between bins the frequency of a steady tone has no bias: less than 0.0005 bins without noise', () => {
  // The Hann window's transform is known in closed form; what is left is the image at negative frequency.
  for (let d = -0.5; d <= 0.5; d += 0.1) {
    const n = 1024;
    const bins = 100 + d;
    const at = (k: number): number => {
      let re = 0;
      let im = 0;
      for (let i = 0; i < n; i++) {
        const x =
          Math.sin((2 * Math.PI * bins * i) / n) * (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / n));
        re += x * Math.cos((2 * Math.PI * k * i) / n);
        im -= x * Math.sin((2 * Math.PI * k * i) / n);
      }
      return Math.hypot(re, im);
    };
    near(hannOffset(at(99), at(100), at(101)), d, { abs: 5e-4, why: 'image at −100 bins' });
  }
});

test('level: a sine of a tenth of full scale reads −23.01 dB; critical band at 1 kHz is 162 Hz', () => {
  // 20 log10(0.1/√2). Critical band: Zwicker & Terhardt (1980), from memory.
  const normal = gaussian(9);
  const samples = render(
    5,
    rate,
    (i) => 0.1 * Math.sin((2 * Math.PI * 777.3 * i) / rate) + 1e-4 * normal(),
  );
  const [track] = tracksOf(samples);
  near(track.levelDb, -23.0103, {
    abs: 0.05,
    why: 'power within three bins of the top: 0.02 dB is outside',
  });
  near(track.hz, 777.3, { abs: 0.003, why: 'steady tone, noise 55 dB below' });
  near(criticalBandHz(1000), 162, { abs: 0.5, why: 'three digits' });
});

test('tone-to-noise ratio comes out as it was put in; far above the noise the skirts of the tone count as noise', () => {
  for (const [db, allowed] of [
    [6, 1],
    [15, 1],
    [30, 2.2],
  ]) {
    const found = tracksOf(toneInNoise(900, 0, db, 33))
      .filter((track) => Math.abs(track.hz - 900) < 20)
      .sort((a, b) => b.levelDb - a.levelDb)[0];
    near(found.toneToNoiseDb, db, {
      abs: allowed,
      why: 'frames at both ends are half empty; noise is known to half a dB',
    });
  }
});
