import test from 'node:test';
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { parseHTML } from 'linkedom';
import {
  figureSvg,
  highOrLow,
  pluckLevelFigure,
  pluckPitchFigure,
  printPalette,
} from '../../src/figures/index.ts';
import type { Figure, FigureStyle, PluckPitchData } from '../../src/figures/index.ts';

const renew = process.env.LAPBENCH_KEEP_FIGURES === '1';
const kept = path.join(import.meta.dirname, 'kept');
const { document } = parseHTML('<html><body></body></html>');
const wide: FigureStyle = { width: 720, fontSize: 16, palette: printPalette };
const phone: FigureStyle = { width: 358, fontSize: 15, palette: printPalette };

/** 24 invented spokes, under torque beside free; spoke 7 far off, the last four not plucked. */
function samplePitches(): PluckPitchData {
  const spokes = Array.from({ length: 24 }, (_, i) => {
    const side = i % 2 === 0 ? ('left' as const) : ('right' as const);
    const besideHz = (side === 'left' ? 420 : 350) + 6 * Math.sin(i * 2.3);
    const share = i === 6 ? 0.8 : 1 + (i % 4 < 2 ? 0.06 : -0.07);
    return {
      spoke: i + 1,
      side,
      hz: i < 20 ? besideHz * share : null,
      besideHz,
      farOff: i === 6 ? -0.18 : null,
    };
  });
  return { spokes, words: 'under 31.4 N m', besideWords: 'free', now: 21 };
}

/** Five strokes that die away, the third a tap. */
function sampleLevels() {
  const levelDb = Array.from({ length: 90 }, (_, i) =>
    Math.max(-62 + Math.sin(i * 1.7), -14 - 3.1 * (i % 18)),
  );
  const plucks = [0, 1, 2, 3, 4].map((i) => ({
    atS: 1.8 * i,
    name: String(i + 1),
    used: i !== 2,
  }));
  return { fromS: 0, columnS: 0.1, levelDb, plucks, playing: 3 };
}

const pictures: Record<string, (style: FigureStyle) => Figure | null> = {
  'pluck-pitches': (style) => pluckPitchFigure(samplePitches(), style),
  'pluck-levels': (style) => pluckLevelFigure(sampleLevels(), style),
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

test('pitches in words: how many were plucked, which are far off, how many sound lower than free', () => {
  const { title, description } = pluckPitchFigure(samplePitches(), wide)!;
  const words = description.replaceAll('\u202f', ' ');
  assert.match(title, /under 31\.4 N m/);
  assert.match(words, /20 of 24 spokes plucked/);
  assert.match(words, /Far off: spoke 7 18 % low\./);
  assert.match(
    words,
    /10 of 20 sound lower than free\./,
    'every second pair, and spoke 7 among them',
  );
  assert.equal(highOrLow(0.124).replaceAll('\u202f', ' '), '12 % high');
});

test('a wheel of which no spoke was plucked yet is drawn with its numbers; no spokes, no figure', () => {
  const none = samplePitches();
  const spokes = none.spokes.map((one) => ({ ...one, hz: null, besideHz: null, farOff: null }));
  const figure = pluckPitchFigure({ ...none, spokes, besideWords: null }, phone)!;
  assert.match(figure.description, /None of 24 spokes plucked yet/);
  assert.ok(!figureSvg(figure, document).includes('NaN'));
  assert.equal(pluckPitchFigure({ ...none, spokes: [] }, wide), null);
  assert.equal(pluckLevelFigure({ ...sampleLevels(), levelDb: [] }, wide), null);
});
