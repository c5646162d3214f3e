import { test } from 'node:test';
import assert from 'node:assert/strict';
import { simulatePlucks, simulateWheel } from '../../src/simulation/index.ts';
import { near } from '../near.ts';
import { powerAt, rmsOf, strongestHz } from './sound-spectrum.ts';

const wheel = simulateWheel({}, 5);
const calm = { wheel, sampleRateHz: 48_000, roomDbfs: -90 };

test('a pluck sounds at the pitch of its spoke and dies as its Q says, at 48 and 44.1 kHz', () => {
  for (const sampleRateHz of [48_000, 44_100]) {
    const { samples, truth } = simulatePlucks({ ...calm, sampleRateHz, order: [1, 2, 15] }, 3);
    for (const { atS, partials } of truth.plucks) {
      const cut = (from: number, seconds: number): Float32Array =>
        samples.slice((atS + from) * sampleRateHz, (atS + from + seconds) * sampleRateHz);
      const { hz, q } = partials[0];
      const decayS = q / (Math.PI * hz);
      const heard = strongestHz(cut(0.02, 0.25), [hz - 20, hz + 20], sampleRateHz);
      near(heard, hz, { abs: 0.3, why: 'a quarter of a second, decaying' });
      const early = powerAt(cut(0.05, 0.1), hz, sampleRateHz);
      const late = powerAt(cut(0.05 + decayS, 0.1), hz, sampleRateHz);
      near(10 * Math.log10(early / late), 20 * Math.log10(Math.E), {
        abs: 0.1,
        why: 'one decay time lowers the amplitude by e',
      });
    }
  }
});

test('under the lever, spokes of one lean sink and of the other rise, by the weight’s torque', () => {
  const free = simulatePlucks({ ...calm, order: [1, 3] }, 1);
  const lever = { massKg: 10, lengthM: 0.4 };
  const held = simulatePlucks({ ...calm, order: [1, 3], lever }, 1);
  assert.equal(free.brakeTorqueNm, 0);
  near(held.brakeTorqueNm, 39.2266, { abs: 1e-6, why: '10 kg · 9.80665 m/s² · 0.4 m' });
  const pitch = (one: typeof free, i: number): number => one.truth.plucks[i].partials[0].hz;
  assert.ok(pitch(held, 0) < pitch(free, 0) - 2);
  assert.ok(pitch(held, 1) > pitch(free, 1) + 2);
});

test('a spoke left out and one plucked twice are in the order of the truth', () => {
  const order = [1, 2, 2, 4];
  const { truth, samples } = simulatePlucks({ ...calm, order }, 2);
  assert.deepEqual(
    truth.plucks.map(({ spoke }) => spoke),
    order,
  );
  for (const { atS } of truth.plucks) {
    const before = rmsOf(samples.slice((atS - 0.05) * 48_000, atS * 48_000));
    const after = rmsOf(samples.slice(atS * 48_000, (atS + 0.05) * 48_000));
    assert.ok(after > 3 * before, `a pluck begins at ${atS} s`);
  }
});

test('knocks and taps are over before a pluck is', () => {
  const one = { ...calm, order: [1], everyS: 3 };
  const alone = simulatePlucks(one, 4).samples;
  for (const kind of ['knock', 'tap'] as const) {
    const { samples, truth } = simulatePlucks({ ...one, [`${kind}s`]: 1 }, 4);
    const added = samples.map((x, k) => x - alone[k]);
    const [{ atS, kind: said }] = truth.others;
    assert.equal(said, kind);
    const first = rmsOf(added.slice(atS * 48_000, (atS + 0.02) * 48_000));
    const later = rmsOf(added.slice((atS + 0.15) * 48_000, (atS + 0.17) * 48_000));
    assert.ok(first > 0.005 && later < 0.05 * first, `${first}, then ${later}`);
  }
});

test('the crossing spoke sounds along as loud as asked', () => {
  const q = { qLow: 400, qHigh: 400 };
  const one = { ...calm, ...q, order: [1] };
  const { samples, truth } = simulatePlucks({ ...one, crossingDb: 0 }, 1);
  const [{ atS, crossingHz, partials }] = truth.plucks;
  assert.ok(crossingHz !== null && Math.abs(crossingHz - partials[0].hz) > 5);
  const cut = (x: Float32Array): Float32Array =>
    x.slice((atS + 0.02) * 48_000, (atS + 0.4) * 48_000);
  const damped = simulatePlucks({ ...one, crossingDb: null }, 1).samples;
  const loud = powerAt(cut(samples), crossingHz, 48_000);
  assert.ok(loud > 20 * powerAt(cut(damped), crossingHz, 48_000));
});

test('a wheel without that spoke, and no spoke at all, are refused', () => {
  assert.throws(() => simulatePlucks({ wheel, order: [99] }), /no spoke 99/);
  assert.throws(() => simulatePlucks({ wheel, order: [] }), RangeError);
});
