import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';
import { groundPoint, toGround } from './ground.ts';
import type { GroundPoint } from './ground.ts';

export interface RoadData {
  latDeg: readonly (number | null)[];
  lonDeg: readonly (number | null)[];
  gate: { latDeg: number; lonDeg: number } | null;
  lapLengthM: number | null;
  /** Mean wind, and where it blows from; null when the day does not say. */
  wind: { speedMps: number; fromDeg: number } | null;
}

/** The road from above, north up, with gate, direction of riding, wind and a scale bar. */
export function roadFigure(data: RoadData, style: FigureStyle): Figure | null {
  const ground = toGround(data.latDeg, data.lonDeg);
  const track = ground.filter((point): point is GroundPoint => point !== null);
  if (track.length < 2) return null;
  const { palette, fontSize, width } = style;
  const east = track.map((point) => point.eastM);
  const north = track.map((point) => point.northM);
  const box = {
    west: Math.min(...east),
    east: Math.max(...east),
    south: Math.min(...north),
    north: Math.max(...north),
  };
  const spanE = Math.max(box.east - box.west, 1);
  const spanN = Math.max(box.north - box.south, 1);

  const margin = fontSize * 2;
  const head = fontSize * 5.6;
  const foot = fontSize * 3.4;
  const innerW = width - 2 * margin;
  const innerH = Math.min(Math.max((innerW * spanN) / spanE, fontSize * 5), width * 0.62);
  const metresPerPixel = Math.max(spanE / innerW, spanN / innerH);
  const height = Math.round(innerH + head + foot);
  const midE = (box.east + box.west) / 2;
  const midN = (box.north + box.south) / 2;
  const x: [number, number] = [
    midE - (innerW / 2) * metresPerPixel,
    midE + (innerW / 2) * metresPerPixel,
  ];
  const y: [number, number] = [
    midN - (innerH / 2) * metresPerPixel,
    midN + (innerH / 2) * metresPerPixel,
  ];
  const at = (px: number, py: number) => ({
    e: x[0] + (px - margin) * metresPerPixel,
    n: y[1] - (py - head) * metresPerPixel,
  });

  const marks: Plot.Markish[] = [
    Plot.line(track, {
      x: 'eastM',
      y: 'northM',
      stroke: palette.ink,
      strokeWidth: 7,
      strokeLinecap: 'round',
      strokeLinejoin: 'round',
    }),
    Plot.line(track, { x: 'eastM', y: 'northM', stroke: palette.paper, strokeWidth: 2.5 }),
    ...directionMarks(track, metresPerPixel, style),
    ...gateMarks(data, track, metresPerPixel, style),
    ...northMarks(at, width, margin, style),
    ...windMarks(data, at, margin, metresPerPixel, style),
    ...scaleMarks(at, metresPerPixel, margin, head + innerH + foot * 0.62, style),
  ];
  const length =
    data.lapLengthM === null ? '' : ` One lap is ${fixed(data.lapLengthM / 1000, 2)} km.`;
  const wind = data.wind
    ? ` Mean wind ${fixed(data.wind.speedMps, 1)} m/s from ${compass(data.wind.fromDeg)}.`
    : '';
  return {
    title: 'The road from above, north up',
    description: `About ${fixed(spanE, 0)} m from west to east and ${fixed(spanN, 0)} m from south to north.${length}${wind}`,
    width,
    height,
    options: {
      ...frame(fontSize, { top: head, bottom: foot, left: margin, right: margin }),
      x: { domain: x, axis: null },
      y: { domain: y, axis: null },
      marks,
    },
  };
}

/** Eight-point compass, in words. */
export function compass(fromDeg: number): string {
  const names = [
    'north',
    'north-east',
    'east',
    'south-east',
    'south',
    'south-west',
    'west',
    'north-west',
  ];
  return names[Math.round((((fromDeg % 360) + 360) % 360) / 45) % 8];
}

type At = (px: number, py: number) => { e: number; n: number };

function directionMarks(
  track: readonly GroundPoint[],
  metresPerPixel: number,
  { palette }: FigureStyle,
): Plot.Markish[] {
  const along = [0];
  for (let i = 1; i < track.length; i++) along.push(along[i - 1] + gap(track[i - 1], track[i]));
  const total = along[along.length - 1];
  const arm = 34 * metresPerPixel;
  if (total < 4 * arm) return [];
  // Arrows run beside the road, on its right hand as one rides, so that they hide nothing of it.
  const aside = 15 * metresPerPixel;
  const at = (distance: number) =>
    Math.max(
      0,
      along.findIndex((d) => d >= distance),
    );
  const arrows = [0.12, 0.37, 0.62, 0.87].flatMap((share) => {
    const tail = track[at(share * total - arm / 2)];
    const tip = track[at(share * total + arm / 2)];
    const length = gap(tail, tip);
    if (length === 0) return [];
    const e = ((tip.northM - tail.northM) / length) * aside;
    const n = (-(tip.eastM - tail.eastM) / length) * aside;
    return [{ x1: tail.eastM + e, y1: tail.northM + n, x2: tip.eastM + e, y2: tip.northM + n }];
  });
  return [
    Plot.arrow(arrows, {
      x1: 'x1',
      y1: 'y1',
      x2: 'x2',
      y2: 'y2',
      stroke: palette.accent,
      strokeWidth: 3.5,
      headLength: 10,
      strokeLinecap: 'round',
    }),
  ];
}

const gap = (a: GroundPoint, b: GroundPoint): number =>
  Math.hypot(a.eastM - b.eastM, a.northM - b.northM);

