/** Tones in and out of noise, tracks, families, ticking, parts joined, levels. All sounds are invented. */
import assert from 'node:assert/strict';
import test from 'node:test';
import {
  decibelsOf,
  mergeAnalyses,
  soundAnalyser,
  splitSound,
  type AnalyserOptions,
  type SoundAnalysis,
} from '../../../src/core/signal/index.ts';
import { findPeaks, peakList } from '../../../src/core/signal/peaks.ts';
import { near } from '../../near.ts';
import { chain, gaussian, hum, render, ticking, uniform, wind } from './sounds.ts';

function analyse(
  samples: Float32Array,
  rate: number,
  options: AnalyserOptions = {},
): SoundAnalysis {
  const analyser = soundAnalyser(rate, options);
  for (let i = 0; i < samples.length; i += 10007) analyser.push(samples.subarray(i, i + 10007));
  return analyser.finish();
}

/** `minutes` made and analysed second by second. */
function analyseLong(rate: number, minutes: number, sample: (i: number) => number): SoundAnalysis {
  const analyser = soundAnalyser(rate);
  for (let s = 0; s < 60 * minutes; s++)
    analyser.push(render(1, rate, (i) => sample(s * rate + i)));
  return analyser.finish();
}

for (const [name, make] of [
  ['wind with gusts', (): ((i: number) => number) => wind(8000, 1)],
  ['a chain with irregular ticks', (): ((i: number) => number) => chain(8000, 80, 0.03, 2)],
  ['a chain with regular bursts', (): ((i: number) => number) => chain(8000, 83, 0, 3)],
  ['the broad hum of a tyre', (): ((i: number) => number) => hum(8000, 300, 120, 4)],
  [
    'white noise',
    (): ((i: number) => number) => {
      const normal = gaussian(5);
      return () => 0.01 * normal();
    },
  ],
] as const) {
  test(`four minutes of ${name} hold no tone`, () => {
    // Asked for: fewer than one false tone in ten minutes on recordings without any.
    assert.deepEqual(
      analyseLong(8000, 4, make()).tracks.map(({ hz, startS }) => ({ hz, startS })),
      [],
    );
  });
}

test('a regular ticking is told as one ticking, not as a dozen tones', () => {
  const { tracks, ticking: combs } = analyseLong(16000, 1, ticking(16000, 100, 0.004, 6));
  assert.deepEqual(
    tracks.map(({ hz }) => hz),
    [],
  );
  assert.equal(combs.length, 1);
  near(combs[0].hz, 100, {
    rel: 0.01,
    why: 'ticks of 100 per second, interval known to 0.4 % each',
  });
  assert.ok(combs[0].lines >= 3);
});

test('a howl at 0 dB that glides with torque is one track, with its drift and its times', () => {
  const normal = gaussian(8);
  const rate = 16000;
  const band = (162 * 2 * (0.01 * 0.01)) / rate;
  const amplitude = Math.sqrt(2 * band);
  const samples = render(14, rate, (i) => {
    const t = i / rate - 4;
    const on = t > 0 && t < 6 && !(t > 3 && t < 3.2);
    return 0.01 * normal() + (on ? amplitude * Math.sin(2 * Math.PI * (900 * t + 10 * t * t)) : 0);
  });
  const { tracks } = analyse(samples, rate);
  assert.equal(tracks.length, 1, 'a gap of 0.2 s does not end it');
  const [track] = tracks;
  near([track.startS, track.endS], [4, 10], { abs: 0.25, why: 'two frames of 0.13 s' });
  near(track.driftHzPerS, 20, { rel: 0.05, why: 'some 90 frames of a weak tone' });
  near(track.toneToNoiseDb, 0, {
    abs: 1.5,
    why: 'noise alone moves a frame of a weak tone by some dB',
  });
});

test('two tones: a loud one throws no skirt beside it, and its harmonics know their fundamental', () => {
  const normal = gaussian(10);
  const rate = 16000;
  const samples = render(6, rate, (i) => {
    const t = i / rate;
    if (t < 1 || t > 5) return 1e-4 * normal();
    const wave = (hz: number): number => Math.sin(2 * Math.PI * hz * t);
    return (
      0.3 * wave(412.3) +
      0.1 * wave(824.6) +
      0.03 * wave(1236.9) +
      0.02 * wave(701.9) +
      1e-4 * normal()
    );
  });
  const { tracks } = analyse(samples, rate);
  near(
    tracks.map(({ hz }) => hz).sort((a, b) => a - b),
    [412.3, 701.9, 824.6, 1236.9],
    {
      abs: 0.05,
      why: 'steady tones far above the noise; ends of the tones count in',
    },
  );
  const low = tracks.findIndex(({ hz }) => Math.abs(hz - 412.3) < 1);
  for (const { hz, harmonic, harmonicOf } of tracks) {
    const n = hz / 412.3;
    const member = Math.abs(n - Math.round(n)) < 0.01 && n > 1.5;
    assert.deepEqual(
      [harmonicOf, harmonic],
      member ? [low, Math.round(n)] : [null, null],
      `${hz} Hz`,
    );
  }
});

