import test from 'node:test';
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { parseHTML } from 'linkedom';
import {
  angleAt,
  exaggerationFor,
  figureSvg,
  isSlack,
  loadDeflectionFigure,
  loadPlace,
  printPalette,
  rimStripFigure,
  spokeChangesFigure,
  tightOrLoose,
  wheelFigure,
  wheelPlace,
} from '../../src/figures/index.ts';
import type { Figure, FigureStyle } from '../../src/figures/index.ts';
import { near } from '../near.ts';
import { sampleChanges, sampleCurve, sampleStrip, sampleWheel } from './bench-sample.ts';

const renew = process.env.LAPBENCH_KEEP_FIGURES === '1';
const kept = path.join(import.meta.dirname, 'kept');
const { document } = parseHTML('<html><body></body></html>');
const wide: FigureStyle = { width: 720, fontSize: 16, palette: printPalette };
const phone: FigureStyle = { width: 358, fontSize: 15, palette: printPalette };

const pictures: Record<string, (style: FigureStyle) => Figure | null> = {
  'load-deflection': (style) => loadDeflectionFigure(sampleCurve(), style),
  'rim-strip': (style) => rimStripFigure(sampleStrip(), style),
  'spoke-changes': (style) => spokeChangesFigure(sampleChanges(), style),
  'wheel-sideways': (style) => wheelFigure(sampleWheel('sideways'), style),
  'wheel-inwards': (style) => wheelFigure(sampleWheel('inwards'), style),
  'wheel-forwards': (style) => wheelFigure(sampleWheel('forwards'), style),
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

test('a strip names the worst spokes in words and counts those outside', () => {
  const figure = rimStripFigure(sampleStrip(), wide);
  const words = (figure?.description ?? '').replaceAll('\u202f', ' ');
  assert.match(words, /2 of 24 spokes outside 20 %/);
  assert.match(words, /spoke 7 \(left\) 31 % tight, spoke 18 \(right\) 24 % loose/);
  assert.equal(tightOrLoose(-7.2).replaceAll('\u202f', ' '), '7 % loose');
});

test('a spoke whose tension is used up is called slack', () => {
  const figure = spokeChangesFigure(sampleChanges(), wide);
  assert.match(figure?.description ?? '', /Spokes without tension: [\d, ]+\./);
  assert.match(figureSvg(figure!, document), />slack</);
});

test('on the wheel, too, a spoke without tension is called slack and counted', () => {
  const whole = sampleWheel('inwards');
  const loose = { ...whole, spokes: whole.spokes.map((one) => ({ ...one, tensionN: 100 })) };
  assert.doesNotMatch(wheelFigure(whole, wide)!.description, /slack/);
  assert.match(wheelFigure(loose, wide)!.description, /slack: 3, 4, 5\./);
  assert.match(figureSvg(wheelFigure(loose, wide)!, document), />slack</);
  assert.equal(isSlack({ tensionN: 100, changeN: -100 }), true);
  assert.equal(isSlack({ tensionN: 100, changeN: -99 }), false);
});

test('what is grasped to drag the load lies on the rim as it has moved', () => {
  const data = sampleWheel('inwards');
  const { centreX, centreY, radius } = wheelPlace(720);
  const { x, y } = loadPlace(data, 720);
  const moved = ((0.0004 - 0.00003) * data.exaggeration * radius) / data.rimRadiusM;
  near(Math.hypot(x - centreX, y - centreY), radius - moved, {
    abs: 0.5,
    why: 'drawn at the load',
  });
  near(angleAt(x, y, 720), data.load.positionDeg, { abs: 0.1, why: 'it moves inwards only' });
});

test('of two bad neighbours whose names would run into each other one is named in the picture, both in words', () => {
  const whole = sampleStrip();
  const spokes = whole.spokes.map((one) =>
    one.spoke === 20 || one.spoke === 18
      ? { ...one, tensionN: 836, deviationPercent: -24, insideTolerance: false }
      : one,
  );
  const figure = rimStripFigure({ ...whole, spokes }, wide)!;
  const names = figureSvg(figure, document).match(/>(18|20): 24/g) ?? [];
  assert.equal(names.length, 1);
  assert.match(figure.description, /spoke 18 \(right\)[^.]*spoke 20 \(right\)/);
});

test('a run of tight or loose neighbours is told, also across the valve', () => {
  const figure = rimStripFigure(sampleStrip(), wide)!;
  const words = figure.description.replaceAll('\u202f', ' ');
  assert.match(words, /On the left 5, 7, 9 together 14 % tight/);
  assert.match(words, /On the right 22, 24, 2 together 6 % loose/);
});

test('a curve without slop says so and draws no band', () => {
  const figure = loadDeflectionFigure({ ...sampleCurve(), slopMm: null }, wide);
  assert.match(figure?.description ?? '', /slop not seen/);
  assert.doesNotMatch(figureSvg(figure!, document), />slop/);
});

test('nothing read is no picture', () => {
  assert.equal(loadDeflectionFigure({ ...sampleCurve(), series: [] }, wide), null);
  assert.equal(rimStripFigure({ ...sampleStrip(), spokes: [] }, wide), null);
});

test('a place on the drawn rim gives the angle at which it was drawn', () => {
  const { centreX, centreY, radius } = wheelPlace(720);
  for (const angle of [0, 45, 90, 181, 359]) {
    const x = centreX + radius * Math.sin((angle * Math.PI) / 180);
    const y = centreY - radius * Math.cos((angle * Math.PI) / 180);
    near(angleAt(x, y, 720), angle, { abs: 1e-9, why: 'the same circle read backwards' });
  }
});

test('the wheel is to scale: the drawn rim has the radius that the place says, and the movement its factor', () => {
  const data = sampleWheel('inwards');
  const { document: drawn } = parseHTML(figureSvg(wheelFigure(data, wide)!, document));
  const paths = [...drawn.querySelectorAll('path')].map((one) => numbersOf(one.getAttribute('d')));
  const rings = paths.filter((numbers) => numbers.length === 242);
  const { centreX, centreY, radius } = wheelPlace(720);
  const distances = (ring: number[]): number[] =>
    Array.from({ length: 121 }, (_, k) =>
      Math.hypot(ring[2 * k] - centreX, ring[2 * k + 1] - centreY),
    );
  near(Math.max(...distances(rings[0])), radius, { abs: 0.01, why: 'three decimals in the file' });
  near(Math.min(...distances(rings[0])), radius, { abs: 0.01, why: 'three decimals in the file' });
  const shape = rings.find(
    (ring) =>
      Math.min(...distances(ring)) < radius * 0.8 && Math.max(...distances(ring)) > radius * 0.98,
  );
  assert.ok(shape);
  const movedM = ((radius - Math.min(...distances(shape))) / radius) * data.rimRadiusM;
  near(movedM, (0.0004 - 0.00003) * data.exaggeration, {
    rel: 0.01,
    why: 'the bell between two of the 120 drawn points',
  });
});

const numbersOf = (text: string | null): number[] =>
  (text ?? '').match(/-?\d+(\.\d+)?/g)?.map(Number) ?? [];

test('the factor of enlargement is round and never draws past a third of the radius', () => {
  for (const largest of [1e-6, 3.3e-5, 0.004, 0.02]) {
    const factor = exaggerationFor(largest, 0.296);
    assert.match(String(factor), /^[125]0*$/);
    assert.ok(factor === 1 || factor * largest <= 0.296 / 3);
  }
  assert.equal(exaggerationFor(0, 0.3), 1);
});
