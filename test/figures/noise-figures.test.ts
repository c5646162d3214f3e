import test from 'node:test';
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { parseHTML } from 'linkedom';
import {
  curveWords,
  figureSvg,
  frequencyTicks,
  hzAtPlace,
  hzAtTorque,
  levelColours,
  levelRange,
  levelSteps,
  momentText,
  momentTicks,
  noiseCurvesFigure,
  noiseCurvesPlace,
  noiseSpectrumFigure,
  pixelsOf,
  placeOfHz,
  printPalette,
  spokeAtPlace,
} from '../../src/figures/index.ts';
import type { Figure, FigureStyle, FrequencyAxis } from '../../src/figures/index.ts';
import { near } from '../near.ts';
import { sampleCurves, sampleSpectrum } from './noise-sample.ts';

const renew = process.env.LAPBENCH_KEEP_FIGURES === '1';
const kept = path.join(import.meta.dirname, 'kept');
const { document } = parseHTML('<html><body></body></html>');
const wide: FigureStyle = { width: 720, fontSize: 16, palette: printPalette };
const phone: FigureStyle = { width: 358, fontSize: 15, palette: printPalette };

const pictures: Record<string, (style: FigureStyle) => Figure | null> = {
  'noise-curves': (style) => noiseCurvesFigure(sampleCurves(), style),
  'noise-spectrum': (style) => noiseSpectrumFigure(sampleSpectrum(), style),
};

for (const [name, describe] of Object.entries(pictures)) {
  for (const [size, style] of Object.entries({ wide, phone })) {
    test(`the picture "${name}" (${size}) is drawn as it was kept, and says its content in words`, () => {
      const figure = describe(style);
      assert.ok(figure);
      const svg = figureSvg(figure, document);
      const file = path.join(kept, `${name}-${size}.svg`);
      if (renew) fs.writeFileSync(file, svg);
      assert.ok(!svg.includes('NaN'));
      assert.ok(figure.description.length > 20);
      assert.equal(
        svg,
        fs.readFileSync(file, 'utf8'),
        `${name} changed; look at it, then renew it`,
      );
    });
  }
}