test('a word called out once is no tone of the bicycle; a short squeal that comes again is', () => {
  const rate = 8000;
  const normal = gaussian(14);
  const samples = render(90, rate, (i) => {
    const t = i / rate;
    const burst = (from: number, hz: number): number =>
      t > from && t < from + 0.7 ? 0.02 * Math.sin(2 * Math.PI * hz * t) : 0;
    return 0.01 * normal() + burst(20, 470) + burst(40, 1210) + burst(70, 1225);
  });
  const found = analyse(samples, rate).tracks.map(({ hz }) => Math.round(hz / 5) * 5);
  assert.deepEqual(found, [1210, 1225]);
  const short = analyse(samples.subarray(0, 30 * rate), rate).tracks;
  assert.equal(short.length, 1, 'a recording below a minute keeps its only one');
});

test('a maximum 60 dB below a neighbour ten bins away is its skirt; one 20 dB below is a tone', () => {
  const found = (besideDb: number): number[] => {
    const power = new Float64Array(512).fill(1e-3);
    const beside = 1e6 * 10 ** (besideDb / 10);
    power.set([0.3e6, 1e6, 0.3e6], 99);
    power.set([0.3 * beside, beside, 0.3 * beside], 109);
    const peaks = peakList(512);
    findPeaks(power, new Float64Array(512).fill(1e-3), 10, 500, 6, 1, peaks);
    return [...peaks.bin.subarray(0, peaks.count)];
  };
  assert.deepEqual(found(-60), [100]);
  assert.deepEqual(found(-20), [100, 110]);
});

test('a howl that is broken off twice a second is one tone', () => {
  const rate = 16000;
  const normal = gaussian(16);
  const samples = render(10, rate, (i) => {
    const t = i / rate;
    return (t % 0.5 < 0.3 ? 0.1 * Math.sin(2 * Math.PI * 905 * t) : 0) + 1e-3 * normal();
  });
  assert.deepEqual(
    analyse(samples, rate).tracks.map(({ hz }) => Math.round(hz)),
    [905],
  );
});

test('a loud tone over hardly any noise is one tone: the skirts of its peak are none', () => {
  const rate = 16000;
  const normal = gaussian(15);
  const samples = render(10, rate, (i) => {
    const t = i / rate;
    const wobble = 0.3 * Math.sin(2 * Math.PI * 0.7 * t);
    return 0.3 * Math.sin(2 * Math.PI * (905 * t + wobble)) + 3e-6 * normal();
  });
  const { tracks } = analyse(samples, rate);
  assert.deepEqual(
    tracks.map(({ hz }) => Math.round(hz)),
    [905],
  );
});

/** Three minutes with tones drawn anew each few seconds. */
function longRide(rate: number): Float32Array {
  const normal = gaussian(12);
  const draw = uniform(13);
  const tones = Array.from({ length: 40 }, (_, k) => ({
    from: 6 * k + 3 * draw(),
    seconds: 1 + 2 * draw(),
    hz: 300 + 2000 * draw(),
  }));
  tones.push({ from: 115, seconds: 10, hz: 640 });
  return render(240, rate, (i) => {
    const t = i / rate;
    let x = 0.01 * normal();
    for (const { from, seconds, hz } of tones)
      if (t > from && t < from + seconds) x += 0.01 * Math.sin(2 * Math.PI * hz * t);
    return x;
  });
}

test('halves analysed side by side give the tones of the whole, one across the seam included', () => {
  const rate = 8000;
  const samples = longRide(rate);
  const whole = analyse(samples, rate);
  const parts = splitSound(samples.length, rate, 2);
  assert.equal(parts.length, 2);
  const joined = mergeAnalyses(
    parts.map((part) => {
      const analyser = soundAnalyser(rate, { part });
      analyser.push(samples.subarray(part.readFromSample, part.readToSample));
      return structuredClone(analyser.finishPart());
    }),
  );
  const seam = parts[1].countFromSample / rate;
  const before = ({ tracks }: SoundAnalysis): object[] =>
    tracks.filter(({ endS }) => endS < seam - 1).map(({ harmonicOf: _, ...track }) => track);
  assert.deepEqual(before(joined), before(whole), 'up to the seam nothing differs at all');
  assert.equal(joined.tracks.length, whole.tracks.length);
  const why = 'after the seam the floor remembers 40 s: a frame more or less at an end';
  for (const [key, abs] of [
    ['startS', 0.14],
    ['endS', 0.14],
    ['hz', 0.1],
    ['levelDb', 0.3],
  ] as const) {
    const of = ({ tracks }: SoundAnalysis): number[] => tracks.map((track) => track[key]);
    near(of(joined), of(whole), { abs, why });
  }
  assert.ok(
    joined.tracks.some(({ startS, endS }) => startS < seam - 1 && endS > seam + 1),
    'the tone across the seam is one',
  );
  const { rmsDbfs, ...levels } = joined.levels;
  const { rmsDbfs: wholeRms, ...wholeLevels } = whole.levels;
  near(rmsDbfs, wholeRms, { abs: 1e-9, why: 'order of summing' });
  assert.deepEqual(levels, wholeLevels);
  near(joined.spectrum.psd, whole.spectrum.psd, { rel: 1e-9, why: 'order of summing' });
  assert.deepEqual(joined.overview, whole.overview);
});