function gateMarks(
  data: RoadData,
  track: readonly GroundPoint[],
  metresPerPixel: number,
  { palette, fontSize }: FigureStyle,
): Plot.Markish[] {
  if (!data.gate) return [];
  const i = data.latDeg.findIndex((lat, k) => lat !== null && data.lonDeg[k] !== null);
  const gate = groundPoint(
    data.gate.latDeg,
    data.gate.lonDeg,
    data.latDeg[i] as number,
    data.lonDeg[i] as number,
  );
  const near = track.reduce(
    (best, point, k) => (gap(point, gate) < gap(track[best], gate) ? k : best),
    0,
  );
  const a = track[Math.max(0, near - 1)];
  const b = track[Math.min(track.length - 1, near + 1)];
  const length = gap(a, b) || 1;
  const across = { e: -(b.northM - a.northM) / length, n: (b.eastM - a.eastM) / length };
  const arm = 13 * metresPerPixel;
  const ends = [
    {
      e1: gate.eastM - across.e * arm,
      n1: gate.northM - across.n * arm,
      e2: gate.eastM + across.e * arm,
      n2: gate.northM + across.n * arm,
    },
  ];
  const middleN =
    (Math.min(...track.map((p) => p.northM)) + Math.max(...track.map((p) => p.northM))) / 2;
  const middleE =
    (Math.min(...track.map((p) => p.eastM)) + Math.max(...track.map((p) => p.eastM))) / 2;
  // The name stands on the inner side of the road, where there is always room.
  const side = across.e * (middleE - gate.eastM) + across.n * (middleN - gate.northM) >= 0 ? 1 : -1;
  const e = gate.eastM + side * across.e * arm * 1.7;
  const n = gate.northM + side * across.n * arm * 1.7;
  const textAnchor = Math.abs(across.e) < 0.4 ? 'middle' : side * across.e > 0 ? 'start' : 'end';
  return [
    Plot.link(ends, {
      x1: 'e1',
      y1: 'n1',
      x2: 'e2',
      y2: 'n2',
      stroke: palette.paper,
      strokeWidth: 11,
    }),
    Plot.link(ends, {
      x1: 'e1',
      y1: 'n1',
      x2: 'e2',
      y2: 'n2',
      stroke: palette.warm,
      strokeWidth: 6,
    }),
    Plot.text(['gate'], {
      x: e,
      y: n,
      textAnchor,
      fill: palette.warm,
      fontWeight: 700,
      fontSize,
      stroke: palette.paper,
      strokeWidth: 5,
    }),
  ];
}

function northMarks(at: At, width: number, margin: number, { palette, fontSize }: FigureStyle) {
  const x = width - margin - fontSize * 0.5;
  const foot = at(x, fontSize * 3.6);
  const tip = at(x, fontSize * 1.9);
  return [
    Plot.arrow([0], {
      x1: foot.e,
      y1: foot.n,
      x2: tip.e,
      y2: tip.n,
      stroke: palette.ink,
      strokeWidth: 2.5,
      headLength: 9,
    }),
    Plot.text(['N'], {
      x: tip.e,
      y: tip.n,
      dy: -fontSize * 0.75,
      fill: palette.ink,
      fontWeight: 700,
      fontSize,
    }),
  ];
}

function windMarks(
  data: RoadData,
  at: At,
  margin: number,
  metresPerPixel: number,
  { palette, fontSize }: FigureStyle,
): Plot.Markish[] {
  const middle = at(margin + fontSize * 1.2, fontSize * 2.2);
  const words = at(margin + fontSize * 3.2, fontSize * 2.2);
  if (!data.wind) return [];
  const rad = (data.wind.fromDeg * Math.PI) / 180;
  const arm = fontSize * 1.2 * metresPerPixel;
  return [
    Plot.arrow([0], {
      x1: middle.e + Math.sin(rad) * arm,
      y1: middle.n + Math.cos(rad) * arm,
      x2: middle.e - Math.sin(rad) * arm,
      y2: middle.n - Math.cos(rad) * arm,
      stroke: palette.soft,
      strokeWidth: 3.5,
      headLength: 11,
    }),
    Plot.text(
      [`wind ${fixed(data.wind.speedMps, 1)}${thin}m/s\nfrom ${compass(data.wind.fromDeg)}`],
      {
        x: words.e,
        y: words.n,
        textAnchor: 'start',
        lineHeight: 1.25,
        fill: palette.soft,
        fontSize: fontSize * 0.92,
      },
    ),
  ];
}

function scaleMarks(
  at: At,
  metresPerPixel: number,
  margin: number,
  py: number,
  { palette, fontSize }: FigureStyle,
): Plot.Markish[] {
  const wanted = 110 * metresPerPixel;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const length = [5, 2, 1].map((factor) => factor * power).find((size) => size <= wanted) ?? power;
  const left = at(margin, py);
  const tick = 5 * metresPerPixel;
  const right = left.e + length;
  return [
    Plot.link(
      [
        [left.e, left.n, right, left.n],
        [left.e, left.n - tick, left.e, left.n + tick],
        [right, left.n - tick, right, left.n + tick],
      ],
      { x1: '0', y1: '1', x2: '2', y2: '3', stroke: palette.ink, strokeWidth: 2.5 },
    ),
    Plot.text([length >= 1000 ? `${length / 1000}${thin}km` : `${length}${thin}m`], {
      x: right,
      y: left.n,
      dx: fontSize * 0.7,
      textAnchor: 'start',
      fill: palette.ink,
      fontSize: fontSize * 0.92,
    }),
  ];
}