/** CIE L* of an sRGB colour: IEC 61966-2-1 and ISO/CIE 11664-4, D65; from memory. */
function lightness(red: number, green: number, blue: number): number {
  const linear = [red, green, blue].map((byte) => {
    const value = byte / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  const y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  return y > 216 / 24389 ? 116 * Math.cbrt(y) - 16 : (y * 24389) / 27;
}

for (const ground of ['light', 'dark'] as const) {
  test(`on ${ground} ground equal steps of level are equal steps of lightness (CIE L*)`, () => {
    const colours = levelColours(ground);
    const values = Array.from({ length: levelSteps }, (_, i) =>
      lightness(colours[4 * i], colours[4 * i + 1], colours[4 * i + 2]),
    );
    const span = values[levelSteps - 1] - values[0];
    assert.ok(
      ground === 'light' ? span < -80 : span > 80,
      'from one end of lightness to the other',
    );
    values.forEach((value, i) =>
      near(value, values[0] + (span * i) / (levelSteps - 1), {
        abs: 0.8,
        why: 'bytes round colours by up to about 0.4, clipping to sRGB adds as much',
      }),
    );
    // In the middle, where most of a picture lies, no step may go back.
    for (let i = 4; i < levelSteps; i++) assert.ok((values[i] - values[i - 4]) * span > 0);
  });
}

test('a tone is drawn at its own frequency on both axes, its level as its colour', () => {
  // 40 rows of 100 Hz; the cells at 1000 to 1100 Hz of the second column are loud.
  const edgesHz = Array.from({ length: 41 }, (_, i) => 100 + 100 * i);
  const levels = new Uint8Array(80).fill(20);
  levels[40 + 9] = 200;
  const cells = { columns: 2, rows: 40, edgesHz, levels };
  const colours = new Uint8ClampedArray(4 * levelSteps).map((_, i) => Math.floor(i / 4));
  for (const scale of ['log', 'linear'] as const) {
    const axis: FrequencyAxis = { scale, lowHz: 100, highHz: 4100 };
    const height = 400;
    const pixels = pixelsOf(cells, axis, height, { quiet: 20, loud: 200 }, colours);
    for (let y = 0; y < height; y++) {
      const hz = hzAtPlace(axis, 1 - (y + 0.5) / height);
      assert.equal(pixels[4 * 2 * y], 0, 'nothing in the first column');
      const step = hzAtPlace(axis, 1 - y / height) - hzAtPlace(axis, 1 - (y + 1) / height);
      if (hz > 1000 + step && hz < 1100 - step) assert.equal(pixels[4 * (2 * y + 1)], 255);
      if (hz < 1000 - step || hz > 1100 + step) assert.equal(pixels[4 * (2 * y + 1)], 0);
    }
  }
});

test('a tone thinner than a pixel is not lost', () => {
  const rows = 2000;
  const edgesHz = Array.from({ length: rows + 1 }, (_, i) => 80 + i);
  const levels = new Uint8Array(rows).fill(20);
  levels[777] = 200;
  const colours = new Uint8ClampedArray(4 * levelSteps).map((_, i) => Math.floor(i / 4));
  const axis: FrequencyAxis = { scale: 'linear', lowHz: 80, highHz: 2080 };
  const pixels = pixelsOf(
    { columns: 1, rows, edgesHz, levels },
    axis,
    100,
    { quiet: 20, loud: 200 },
    colours,
  );
  const loud = Array.from({ length: 100 }, (_, y) => pixels[4 * y]).filter(
    (value) => value === 255,
  );
  assert.equal(loud.length, 1);
});

test('places of an axis read backwards give the frequency', () => {
  for (const scale of ['log', 'linear'] as const) {
    const axis: FrequencyAxis = { scale, lowHz: 80, highHz: 12_000 };
    near(placeOfHz(axis, 80), 0, { abs: 1e-12, why: 'its low end' });
    near(placeOfHz(axis, 12_000), 1, { abs: 1e-12, why: 'its high end' });
    for (const hz of [100, 440, 3000])
      near(hzAtPlace(axis, placeOfHz(axis, hz)), hz, { rel: 1e-12, why: 'the same axis' });
  }
  const octaves: FrequencyAxis = { scale: 'log', lowHz: 100, highHz: 1600 };
  near(placeOfHz(octaves, 400), 0.5, { abs: 1e-12, why: 'two of four octaves' });
});

test('colours are spread over what is heard, and silence does not count', () => {
  const levels = new Uint8Array(10_000);
  levels.fill(100, 5000);
  levels.fill(220, 9990);
  const cells = { columns: 100, rows: 100, edgesHz: [], levels };
  assert.deepEqual(levelRange(cells), { quiet: 100, loud: 220 });
  assert.equal(levelRange({ ...cells, levels: new Uint8Array(100) }).quiet, 0);
  const flat = levelRange({ ...cells, levels: new Uint8Array(100).fill(90) });
  assert.equal(flat.loud - flat.quiet, 60, 'noise alone is not blown up to a picture');
});

test('axes have round numbers', () => {
  const log = frequencyTicks({ scale: 'log', lowHz: 80, highHz: 12_000 }, 12);
  assert.deepEqual(
    log.map(({ text }) => text.replace('\u202f', ' ')),
    ['100', '200', '300', '500', '1 k', '2 k', '3 k', '5 k', '10 k'],
  );
  const linear = frequencyTicks({ scale: 'linear', lowHz: 80, highHz: 1000 }, 5);
  assert.deepEqual(
    linear.map(({ hz }) => hz),
    [200, 400, 600, 800, 1000],
  );
  assert.deepEqual(
    momentTicks(0, 3600, 7).map(({ text }) => text),
    ['0:00', '10:00', '20:00', '30:00', '40:00', '50:00', '1:00:00'],
  );
  assert.deepEqual(
    momentTicks(61.95, 63, 4).map(({ text }) => text),
    ['1:02.0', '1:02.5', '1:03.0'],
  );
  assert.equal(momentText(59.97, 1), '1:00.0', 'rounded as a whole, not its seconds alone');
});

test('the curves say in words what spokes do, and which tone lies among them', () => {
  const figure = noiseCurvesFigure(sampleCurves(), wide)!;
  const words = figure.description.replaceAll('\u202f', ' ');
  assert.match(words, /7 spokes lose tension: 4\d\d to 4\d\d Hz at the least torque/);
  assert.match(words, /Laid across: tone 1 at 398 Hz/);
  assert.match(words, /Outside of the drawing: tone 3/);
  assert.match(words, /Held torque 45 N m/);
});

test('kinds of spokes differ by dash, and each is named: no colour is needed', () => {
  const svg = figureSvg(noiseCurvesFigure(sampleCurves(), wide)!, document);
  for (const words of ['lose tension', 'gain tension', 'unchanged'])
    assert.match(svg, new RegExp(`>${words}<`));
  const dashes = [...svg.matchAll(/stroke-dasharray="([^"]*)"/g)].map(([, dash]) => dash);
  assert.ok(dashes.includes('7 5') && dashes.includes('1.5 5'));
});

test('pointing at a curve names its spoke, and pointing beside all of them names none', () => {
  const data = sampleCurves();
  const { toX, toY, margin } = noiseCurvesPlace(data, wide);
  for (const curve of data.curves) {
    const hz = hzAtTorque(curve, 70)!;
    assert.equal(spokeAtPlace(data, wide, toX(70), toY(hz)), curve.spoke);
  }
  assert.equal(spokeAtPlace(data, wide, margin.left - 60, 5), null);
});

test('a spoke in words: what braking does to it, free and at the held torque', () => {
  const { curves } = sampleCurves();
  const words = curveWords(curves[0], 45).replaceAll('\u202f', ' ');
  const [free, held] = [0, 45].map((torque) => Math.round(hzAtTorque(curves[0], torque)!));
  assert.equal(words, `Spoke 1 (left) loses tension: ${free} Hz free, ${held} Hz at 45 N m.`);
  assert.equal(hzAtTorque(curves[0], 500), null, 'not beyond what was drawn');
});

test('without curves, or without a spectrum, there is no picture', () => {
  assert.equal(noiseCurvesFigure({ ...sampleCurves(), curves: [] }, wide), null);
  assert.equal(noiseSpectrumFigure({ ...sampleSpectrum(), hz: [], psdDb: [] }, wide), null);
  assert.equal(spokeAtPlace({ ...sampleCurves(), curves: [] }, wide, 10, 10), null);
});
