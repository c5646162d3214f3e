/** Plucks: finding them, partials, decay, taps. All sounds are invented. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { decayOf, findPlucks } from '../../../src/core/signal/index.ts';
import { near } from '../../near.ts';
import { gaussian, render, uniform } from './sounds.ts';

const rate = 44100;

interface Stroke {
  atS: number;
  hz: number;
  decayS: number;
  /** Stretch B of a stiff string. */
  stretch: number;
  amplitude: number;
}

/** Strokes as stiff strings with six partials and a click of 2 ms, in white noise. */
function strokes(seconds: number, all: Stroke[], noise: number, seed: number): Float32Array {
  const normal = gaussian(seed);
  const samples = render(seconds, rate, () => noise * normal());
  for (const { atS, hz, decayS, stretch, amplitude } of all) {
    for (let i = Math.ceil(atS * rate); i < samples.length; i++) {
      const t = i / rate - atS;
      let x = amplitude * Math.exp(-t / 0.002) * normal();
      for (let n = 1; n <= 6; n++) {
        const f = n * hz * Math.sqrt((1 + stretch * n * n) / (1 + stretch));
        x +=
          (amplitude / n) *
          Math.exp((-t * Math.sqrt(n)) / decayS) *
          Math.sin(2 * Math.PI * f * t + n);
      }
      samples[i] += x;
    }
  }
  return samples;
}

test('sixteen plucked spokes, two bumps between them: each once, in order, pitch within a cent or two', () => {
  const draw = uniform(3);
  const all = Array.from({ length: 16 }, (_, k) => ({
    atS: 0.5 + 0.9 * k + 0.2 * draw(),
    hz: 330 + 150 * draw(),
    decayS: 0.08 + 0.15 * draw(),
    stretch: 0.015 + 0.015 * draw(),
    amplitude: 0.05 + 0.2 * draw(),
  }));
  const samples = strokes(15.5, all, 3e-4, 4);
  const normal = gaussian(5);
  for (const at of [2.05, 8.4]) {
    for (let i = 0; i < 0.05 * rate; i++)
      samples[Math.round(at * rate) + i] += 0.1 * Math.exp(-i / (0.006 * rate)) * normal();
  }
  const found = findPlucks(samples, rate);
  const plucks = found.filter(({ ringing }) => ringing > 0.5);
  assert.equal(plucks.length, 16);
  assert.ok(found.length <= 18);
  near(
    plucks.map(({ atS }) => atS),
    all.map(({ atS }) => atS),
    { abs: 0.012, why: 'blocks of 5 ms' },
  );
  plucks.forEach(({ partials, fundamental, doubts }, k) => {
    const { hz, standardUncertaintyHz, decayS, q } = partials[fundamental];
    near(hz, all[k].hz, { abs: 4 * standardUncertaintyHz + 0.01, why: 'stated uncertainty' });
    near(hz, all[k].hz, { rel: 0.001, why: '1.7 cents' });
    near(decayS ?? NaN, all[k].decayS, { rel: 0.1, why: 'a bump may fall into the tail' });
    near(q ?? NaN, Math.PI * hz * (decayS ?? NaN), { rel: 1e-9, why: 'Q = π f τ' });
    assert.deepEqual(doubts, []);
  });
});

test('taps and knocks are told from plucks: they do not ring', () => {
  const normal = gaussian(6);
  const samples = render(6, rate, () => 3e-4 * normal());
  // A dull knock: a resonance at 180 Hz with Q 3, and a click of noise.
  for (const at of [1, 3]) {
    for (let i = 0; i < 0.3 * rate; i++) {
      const t = i / rate;
      samples[at * rate + i] +=
        0.3 * Math.exp((-t * Math.PI * 180) / 3) * Math.sin(2 * Math.PI * 180 * t);
      samples[(at + 1) * rate + i] += 0.3 * Math.exp(-t / 0.004) * normal();
    }
  }
  const found = findPlucks(samples, rate);
  assert.equal(found.length, 4);
  for (const { ringing, doubts } of found) {
    assert.ok(ringing < 0.2, `rings ${ringing}`);
    assert.ok(doubts.length > 0);
  }
});

test('decay in noise: no bias of Q beyond 1 %, and the stated uncertainty holds it', () => {
  const draw = uniform(7);
  let inside = 0;
  let sum = 0;
  const runs = 100;
  for (let run = 0; run < runs; run++) {
    const normal = gaussian(1000 + run);
    const hz = 300 + 200 * draw();
    const decayS = 0.1;
    const phase = 6 * draw();
    const samples = render(0.8, rate, (i) => {
      const t = i / rate;
      return (
        0.03 * Math.exp(-t / decayS) * Math.sin(2 * Math.PI * hz * t + phase) + 0.01 * normal()
      );
    });
    const decay = decayOf(samples, rate, hz + 0.5, {
      clearanceHz: 150,
      noiseDensity: (2 * 1e-4) / rate,
    });
    assert.ok(decay?.q && decay.decayS && decay.standardUncertaintyS);
    sum += decay.decayS / decayS;
    if (Math.abs(decay.decayS - decayS) < 1.96 * decay.standardUncertaintyS) inside++;
  }
  near(sum / runs, 1, {
    abs: 0.011,
    why: 'noise 6 dB below the tone when struck flattens a fit of log amplitude as it stands by more',
  });
  assert.ok(inside >= 0.85 * runs, `${inside} of ${runs} within the 95 % interval`);
});

test('a steady tone has no decay, noise has none, and silence is no pluck', () => {
  const steady = render(1, rate, (i) => 0.1 * Math.sin((2 * Math.PI * 400 * i) / rate));
  assert.equal(decayOf(steady, rate, 400, { noiseDensity: 1e-12 })?.q, null);
  const normal = gaussian(8);
  assert.deepEqual(
    findPlucks(
      render(3, rate, () => 0.01 * normal()),
      rate,
    ),
    [],
  );
  assert.deepEqual(findPlucks(new Float32Array(rate), rate), []);
  assert.deepEqual(findPlucks(new Float32Array(3), rate), []);
});
