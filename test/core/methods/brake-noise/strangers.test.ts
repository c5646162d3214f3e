/** Recordings as someone else might invent or make them, from samples to odds; the sounds are made here. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { ToneTrack } from '../../../../src/core/evidence/index.ts';
import { soundAnalyser } from '../../../../src/core/signal/index.ts';
import { gaussian } from '../../signal/sounds.ts';
import { find, oddsOf, pluck, spokesOdds } from './howls.ts';

interface Invented {
  seconds: number;
  rateHz: number;
  /** 0: silent there. */
  hzAt: (t: number) => number;
  /** Tone over the noise in a band of this width about it, dB. */
  db: number;
  bandHz: number;
}

/** A tone in white noise. */
function heard({ seconds, rateHz, hzAt, db, bandHz }: Invented): ToneTrack[] {
  const normal = gaussian(7);
  const noise = 0.02;
  const inBand = noise * Math.sqrt((2 * bandHz) / rateHz);
  const amplitude = Math.SQRT2 * inBand * 10 ** (db / 20);
  let phase = 0;
  const samples = Float32Array.from({ length: seconds * rateHz }, (_, i) => {
    const hz = hzAt(i / rateHz);
    phase += (2 * Math.PI * hz) / rateHz;
    return noise * normal() + (hz > 0 ? amplitude * Math.sin(phase) : 0);
  });
  const analyser = soundAnalyser(rateHz);
  analyser.push(samples);
  return analyser.finish().tracks;
}

/** Braking in three strengths, four seconds each, two between. */
const strength = (t: number): number => (t % 6 < 4 ? [0.6, 1.4, 1][Math.floor(t / 6) % 3] : 0);
const speed = (): { timeS: number[]; wheelHz: number[] } => {
  const timeS: number[] = [];
  const wheelHz: number[] = [];
  let turns = 5;
  for (let i = 0; i <= 1800; i++) {
    if (i % 100 === 0) {
      timeS.push(i / 100);
      wheelHz.push(turns);
    }
    turns += (strength(i / 100) > 0 ? 0.5 - 1.1 * strength(i / 100) : 1) / 100;
  }
  return { timeS, wheelHz };
};

const pluckedSpokes = (free: number[], loaded: number[], torqueNm: number) => [
  { file: 'free.wav', brakeTorqueNm: 0, spokes: null, plucks: free.map((hz, i) => pluck(i, hz)) },
  {
    file: 'loaded.wav',
    brakeTorqueNm: torqueNm,
    spokes: null,
    plucks: loaded.map((hz, i) => pluck(i, hz)),
  },
];
const free = [421, 428, 415, 433, 424, 418, 430, 426];
const loaded = free.map((hz, i) => hz * (i % 2 ? 1.08 : 0.91));

test('0 dB in a third of an octave, plucks only, no sheet: a tone 8 % down under braking is a spoke that loses', () => {
  const tracks = heard({
    seconds: 18,
    rateHz: 44_100,
    hzAt: (t) => (strength(t) > 0 ? 421 * (1 - 0.085 * strength(t)) : 0),
    db: 0,
    bandHz: 97,
  });
  const finding = find({
    tracks,
    wheelSpeed: speed(),
    sessions: pluckedSpokes(free, loaded, 40),
    brakeTorqueNm: 40,
  });
  assert.equal(finding.explanations[0].id, 'spokes-losing-disc-side');
});

test('the same without the ride: spokes are still ahead of everything else', () => {
  const tracks = heard({
    seconds: 18,
    rateHz: 44_100,
    hzAt: (t) => (strength(t) > 0 ? 421 * (1 - 0.085 * strength(t)) : 0),
    db: 3,
    bandHz: 97,
  });
  const finding = find({ tracks, sessions: pluckedSpokes(free, loaded, 40) });
  assert.ok(spokesOdds(finding) > 0.6, `${spokesOdds(finding)}`);
  assert.equal(finding.explanations[0].id, 'spokes-losing-disc-side');
});

test('1 kHz whatever the speed, 0 dB in a band of 100 Hz: squeal', () => {
  const tracks = heard({
    seconds: 18,
    rateHz: 44_100,
    hzAt: (t) => (strength(t) > 0 ? 1000 : 0),
    db: 0,
    bandHz: 100,
  });
  const finding = find({ tracks, wheelSpeed: speed(), sessions: pluckedSpokes(free, loaded, 40) });
  assert.equal(finding.explanations[0].id, 'brake-unit-squeal');
  assert.ok(oddsOf(finding, 'brake-unit-squeal') > 0.7);
});

test('one tone from start to end, braked or not, at 1.8 kHz: none of these', () => {
  const tracks = heard({ seconds: 18, rateHz: 48_000, hzAt: () => 1800, db: 6, bandHz: 200 });
  const finding = find({ tracks, wheelSpeed: speed(), sessions: pluckedSpokes(free, loaded, 40) });
  assert.equal(finding.explanations[0].id, 'none-of-these');
});

test('sound alone, one howl at 950 Hz: squeal is likelier than spokes, and nothing is certain', () => {
  const tracks = heard({
    seconds: 6,
    rateHz: 44_100,
    hzAt: (t) => (t > 1 && t < 5 ? 950 : 0),
    db: 6,
    bandHz: 160,
  });
  const finding = find({ tracks });
  assert.equal(finding.explanations[0].id, 'brake-unit-squeal');
  assert.ok(finding.explanations[0].odds < 0.95, `${finding.explanations[0].odds}`);
});

test('40 cycles a turn, gliding with the wheel: what passes with the wheel', () => {
  const { timeS, wheelHz } = speed();
  const at = (t: number): number => {
    const i = Math.min(timeS.length - 2, Math.floor(t));
    return wheelHz[i] + (t - i) * (wheelHz[i + 1] - wheelHz[i]);
  };
  const tracks = heard({
    seconds: 18,
    rateHz: 44_100,
    hzAt: (t) => 40 * at(t),
    db: 6,
    bandHz: 60,
  });
  const finding = find({ tracks, wheelSpeed: speed(), sessions: pluckedSpokes(free, loaded, 40) });
  assert.equal(finding.explanations[0].id, 'turning-with-the-wheel');
});
