/** Spectra against SciPy, and against what white noise and a sine must give. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import test from 'node:test';
import fc from 'fast-check';
import {
  noiseBandwidthBins,
  realFft,
  welch,
  windowOf,
  type WindowKind,
} from '../../../src/core/signal/index.ts';
import { near } from '../../near.ts';
import { gaussian, render } from './sounds.ts';

const reference = JSON.parse(
  fs.readFileSync(new URL('../../fixtures/signal/welch.json', import.meta.url), 'utf8'),
) as {
  scipy: string;
  sampleRateHz: number;
  kaiserBeta: number;
  samples: number[];
  windows: Record<string, number[]>;
  cases: {
    window: string;
    scaling: 'density' | 'spectrum';
    detrend: 'constant' | 'none';
    segment: number;
    overlap: number;
    hz: number[];
    psd: number[];
  }[];
};
const kindOf = (name: string): WindowKind =>
  name === 'kaiser' ? { kaiser: reference.kaiserBeta } : (name as WindowKind);

test('every window, scaling and detrending of the Welch spectrum agrees with SciPy', () => {
  assert.equal(reference.cases.length, 20);
  for (const { hz, psd, window, ...options } of reference.cases) {
    const found = welch(reference.samples, reference.sampleRateHz, {
      ...options,
      window: kindOf(window),
    });
    near(found.hz, hz, { rel: 1e-12, abs: 1e-9, why: 'the same bins' });
    const top = Math.max(...psd);
    near(found.psd, psd, {
      rel: 1e-9,
      abs: 1e-13 * top,
      why: `scipy.signal.welch ${reference.scipy}; near-empty bins (mean taken off) hold rounding alone`,
    });
  }
});

test('windows agree with SciPy', () => {
  for (const [name, weights] of Object.entries(reference.windows)) {
    near(windowOf(kindOf(name), weights.length), weights, {
      abs: 1e-14,
      why: `scipy.signal.get_window ${reference.scipy}`,
    });
  }
});

test('noise bandwidths are those of the table: Hann 1.50, 4-term Blackman-Harris 2.00 bins', () => {
  // F. J. Harris (1978), Proc. IEEE 66:51, table 1, two decimals.
  near(noiseBandwidthBins(windowOf('hann', 4096)), 1.5, { abs: 0.005, why: 'two decimals' });
  near(noiseBandwidthBins(windowOf('blackman-harris', 4096)), 2, {
    abs: 0.005,
    why: 'two decimals',
  });
});

test('white noise of variance 4 at 1000 Hz has a density of 0.008', () => {
  // 2 var/fs, Welch (1967).
  const normal = gaussian(3);
  const samples = render(200, 1000, () => 2 * normal());
  const { psd, segments } = welch(samples, 1000, { segment: 1024 });
  const mean = psd.slice(5, -5).reduce((sum, p) => sum + p, 0) / (psd.length - 10);
  assert.equal(segments, 389);
  near(mean, 0.008, { rel: 0.01, why: '200,000 samples: 0.3 % is one standard deviation' });
});

test('a sine of amplitude 3 on a bin: spectrum 4.5, density 3.0, and its power in the integral', () => {
  // A²/2 = 4.5; density A²/2/(1.5 bins of 1 Hz) = 3: Heinzel, Rüdiger & Schilling (2002).
  const samples = Float64Array.from(
    { length: 4096 },
    (_, i) => 3 * Math.sin((2 * Math.PI * 100 * i) / 1024),
  );
  const density = welch(samples, 1024, { segment: 1024 });
  const spectrum = welch(samples, 1024, { segment: 1024, scaling: 'spectrum' });
  near(spectrum.psd[100], 4.5, { rel: 1e-9, why: 'rounding' });
  near(density.psd[100], 3, { rel: 1e-9, why: 'rounding' });
  near(
    density.psd.reduce((sum, p) => sum + p, 0),
    4.5,
    { rel: 1e-9, why: 'Parseval, bins of 1 Hz' },
  );
});

test('the transform keeps energy (Parseval) and agrees with the defining sum', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 2, max: 9 }),
      fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 512, maxLength: 512 }),
      (power, values) => {
        const n = 2 ** power;
        const frame = Float64Array.from(values.slice(0, n));
        const spectrum = new Float64Array(n + 2);
        realFft(n).transform(frame, spectrum);
        let energy = 0;
        for (let k = 0; k <= n / 2; k++) {
          const both = k === 0 || k === n / 2 ? 1 : 2;
          energy += (both * (spectrum[2 * k] ** 2 + spectrum[2 * k + 1] ** 2)) / n;
        }
        near(
          energy,
          frame.reduce((sum, x) => sum + x * x, 0),
          { rel: 1e-12, abs: 1e-12, why: 'rounding' },
        );
        const k = Math.floor(n / 3);
        let re = 0;
        let im = 0;
        frame.forEach((x, i) => {
          re += x * Math.cos((2 * Math.PI * k * i) / n);
          im -= x * Math.sin((2 * Math.PI * k * i) / n);
        });
        near([spectrum[2 * k], spectrum[2 * k + 1]], [re, im], { abs: 1e-11, why: 'rounding' });
      },
    ),
    { seed: 4, numRuns: 40 },
  );
});

test('a segment that is no power of two, or longer than the sound, is refused', () => {
  assert.throws(() => welch([1, 2, 3, 4, 5, 6], 100, { segment: 6 }), /power of two/);
  assert.throws(() => welch([1, 2, 3, 4, 5, 6], 100, { segment: 8 }), /fewer than a segment/);
  assert.throws(() => welch([1, 2, 3, 4], 100, { segment: 4, overlap: 4 }), /overlap/);
});
