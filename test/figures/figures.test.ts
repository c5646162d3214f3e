import test from 'node:test';
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { parseHTML } from 'linkedom';
import {
  budgetFigure,
  compass,
  figureSvg,
  intervalFigure,
  joinSpans,
  lapValuesFigure,
  printPalette,
  profileFigure,
  residualBins,
  residualFigure,
  roadFigure,
  traceSpans,
  traceStrips,
  wattsPerM2,
} from '../../src/figures/index.ts';
import type { Figure, FigureStyle } from '../../src/figures/index.ts';
import { near } from '../near.ts';
import { sampleFinding } from './sample.ts';

/** Kept pictures are renewed only on purpose: LAPBENCH_KEEP_FIGURES=1 node --test test/figures/*.test.ts */
const renew = process.env.LAPBENCH_KEEP_FIGURES === '1';
const kept = path.join(import.meta.dirname, 'kept');
const { document } = parseHTML('<html><body></body></html>');
const finding = sampleFinding();
const nameOf = (id: string) => finding.setups.find((setup) => setup.id === id)?.name ?? id;
const rows = finding.differences.map((d) => ({ ...d, name: nameOf(d.setup) }));

const wide: FigureStyle = { width: 720, fontSize: 16, palette: printPalette };
const phone: FigureStyle = { width: 358, fontSize: 15, palette: printPalette };

const road = {
  latDeg: finding.road.latDeg ?? [],
  lonDeg: finding.road.lonDeg ?? [],
  gate: finding.road.gate,
  lapLengthM: finding.road.lapLengthM,
  wind: { speedMps: 2.1, fromDeg: 232 },
};

const pictures: Record<string, (style: FigureStyle) => Figure | null> = {
  intervals: (style) =>
    intervalFigure({ controlName: nameOf(finding.control), speedKmh: 40, rows }, style),
  road: (style) => roadFigure(road, style),
  profile: (style) => profileFigure(finding.road, style),
  laps: (style) =>
    lapValuesFigure(
      finding.laps.map((lap) => ({ ...lap, setupName: nameOf(lap.setup) })),
      style,
    ),
  residuals: (style) =>
    residualFigure(
      {
        against: 'ground speed, km/h',
        points: finding.residuals.rows.map((row) => ({ x: row.speedMps * 3.6, z: row.z })),
      },
      style,
    ),
  budget: (style) =>
    budgetFigure(
      finding.budget.map((line) => ({ source: line.source, uncertaintyM2: line.ofDifferenceM2 })),
      'a difference',
      style,
    ),
};

for (const [name, describe] of Object.entries(pictures)) {
  for (const [size, style] of Object.entries({ wide, phone })) {
    test(`the picture "${name}" (${size}) is drawn as it was kept`, () => {
      const figure = describe(style);
      assert.ok(figure);
      const svg = figureSvg(figure, document);
      const file = path.join(kept, `${name}-${size}.svg`);
      if (renew) fs.writeFileSync(file, svg);
      assert.equal(
        svg,
        fs.readFileSync(file, 'utf8'),
        `${name} changed; look at it, then renew it`,
      );
    });
  }
}

test('every figure has a name and says its content in words', () => {
  for (const describe of Object.values(pictures)) {
    const figure = describe(wide);
    assert.ok(figure);
    const svg = figureSvg(figure, document);
    assert.match(svg, /role="img"/);
    assert.ok(figure.description.length > 20);
    assert.ok(svg.includes('aria-label='));
    assert.ok(!svg.includes('<style'), 'a strict content policy refuses style elements');
    assert.ok(!svg.includes('NaN'));
  }
});

/** Ends of the thick bar of the n-th row in pixels, read back from the drawing. */
function thickBars(svg: string): [number, number][] {
  const { document: drawn } = parseHTML(svg);
  const found: [number, number][] = [];
  for (const group of drawn.querySelectorAll('g[stroke-width="8"]')) {
    for (const bar of group.querySelectorAll('path')) {
      const numbers = (bar.getAttribute('d') ?? '').match(/-?\d+(\.\d+)?/g)?.map(Number) ?? [];
      found.push([numbers[0], numbers[2]]);
    }
  }
  return found;
}

test('the bars lie where the intervals say: read back from the drawing in the axis they share', () => {
  const svg = figureSvg(
    intervalFigure({ controlName: 'control', speedKmh: 40, rows }, wide),
    document,
  );
  const bars = thickBars(svg);
  assert.equal(bars.length, 2);
  // Two bars give two pairs of ends; one pair sets the scale, the other pair checks it.
  const [deep, box] = bars;
  const pixelsPerM2 = (deep[1] - deep[0]) / (rows[0].ci95[1] - rows[0].ci95[0]);
  const zero = deep[0] - rows[0].ci95[0] * pixelsPerM2;
  near(
    box,
    rows[1].ci95.map((m2) => zero + m2 * pixelsPerM2),
    {
      abs: 0.02,
      why: 'path coordinates are written to the third decimal or better',
    },
  );
});

