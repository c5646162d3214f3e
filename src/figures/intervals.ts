import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { decimalsBeside, decimalsFor, fixed, halfWidth, range, signed, thin } from './numbers.ts';

type Interval = readonly [number, number];

/** One setup against control, as the picture needs it. */
export interface IntervalRow {
  name: string;
  deltaCdaM2: number;
  ci95: Interval;
  /** Wider: holds for all rows at once. */
  ci95Simultaneous: Interval;
  wattsAtReference: number;
  wattsCi95: Interval;
  verdict: 'lower' | 'higher' | 'not separable';
  smallestVisibleM2: number;
}

export interface IntervalData {
  controlName: string;
  speedKmh: number;
  rows: readonly IntervalRow[];
  /** One line under the picture for when it travels alone: day, date, whether the data are invented. */
  note?: string;
}

/** Verdict in the words of the page: what the tester may say aloud. */
export function verdictWords(verdict: IntervalRow['verdict']): string {
  if (verdict === 'not separable') return 'not separable from control';
  return verdict === 'lower' ? 'less drag than control' : 'more drag than control';
}

/** Watts for one m² at the reference speed, when all rows agree on it; null when there is no one scale. */
export function wattsPerM2(
  rows: readonly Pick<IntervalRow, 'deltaCdaM2' | 'wattsAtReference'>[],
): number | null {
  const usable = rows.filter((row) => Math.abs(row.deltaCdaM2) > 1e-9);
  if (usable.length === 0) return null;
  const ratios = usable.map((row) => row.wattsAtReference / row.deltaCdaM2);
  const first = ratios[0];
  return first > 0 && ratios.every((ratio) => Math.abs(ratio / first - 1) < 0.02) ? first : null;
}

/** Round steps (1, 2 or 5 times a power of ten) so that about `count` fit across the domain. */
function ticks([low, high]: Interval, count: number): number[] {
  const raw = (high - low) / count;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= raw) ?? raw;
  const found: number[] = [];
  for (let k = Math.ceil(low / step); k * step <= high + 1e-12; k++) found.push(k * step);
  return found;
}

