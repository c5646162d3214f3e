import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';

export interface ProfileData {
  positionM: readonly number[];
  heightM: readonly number[];
}

/** Height of the road along one lap, above its start, as the laps together tell it. */
export function profileFigure(data: ProfileData, style: FigureStyle): Figure | null {
  const points = data.positionM
    .map((positionM, i) => ({ positionM, heightM: data.heightM[i] }))
    .filter((p) => Number.isFinite(p.heightM) && Number.isFinite(p.positionM));
  if (points.length < 2) return null;
  const { palette, fontSize, width } = style;
  const heights = points.map((p) => p.heightM);
  const low = Math.min(...heights);
  const high = Math.max(...heights);
  // A flat road must look flat: never less than ten metres from bottom to top.
  const spare = Math.max(0, 10 - (high - low)) / 2;
  const domain: [number, number] = [low - spare - 1, high + spare + 1];
  const length = points[points.length - 1].positionM;
  const size = fontSize * 0.86;
  return {
    title: 'Height of the road along one lap',
    description: `From start to end of a lap of ${fixed(length / 1000, 2)} km the road lies between ${fixed(low, 1)} and ${fixed(high, 1)} m above its start.`,
    width,
    height: Math.round(Math.min(width * 0.36, 220) + fontSize * 2),
    options: {
      ...frame(fontSize, {
        top: fontSize * 2.2,
        bottom: fontSize * 3.2,
        left: fontSize * 3.4,
        right: fontSize * 1.2,
      }),
      x: { domain: [0, length], axis: null },
      y: { domain, axis: null },
      marks: [
        Plot.areaY(points, { x: 'positionM', y1: domain[0], y2: 'heightM', fill: palette.band }),
        Plot.lineY(points, { x: 'positionM', y: 'heightM', stroke: palette.ink, strokeWidth: 2.5 }),
        Plot.axisX({
          ticks: Math.max(3, Math.floor(width / (fontSize * 8))),
          tickFormat: (m: number) => fixed(m / 1000, 1),
          label: null,
          fill: palette.soft,
          stroke: palette.line,
          fontSize: size,
        }),
        Plot.axisY({
          ticks: 4,
          tickFormat: (m: number) => fixed(m, 0),
          label: null,
          fill: palette.soft,
          stroke: palette.line,
          fontSize: size,
        }),
        Plot.text(['height above start, m'], {
          frameAnchor: 'top-left',
          dy: -fontSize * 1.6,
          dx: -fontSize * 2.6,
          textAnchor: 'start',
          fill: palette.soft,
          fontSize: size,
        }),
        Plot.text([`along the lap,${thin}km`], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.9,
          textAnchor: 'end',
          fill: palette.soft,
          fontSize: size,
        }),
      ],
    },
  };
}