test('a difference that is not separable is drawn open, a separable one filled', () => {
  const svg = figureSvg(
    intervalFigure({ controlName: 'control', speedKmh: 40, rows }, wide),
    document,
  );
  const { document: drawn } = parseHTML(svg);
  const dots = [...drawn.querySelectorAll('g')].filter((group) => group.querySelector('circle'));
  assert.equal(dots.length, 2);
  assert.equal(dots[0].getAttribute('fill'), printPalette.accent);
  assert.equal(dots[1].getAttribute('fill'), printPalette.paper);
  assert.ok(svg.includes('not separable'));
});

test('a picture that travels alone names its day and says that data are invented', () => {
  const note = 'Quarry road, 2026-05-17, invented data';
  const data = { controlName: 'control', speedKmh: 40, rows };
  const plain = intervalFigure(data, wide);
  const noted = intervalFigure({ ...data, note }, wide);
  assert.ok(figureSvg(noted, document).includes(note));
  assert.ok(noted.height > plain.height);
});

test('rows are ranked by drag whatever their order, and the words follow', () => {
  const turned = intervalFigure(
    { controlName: 'control', speedKmh: 40, rows: [...rows].reverse() },
    wide,
  );
  assert.ok(turned.description.indexOf('Deep pair') < turned.description.indexOf('Box-section'));
});

test('one scale of watts is claimed only when all rows agree on it', () => {
  near(wattsPerM2(rows.slice(0, 1)) ?? NaN, 4.35 / 0.00528, { rel: 1e-9, why: 'a plain ratio' });
  assert.equal(
    wattsPerM2([
      { deltaCdaM2: -0.005, wattsAtReference: -4 },
      { deltaCdaM2: 0.005, wattsAtReference: 6 },
    ]),
    null,
  );
  assert.equal(wattsPerM2([{ deltaCdaM2: 0, wattsAtReference: 0 }]), null);
});

test('the scale bar of the road is as long as it says, on the ground', () => {
  // One minute of latitude is a nautical mile, 1852 m, to within 0.6 % over the globe (definition of 1929).
  const line = Array.from({ length: 61 }, (_, i) => ({ lat: 50 + i / 3600, lon: 8 }));
  const figure = roadFigure(
    {
      latDeg: line.map((p) => p.lat),
      lonDeg: line.map((p) => p.lon),
      gate: null,
      lapLengthM: null,
      wind: null,
    },
    wide,
  );
  assert.ok(figure);
  const northSouth = Number(/and (\d+) m from south to north/.exec(figure.description)?.[1]);
  near(northSouth, 1852, { rel: 0.006, why: 'a sphere of mean radius against the ellipsoid' });
});

test('a road without two positions has no picture, and the profile of no points neither', () => {
  const none = { gate: null, lapLengthM: null, wind: null };
  assert.equal(roadFigure({ latDeg: [null, 50], lonDeg: [8, 8], ...none }, wide), null);
  assert.equal(profileFigure({ positionM: [0], heightM: [1] }, wide), null);
});

test('wind is named by where it blows from', () => {
  assert.equal(compass(0), 'north');
  assert.equal(compass(359), 'north');
  assert.equal(compass(232), 'south-west');
  assert.equal(compass(-90), 'west');
});

test('running means of residuals take every point once', () => {
  const points = Array.from({ length: 97 }, (_, i) => ({ x: i, z: i % 2 === 0 ? 1 : -1 }));
  const bins = residualBins(points, 10);
  assert.equal(bins.length, 10);
  assert.ok(bins.every((bin) => bin.low <= bin.mean && bin.mean <= bin.high));
  // A cloud lifted by three everywhere is clear of zero in every stretch.
  const lifted = residualBins(points.map((p) => ({ ...p, z: p.z + 3 })));
  assert.ok(lifted.every((bin) => bin.low > 0));
});

test('a trace shows only the channels that the recording has, in the units of the road', () => {
  const strips = traceStrips({
    timeS: [0, 1],
    speedMps: [10, null],
    powerW: [250, 251],
    airspeedMps: [null, null],
    altitudeM: [null, NaN],
  });
  assert.deepEqual(
    strips.map((strip) => strip.name),
    ['speed', 'power'],
  );
  assert.deepEqual(strips[0].lines[0].values, [36, null]);
});

test('a lap left out is hatched as a whole, a used lap only where it was cut', () => {
  const cut = [{ fromS: 10, toS: 14, reason: 'braking' }];
  const lap = { fromS: 0, toS: 100, reason: null, leftOut: cut };
  const used = traceSpans([{ ...lap, lap: 1, used: true }]);
  assert.deepEqual(
    used.map((span) => [span.kind, span.fromS, span.toS]),
    [
      ['lap', 0, 100],
      ['left-out', 10, 14],
    ],
  );
  const out = traceSpans([{ ...lap, lap: 1, used: false, reason: 'outlier' }]);
  assert.deepEqual(out[1], { fromS: 0, toS: 100, kind: 'left-out', label: 'outlier' });
});

test('stretches that touch are told as one, others apart', () => {
  const braking = (fromS: number, toS: number) => ({ fromS, toS, reason: 'braking' });
  assert.deepEqual(joinSpans([braking(20, 30), braking(10, 20), braking(60, 70)]), [
    braking(10, 30),
    braking(60, 70),
  ]);
  const spike = { fromS: 30, toS: 31, reason: 'power spike' };
  assert.equal(joinSpans([braking(20, 30), spike]).length, 2);
});
