import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';

export interface ResidualPoint {
  x: number;
  /** Standardised residual. */
  z: number;
}

export interface ResidualData {
  /** What lies along the bottom, with its unit: `ground speed, km/h`. */
  against: string;
  points: readonly ResidualPoint[];
}

/** Mean of the points in a stretch of x, with two standard errors. */
export interface ResidualBin {
  x: number;
  mean: number;
  low: number;
  high: number;
}

/** Equal-count stretches, so that each mean rests on as many points as the next. */
export function residualBins(points: readonly ResidualPoint[], count = 10): ResidualBin[] {
  const sorted = [...points].sort((a, b) => a.x - b.x);
  const bins: ResidualBin[] = [];
  const n = Math.min(count, Math.floor(sorted.length / 5));
  for (let k = 0; k < n; k++) {
    const part = sorted.slice(
      Math.round((k * sorted.length) / n),
      Math.round(((k + 1) * sorted.length) / n),
    );
    const mean = part.reduce((sum, p) => sum + p.z, 0) / part.length;
    const spread = part.reduce((sum, p) => sum + (p.z - mean) ** 2, 0) / (part.length - 1);
    const error = Math.sqrt(spread / part.length);
    bins.push({
      x: part.reduce((sum, p) => sum + p.x, 0) / part.length,
      mean,
      low: mean - 2 * error,
      high: mean + 2 * error,
    });
  }
  return bins;
}

/** Residuals against one thing: a cloud that should lie evenly about zero, and running means that should too. */
export function residualFigure(data: ResidualData, style: FigureStyle): Figure | null {
  const points = data.points.filter((p) => Number.isFinite(p.x) && Number.isFinite(p.z));
  if (points.length === 0) return null;
  const { palette, fontSize, width } = style;
  const bins = residualBins(points);
  const largest = Math.max(3, ...points.map((p) => Math.abs(p.z)));
  const reach = Math.min(largest, 6);
  const off = bins.filter((bin) => bin.low > 0 || bin.high < 0).length;
  const size = fontSize * 0.86;
  const shown = thinOut(points, 700);
  return {
    title: `Residuals against ${data.against}`,
    description: `${points.length} residuals; ${off} of ${bins.length} running means are clear of zero.`,
    width,
    height: Math.round(Math.min(width * 0.5, 300)),
    options: {
      ...frame(fontSize, {
        top: fontSize * 0.8,
        bottom: fontSize * 3.2,
        left: fontSize * 2.6,
        right: fontSize,
      }),
      x: { axis: null },
      y: { domain: [-reach, reach], axis: null, clamp: true },
      marks: [
        Plot.rect([0], {
          y1: -2,
          y2: 2,
          fill: palette.band,
          fillOpacity: 0.6,
        }),
        Plot.dot(shown, {
          x: 'x',
          y: 'z',
          r: 1.8,
          fill: palette.soft,
          fillOpacity: 0.45,
        }),
        Plot.ruleY([0], { stroke: palette.ink, strokeWidth: 2 }),
        Plot.link(bins, {
          x: 'x',
          y1: 'low',
          y2: 'high',
          stroke: palette.accent,
          strokeWidth: 3.5,
        }),
        Plot.dot(bins, {
          x: 'x',
          y: 'mean',
          r: fontSize * 0.36,
          fill: palette.accent,
          stroke: palette.paper,
          strokeWidth: 1.5,
        }),
        Plot.axisX({
          ticks: Math.max(3, Math.floor(width / (fontSize * 7))),
          label: null,
          fill: palette.soft,
          stroke: palette.line,
          fontSize: size,
        }),
        Plot.axisY({
          ticks: 5,
          label: null,
          fill: palette.soft,
          stroke: palette.line,
          fontSize: size,
        }),
        Plot.text([data.against], {
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

/** Every k-th point, so that a long day draws at once; the means above use all of them. */
function thinOut<T>(points: readonly T[], most: number): T[] {
  const step = Math.ceil(points.length / most);
  return points.filter((_, i) => i % step === 0);
}
