import assert from 'node:assert/strict';
import test from 'node:test';
import { sectionFromOutline } from '../../../src/core/structure/index.ts';
import type { OutlinePoint } from '../../../src/core/structure/index.ts';
import { LapbenchError } from '../../../src/core/units/index.ts';
import { near } from '../../near.ts';

const points = (list: [number, number][]): OutlinePoint[] =>
  list.map(([radialM, lateralM]) => ({ radialM, lateralM }));

const round = (radius: number, count = 720): OutlinePoint[] =>
  points(
    Array.from({ length: count }, (_, i) => {
      const a = (2 * Math.PI * i) / count;
      return [radius * Math.cos(a), radius * Math.sin(a)];
    }),
  );

test('thin round tube, r 10 mm, t 1 mm: I = π r³ t, J = 2 π r³ t', () => {
  // Handbook forms for thin tubes (Roark, table of section properties; Bredt 1896).
  const found = sectionFromOutline(round(0.01), 0.001);
  const why = 'polygon of 720 walls';
  near(found.areaM2, 2 * Math.PI * 0.01 * 0.001, { rel: 1e-4, why });
  near(found.iRadialM4, Math.PI * 0.01 ** 3 * 0.001, { rel: 1e-4, why });
  near(found.iLateralM4, Math.PI * 0.01 ** 3 * 0.001, { rel: 1e-4, why });
  near(found.torsionM4, 2 * Math.PI * 0.01 ** 3 * 0.001, { rel: 1e-4, why });
  near(found.shearCentreOffsetM, 0, { abs: 1e-9, why: 'symmetry' });
});

test('thin rectangular tube 30 × 20 × 1 mm: I = t h²(3b + h)/6, J = 2 t b² h²/(b + h)', () => {
  const [h, b, t] = [0.03, 0.02, 0.001];
  const found = sectionFromOutline(
    points([
      [0, 0],
      [h, 0],
      [h, b],
      [0, b],
    ]),
    t,
  );
  const why = 'closed forms, round-off';
  near(found.iRadialM4, (t * h * h * (3 * b + h)) / 6, { rel: 1e-12, why });
  near(found.iLateralM4, (t * b * b * (3 * h + b)) / 6, { rel: 1e-12, why });
  near(found.torsionM4, (2 * t * b * b * h * h) / (b + h), { rel: 1e-12, why });
  near([found.centroidRadialM, found.centroidLateralM], [h / 2, b / 2], { rel: 1e-12, why });
  near(found.shearCentreOffsetM, 0, { abs: 1e-15, why: 'symmetry' });
});

test('an outline taken outside is moved in by half the wall: the solid differences of a rectangle', () => {
  const [h, b, t] = [0.03, 0.02, 0.001];
  const found = sectionFromOutline(
    points([
      [0, 0],
      [0, b],
      [h, b],
      [h, 0],
    ]),
    t,
    {
      outlineAt: 'outside',
    },
  );
  near(found.areaM2, h * b - (h - 2 * t) * (b - 2 * t), {
    rel: 1e-12,
    why: 'the same area exactly',
  });
  const solid = (b * h ** 3 - (b - 2 * t) * (h - 2 * t) ** 3) / 12;
  near(found.iRadialM4, solid, { rel: 5e-3, why: 'thin against thick wall at t/b = 0.05' });
});

