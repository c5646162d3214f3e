import { test } from 'node:test';
import assert from 'node:assert/strict';
import { noiseConditionsOf } from '../../src/simulation/sound/conditions.ts';
import { noiseLayers, planNoise, tickLayer } from '../../src/simulation/sound/background.ts';
import type { Descent } from '../../src/simulation/sound/descent.ts';
import {
  chain,
  colouredNoise,
  criticalBandHz,
  onePole,
  onePoleHigh,
  pink,
} from '../../src/simulation/sound/filters.ts';
import { randomStream } from '../../src/simulation/index.ts';
import { near } from '../near.ts';
import { densityOf, powerAt, rmsOf, strongestHz } from './sound-spectrum.ts';

/** A ride at one speed. */
function steady(speedMps: number, seconds: number): Descent {
  const n = seconds * 100 + 2;
  return {
    stepS: 0.01,
    fromS: 0,
    speedMps: new Float64Array(n).fill(speedMps),
    brakeTorqueNm: new Float64Array(n),
    turns: new Float64Array(n),
    pedalling: new Uint8Array(n),
    brakings: [],
  };
}

const calm = noiseConditionsOf({
  sampleRateHz: 8000,
  background: { gustMps: 0, headwindMps: 0 },
});

test('coloured noise has unit power and the spectrum it says it has', () => {
  const fs = 8000;
  for (const filter of [
    () => chain(pink(fs), onePole(1500, fs)),
    () => chain(onePoleHigh(300, fs), onePoleHigh(300, fs), onePole(2000, fs), onePole(2000, fs)),
  ]) {
    const noise = colouredNoise(randomStream(1, 'test'), filter(), fs);
    const samples = Float64Array.from({ length: 120_000 }, () => noise.next());
    near(rmsOf(samples), 1, { rel: 0.06, why: 'fifteen seconds, most of the power below 50 Hz' });
    for (const hz of [200, 500, 1000, 2500]) {
      near(densityOf(samples, hz, fs, 512), noise.density(hz), {
        rel: 0.15,
        why: 'about 460 overlapping pieces: 5 %, and the slope within a line of 24 Hz',
      });
    }
  }
});

test('pink noise loses about 3 dB an octave from 20 Hz to 2 kHz', () => {
  const { power } = pink(48_000);
  for (let hz = 20; hz < 2000; hz *= 4) {
    const dropDb = 10 * Math.log10(power(hz) / power(4 * hz));
    near(dropDb, 6, { abs: 1, why: 'poles two octaves apart ripple a little' });
  }
});

test('wind grows with speed to the power 2.5, the tyre with 1.5', () => {
  const part = (speed: number, stream: string): number => {
    const { parts } = planNoise(calm, steady(speed, 200), 3);
    const own = parts.find((one) => one.stream === stream);
    assert.ok(own);
    return rmsOf(own.gain);
  };
  near(part(12, 'wind') / part(6, 'wind'), 2 ** 2.5, { rel: 1e-9, why: 'the same gusts' });
  near(part(12, 'tyre') / part(6, 'tyre'), 2 ** 1.5, { rel: 1e-9, why: 'no chance in it' });
  near(20 * Math.log10(part(12, 'tyre')), -36, { abs: 1e-9, why: 'as the conditions say' });
});

test('the sum of the steady noises has the density that tone levels are set by', () => {
  const ride = steady(10, 16);
  const plan = planNoise(calm, ride, 1);
  const out = new Float64Array(15 * 8000);
  for (const layer of noiseLayers(plan, ride, 8000, 1)) layer(out, 0);
  for (const hz of [400, 1200]) {
    const expected = plan.parts.reduce(
      (sum, { gain, density }) => {
        return sum + rmsOf(gain) ** 2 * density(hz);
      },
      plan.floor ** 2 / 4000,
    );
    near(densityOf(out, hz, 8000, 512), expected, {
      rel: 0.2,
      why: 'gusty: fewer independent pieces',
    });
  }
});

test('the freehub ticks as often as it has teeth, by the turns of the wheel', () => {
  const conditions = noiseConditionsOf({
    sampleRateHz: 16_000,
    background: { freehubTicksPerTurn: 18 },
  });
  const out = new Float64Array(10 * 16_000);
  tickLayer(conditions, steady(4, 11), 2)(out, 0);
  let ticks = 0;
  let silentUntil = 0;
  out.forEach((x, k) => {
    if (Math.abs(x) < 0.01 || k < silentUntil) return;
    ticks++;
    silentUntil = k + 200;
  });
  const turnsPerS = 4 / (2 * Math.PI * conditions.wheel.tyreRadiusM);
  near(ticks, 10 * 18 * turnsPerS, { rel: 0.03, why: 'jitter of a few per cent of a tick' });
});

test('the freehub ticks high up and hardly hums at the rate of its teeth', () => {
  const conditions = noiseConditionsOf({ sampleRateHz: 16_000 });
  const out = new Float64Array(10 * 16_000);
  tickLayer(conditions, steady(9, 11), 2)(out, 0);
  const teethHz = (36 * 9) / (2 * Math.PI * conditions.wheel.tyreRadiusM);
  const piece = out.slice(0, 32_000);
  // The strongest line about each of the first three multiples, against all there is.
  for (const times of [1, 2, 3]) {
    const hz = strongestHz(piece, [0.98 * times * teethHz, 1.02 * times * teethHz], 16_000);
    const line = 10 * Math.log10(powerAt(piece, hz, 16_000) / rmsOf(piece) ** 2);
    assert.ok(line < -30, `${times} times: ${line.toFixed(1)} dB of the ticks' power`);
  }
});

test('critical bands: 100 Hz wide at the bottom, 162 Hz at 1 kHz', () => {
  // ECMA-418-1 and Zwicker & Terhardt 1980: 162,2 Hz at 1 kHz (from memory).
  near(criticalBandHz(0), 100, { rel: 1e-9, why: 'the formula at zero' });
  near(criticalBandHz(1000), 162.2, { abs: 0.1, why: 'rounded' });
});