/** Differences to control with their intervals, lowest drag first, in m² below and watts above. */
export function intervalFigure(data: IntervalData, style: FigureStyle): Figure {
  const { palette, fontSize, width } = style;
  const rows = [...data.rows].sort((a, b) => a.deltaCdaM2 - b.deltaCdaM2);
  const ends = rows.flatMap((row) => [
    ...row.ci95Simultaneous,
    ...row.ci95,
    row.smallestVisibleM2,
    -row.smallestVisibleM2,
  ]);
  const low = Math.min(0, ...ends);
  const high = Math.max(0, ...ends);
  const pad = (high - low || 0.01) * 0.05;
  const domain: Interval = [low - pad, high + pad];

  const rowHeight = Math.round(fontSize * 6.6);
  const top = Math.round(fontSize * 3.6);
  const bottom = Math.round(fontSize * (data.note ? 5.2 : 3.4));
  const captionAt = fontSize * 2.6;
  const height = top + bottom + rows.length * rowHeight;
  const part = (pixels: number) => pixels / rowHeight;
  const nameAt = (i: number) => i + part(fontSize * 1.4);
  const lineAt = (i: number) => i + part(fontSize * 4.75);
  const count = Math.max(5, Math.floor(width / (fontSize * 6)));
  const perM2 = wattsPerM2(rows);
  const areaTicks = ticks(domain, count);
  const areaDecimals = decimalsForStep(areaTicks);

  const index = rows.map((row, i) => ({ ...row, i }));
  const separable = index.filter((row) => row.verdict !== 'not separable');
  const open = index.filter((row) => row.verdict === 'not separable');
  const areaText = (row: IntervalRow) => withHalf(row.deltaCdaM2, row.ci95, 'm²');
  const wattText = (row: IntervalRow) => withHalf(row.wattsAtReference, row.wattsCi95, 'W');
  const verdictText = (row: IntervalRow) =>
    row.verdict === 'not separable'
      ? 'not separable'
      : row.verdict === 'lower'
        ? 'less drag'
        : 'more drag';

  const marks: Plot.Markish[] = [
    Plot.rect(index, {
      x1: (row) => -row.smallestVisibleM2,
      x2: (row) => row.smallestVisibleM2,
      y1: (row) => lineAt(row.i) - part(fontSize * 0.85),
      y2: (row) => lineAt(row.i) + part(fontSize * 0.85),
      fill: palette.band,
    }),
    Plot.ruleX(areaTicks, { stroke: palette.line, strokeWidth: 1 }),
    Plot.ruleX([0], { stroke: palette.ink, strokeWidth: 2.5 }),
    ...[separable, open].map((group, k) => [
      Plot.link(group, {
        x1: (row) => row.ci95Simultaneous[0],
        x2: (row) => row.ci95Simultaneous[1],
        y: (row) => lineAt(row.i),
        stroke: k === 0 ? palette.accent : palette.soft,
        strokeWidth: 2,
      }),
      Plot.link(group, {
        x1: (row) => row.ci95[0],
        x2: (row) => row.ci95[1],
        y: (row) => lineAt(row.i),
        stroke: k === 0 ? palette.accent : palette.soft,
        strokeWidth: 8,
      }),
      Plot.dot(group, {
        x: 'deltaCdaM2',
        y: (row) => lineAt(row.i),
        r: fontSize * 0.52,
        fill: k === 0 ? palette.accent : palette.paper,
        stroke: k === 0 ? palette.paper : palette.soft,
        strokeWidth: k === 0 ? 2 : 3.5,
      }),
    ]),
    ...[
      { at: domain[0], anchor: 'start' as const, up: true, text: (row: IntervalRow) => row.name },
      { at: domain[1], anchor: 'end' as const, up: true, text: areaText },
      { at: domain[0], anchor: 'start' as const, up: false, text: verdictText },
      { at: domain[1], anchor: 'end' as const, up: false, text: wattText },
    ].map(({ at, anchor, up, text }) =>
      Plot.text(index, {
        x: () => at,
        y: (row) => nameAt(row.i) + (up ? 0 : part(fontSize * 1.4)),
        text,
        textAnchor: anchor,
        fontWeight: up ? 700 : 400,
        fill: up ? palette.ink : palette.soft,
        stroke: palette.paper,
        strokeWidth: 6,
      }),
    ),
    Plot.axisX(areaTicks, {
      anchor: 'bottom',
      tickFormat: (tick: number) => (Math.abs(tick) < 1e-12 ? '0' : signed(tick, areaDecimals)),
      tickSize: 0,
      tickPadding: 8,
      label: null,
      fill: palette.soft,
      fontSize: fontSize * 0.86,
    }),
    caption('← less drag', 'start', domain[0], rows.length, fontSize, palette.soft, captionAt),
    caption(
      'difference of CdA, m²',
      'middle',
      (domain[0] + domain[1]) / 2,
      rows.length,
      fontSize,
      palette.soft,
      captionAt,
    ),
    caption('more drag →', 'end', domain[1], rows.length, fontSize, palette.soft, captionAt),
  ];
  if (data.note) {
    marks.push(
      caption(data.note, 'start', domain[0], rows.length, fontSize, palette.soft, fontSize * 4.4),
    );
  }
  if (perM2 !== null) {
    const wattTicks = ticks([domain[0] * perM2, domain[1] * perM2], count);
    const wattDecimals = decimalsForStep(wattTicks);
    marks.push(
      Plot.axisX(
        wattTicks.map((watts) => watts / perM2),
        {
          anchor: 'top',
          tickFormat: (tick: number) =>
            Math.abs(tick) < 1e-12 ? '0' : signed(tick * perM2, wattDecimals),
          tickSize: 0,
          tickPadding: 6,
          label: null,
          fill: palette.soft,
          fontSize: fontSize * 0.86,
        },
      ),
      Plot.text([`watts at ${data.speedKmh}${thin}km/h`], {
        x: (domain[0] + domain[1]) / 2,
        y: 0,
        dy: -top + fontSize * 0.7,
        fill: palette.soft,
        fontSize: fontSize * 0.86,
      }),
    );
  }

  const told = rows.map((row) => {
    const visible = fixed(row.smallestVisibleM2, decimalsFor(row.smallestVisibleM2));
    return (
      `${row.name}: ${areaText(row)}, ${wattText(row)}, interval ${range(row.ci95, true)}, ${verdictWords(row.verdict)}` +
      `; smallest visible difference ${visible} m²`
    );
  });
  return {
    title: `Differences of CdA to ${data.controlName} with 95 % intervals`,
    description: `${told.join('. ')}.`,
    width,
    height,
    options: {
      ...frame(fontSize, { top: top, bottom: bottom, left: fontSize, right: fontSize }),
      x: { domain: [...domain], axis: null },
      y: { domain: [rows.length, 0], axis: null },
      marks,
    },
  };
}

function decimalsForStep(values: readonly number[]): number {
  const step = values.length > 1 ? Math.abs(values[1] - values[0]) : 1;
  return Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
}

function withHalf(value: number, ends: Interval, unit: string): string {
  const half = halfWidth(ends);
  const decimals = decimalsBeside(value, half);
  return `${signed(value, decimals)} ± ${fixed(half, decimals)}${thin}${unit}`;
}

function caption(
  text: string,
  textAnchor: 'start' | 'middle' | 'end',
  x: number,
  y: number,
  fontSize: number,
  fill: string,
  dy: number,
): Plot.Markish {
  return Plot.text([text], {
    x,
    y,
    dy,
    textAnchor,
    fill,
    fontSize: fontSize * 0.86,
  });
}