test('the shear centre lies where a side load leaves the profile untwisted', () => {
  // Rectangle with one web twice as thick: statics by hand. With the webs' shares of shear F₁ + F₂ = V,
  // flanges by q, and no twist: the closed form below (Bredt-Batho), webs t₁ and t₂, flanges t.
  const [h, b, t1, t2, t] = [0.03, 0.02, 0.001, 0.002, 0.001];
  const found = sectionFromOutline(
    points([
      [0, -b / 2],
      [h, -b / 2],
      [h, b / 2],
      [0, b / 2],
    ]),
    [t, t2, t, t1],
  );
  const i = ((t1 + t2) * b ** 3) / 12 + 2 * t * h * (b / 2) ** 2;
  // Cut at the middle of web 1; mean open flows in units of V/I.
  const flange = (s: number): number => (t1 * (b / 2) ** 2) / 2 + t * (b / 2) * s;
  const web2 = flange(h) + (t2 * b * b) / 12;
  const web1 = (t1 * b * b) / 12 / 2;
  const slip = ((flange(0) + flange(h)) * h) / t + (web2 * b) / t2 + (web1 * b) / t1;
  const around = (2 * h) / t + b / t1 + b / t2;
  const closing = slip / around;
  // Force in web 2 through its distance h from web 1, flanges their lever b.
  const moment =
    (web2 - closing) * b * h + 2 * (((flange(0) + flange(h)) / 2 - closing) * h * (b / 2));
  const fromWeb1 = moment / i;
  const expected = fromWeb1 - found.centroidRadialM;
  near(-found.shearCentreOffsetM, expected, { rel: 1e-9, why: 'closed form' });
});

test('the sense of the walk, the level and doubled points of a straight wall do not matter', () => {
  const drop: [number, number][] = [
    [0.245, 0],
    [0.262, 0.009],
    [0.28, 0.012],
    [0.29, 0.01],
    [0.29, -0.01],
    [0.28, -0.012],
    [0.262, -0.009],
  ];
  const a = sectionFromOutline(points(drop), 0.0015);
  const b = sectionFromOutline(points([...drop].reverse()), 0.0015);
  const moved = sectionFromOutline(points(drop.map(([x, y]) => [x - 0.25, y])), 0.0015);
  for (const key of [
    'areaM2',
    'iRadialM4',
    'iLateralM4',
    'torsionM4',
    'shearCentreOffsetM',
  ] as const) {
    near(b[key], a[key], { rel: 1e-9, why: 'round-off' });
    near(moved[key], a[key], { rel: 1e-9, why: 'round-off' });
  }
  near(a.centroidRadialM - moved.centroidRadialM, 0.25, { rel: 1e-9, why: 'round-off' });
  near(a.centroidLateralM, 0, { abs: 1e-12, why: 'symmetry' });
});

test('walls keep their thickness when the walk is turned round', () => {
  const box: [number, number][] = [
    [0, 0],
    [0.03, 0],
    [0.03, 0.02],
    [0, 0.02],
  ];
  const a = sectionFromOutline(points(box), [0.001, 0.002, 0.003, 0.004]);
  const b = sectionFromOutline(points([...box].reverse()), [0.003, 0.002, 0.001, 0.004]);
  near(b.iLateralM4, a.iLateralM4, { rel: 1e-12, why: 'the same box' });
  near(b.shearCentreOffsetM, a.shearCentreOffsetM, { rel: 1e-9, why: 'the same box' });
});

test('outlines that are no closed profile are refused in words', () => {
  const refused = (list: [number, number][], t: number | number[], message: RegExp): void =>
    assert.throws(
      () => sectionFromOutline(points(list), t, { outlineAt: 'outside' }),
      (error: unknown) => error instanceof LapbenchError && message.test(error.message),
    );
  refused(
    [
      [0, 0],
      [1, 0],
    ],
    0.001,
    /encloses nothing/,
  );
  refused(
    [
      [0, 0],
      [0.03, 0.02],
      [0.03, 0],
      [0, 0.02],
    ],
    0.001,
    /crosses itself/,
  );
  refused(
    [
      [0, 0],
      [0.03, 0],
      [0.03, 0],
      [0, 0.02],
    ],
    0.001,
    /are the same/,
  );
  refused(
    [
      [0, 0],
      [0.03, 0],
      [0.03, 0.02],
    ],
    0,
    /no thickness/,
  );
  refused(
    [
      [0, 0],
      [0.03, 0],
      [0.03, 0.02],
    ],
    [0.001],
    /1 wall thicknesses for 3 walls/,
  );
  refused(
    [
      [0, 0],
      [0.03, 0],
      [0.03, 0.02],
      [0, 0.02],
    ],
    0.03,
    /thicker than the outline/,
  );
});
