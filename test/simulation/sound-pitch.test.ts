import { test } from 'node:test';
import assert from 'node:assert/strict';
import { wireHz } from '../../src/simulation/index.ts';
import type { Wire } from '../../src/simulation/index.ts';
import { near } from '../near.ts';

// Values: stiff string with clamped ends, Fletcher & Rossing 2.18 and Morse 1948, tabled for steel of 200 GPa and
// 7900 kg/m³, 280 mm (reference table D of the project, computed apart from this code).
const round = (diameterM: number, young = 200e9, density = 7900): Wire => ({
  lengthM: 0.28,
  areaM2: (Math.PI * diameterM ** 2) / 4,
  secondMomentM4: (Math.PI * diameterM ** 4) / 64,
  youngPa: young,
  densityKgM3: density,
});
const why = 'table rounded to 0.01 Hz';

test('clamped steel spokes of 280 mm sound as the handbook equation says', () => {
  for (const [mm, tensionN, clamped, pinned, ratio] of [
    [2.0, 600, 319.05, 282.19, 2.092],
    [2.0, 1000, 397.59, 361.97, 2.057],
    [2.0, 1200, 431.14, 395.88, 2.048],
    [1.8, 1000, 432.22, 400.85, 2.038],
    [1.5, 1000, 504.86, 479.42, 2.019],
  ]) {
    const wire = round(mm / 1000);
    near(wireHz(wire, tensionN), clamped, { abs: 0.011, why });
    near(wireHz(wire, tensionN, 1, 0), pinned, { abs: 0.011, why });
    near(wireHz(wire, tensionN, 2) / wireHz(wire, tensionN), ratio, { abs: 6e-4, why });
  }
});

test('a bladed spoke of 2.2 by 0.9 mm has two pitches, flatwise 469.62 and edgewise 501.31 Hz', () => {
  const blade = { lengthM: 0.28, areaM2: 2.2e-3 * 0.9e-3, youngPa: 200e9, densityKgM3: 7900 };
  const flat = { ...blade, secondMomentM4: (2.2e-3 * 0.9e-3 ** 3) / 12 };
  const edge = { ...blade, secondMomentM4: (0.9e-3 * 2.2e-3 ** 3) / 12 };
  near(wireHz(flat, 1000), 469.62, { abs: 0.05, why: 'tolerance of the table' });
  near(wireHz(edge, 1000), 501.31, { abs: 0.05, why: 'tolerance of the table' });
});

test('a carbon spoke of 2.6 mm at 1000 N: 710.39 Hz', () => {
  near(wireHz(round(0.0026, 130e9, 1600), 1000), 710.39, {
    abs: 0.05,
    why: 'tolerance of the table',
  });
});

test('a slack spoke is a beam: 114.263 Hz clamped, 50.405 Hz pinned', () => {
  near(wireHz(round(0.002), 0), 114.263, { abs: 1e-3, why: 'beam tables, 4.7300² and π²' });
  near(wireHz(round(0.002), -50), 114.263, { abs: 1e-3, why: 'a spoke does not push' });
  near(wireHz(round(0.002), 0, 1, 0), 50.405, { abs: 1e-3, why: 'beam tables' });
  // Second clamped mode: (7.8532/4.7300)², beam tables.
  near(wireHz(round(0.002), 0, 2) / wireHz(round(0.002), 0), 2.7565, {
    abs: 2e-4,
    why: 'rounding',
  });
});

test('pinned overtones follow the closed form n·fs·√(1 + n²π²/ξ²)', () => {
  const wire = round(0.002);
  const bending = wire.youngPa * wire.secondMomentM4;
  const string = Math.sqrt(900 / (wire.densityKgM3 * wire.areaM2)) / (2 * wire.lengthM);
  const xi2 = (wire.lengthM ** 2 * 900) / bending;
  for (const n of [1, 2, 3, 4, 5]) {
    const closed = n * string * Math.sqrt(1 + (n * n * Math.PI ** 2) / xi2);
    near(wireHz(wire, 900, n, 0), closed, { rel: 1e-9, why: 'exact for pinned ends' });
  }
});

test('firmer ends raise every mode, between pinned and clamped', () => {
  for (const mode of [1, 2, 3]) {
    const pitches = [0, 0.2, 0.5, 0.8, 0.95, 1].map((fixity) =>
      wireHz(round(0.002), 1000, mode, fixity),
    );
    for (let i = 1; i < pitches.length; i++) assert.ok(pitches[i] > pitches[i - 1]);
  }
});