test('the same samples in other pieces give the same analysis', () => {
  const samples = longRide(8000).subarray(0, 8000 * 20);
  const one = soundAnalyser(8000);
  one.push(samples);
  const many = soundAnalyser(8000);
  for (let i = 0; i < samples.length; i += 37) many.push(samples.subarray(i, i + 37));
  const { levels, ...rest } = many.finish();
  const { levels: expected, ...restExpected } = one.finish();
  assert.deepEqual(rest, restExpected);
  near(levels.rmsDbfs, expected.rmsDbfs, { abs: 1e-9, why: 'order of summing' });
});

test('levels: a full-scale sine, clipping with its share and moments, and digital silence', () => {
  const rate = 8000;
  const sine = analyse(
    render(2, rate, (i) => 0.998 * Math.sin((2 * Math.PI * 440 * i) / rate)),
    rate,
  );
  near(sine.levels.rmsDbfs, -3.01 + 20 * Math.log10(0.998), { abs: 0.005, why: '20 log10(1/√2)' });
  assert.equal(sine.levels.clippedShare, 0);
  const clipped = analyse(
    render(4, rate, (i) =>
      i < 2 * rate ? 0 : Math.max(-1, Math.min(1, 2 * Math.sin((2 * Math.PI * 100 * i) / rate))),
    ),
    rate,
  );
  // |sin| ≥ 1/2 two thirds of the time, over half of the recording.
  near(clipped.levels.clippedShare, 1 / 3, { abs: 0.01, why: 'whole samples: 80 a period' });
  near(clipped.levels.silentShare, 0.5, { abs: 0.001, why: 'two seconds of four' });
  near(clipped.levels.clippedAtS, [2, 3], { abs: 0.01, why: 'told once a second' });
});

test('silence, and a sound shorter than a frame, are answers and no error', () => {
  const silent = analyse(new Float32Array(48000), 48000);
  assert.deepEqual(silent.tracks, []);
  assert.equal(silent.levels.silentShare, 1);
  assert.equal(silent.levels.rmsDbfs, -200);
  const short = analyse(
    render(0.05, 48000, (i) => Math.sin(i)),
    48000,
  );
  assert.deepEqual(short.tracks, []);
  assert.ok(short.spectrum.psd.every(Number.isFinite));
  assert.deepEqual(analyse(new Float32Array(0), 48000).tracks, []);
  assert.throws(() => soundAnalyser(500), /sampling rate/);
  assert.throws(() => soundAnalyser(8000, { lowestHz: 3000, highestHz: 3100 }), /band/);
});

test('the overview of a long sound stays within 2000 by 512 cells and shows the tone where it is', () => {
  const rate = 4000;
  const analyser = soundAnalyser(rate);
  const minute = render(60, rate, (i) => 0.001 * Math.sin(i * i));
  const tone = render(60, rate, (i) => 0.1 * Math.sin((2 * Math.PI * 500 * i) / rate));
  for (let m = 0; m < 9; m++) analyser.push(m === 4 ? tone : minute);
  const { overview } = analyser.finish();
  const rows = overview.hz.length;
  assert.equal(overview.levelDb.length, overview.timeS.length * rows);
  assert.ok(overview.timeS.length <= 2000 && overview.timeS.length > 1000 && rows <= 512);
  const column = overview.timeS.findIndex((t) => t > 270);
  const cells = overview.levelDb.subarray(column * rows, (column + 1) * rows);
  const row = cells.indexOf(Math.max(...cells));
  assert.ok(overview.edgesHz[row] <= 500 && overview.edgesHz[row + 1] >= 500);
  near(decibelsOf(cells[row]), 20 * Math.log10(0.1 / Math.SQRT2), {
    abs: 1.7,
    why: 'half dB steps; between bins a Hann window loses 1.4 dB',
  });
});
