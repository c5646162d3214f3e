import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';

/** One remount at one position. */
export interface LoadedSeries {
  readings: readonly {
    direction: 'load' | 'unload';
    loadN: number;
    deflectionMm: number;
  }[];
  /** Line of the loading branch: deflection = interceptMm + load · slopeMmPerN. */
  line: { interceptMm: number; slopeMmPerN: number } | null;
  used: boolean;
}

export interface LoadDeflectionData {
  series: readonly LoadedSeries[];
  preloadN: number;
  /** On top of the preload. */
  loadN: number;
  slopMm: number | null;
}

/** One dashed foot for all: many, a little apart, would look like stairs. */
function meanOf(lines: readonly NonNullable<LoadedSeries['line']>[]) {
  const mean = (of: (line: (typeof lines)[number]) => number) =>
    lines.reduce((sum, line) => sum + of(line), 0) / lines.length;
  return {
    interceptMm: mean((line) => line.interceptMm),
    slopeMmPerN: mean((line) => line.slopeMmPerN),
  };
}

/**
 * Load over deflection, as read. The slop is the ground that the rim gives before it carries: the band between
 * no deflection and the foot of the line. The line is solid where the stiffness is taken, their mean
 * dashed down to its foot.
 */
export function loadDeflectionFigure(data: LoadDeflectionData, style: FigureStyle): Figure | null {
  const { preloadN, loadN, slopMm } = data;
  const dots = data.series.flatMap(({ readings, used }) =>
    readings.map((reading) => ({ ...reading, used })),
  );
  if (dots.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const endN = preloadN + loadN;
  const lines = data.series.flatMap(({ line, used }) => (line && used ? [line] : []));
  const at = (line: (typeof lines)[number], load: number) =>
    line.interceptMm + load * line.slopeMmPerN;
  const topN = Math.max(endN, ...dots.map((dot) => dot.loadN)) * 1.1;
  const deflections = [
    0,
    ...dots.map((dot) => dot.deflectionMm),
    ...lines.map((line) => at(line, endN)),
  ];
  const low = Math.min(...deflections);
  const high = Math.max(...deflections);
  const room = Math.max(high - low, 1e-6) * 0.06;
  const small = { fill: palette.soft, fontSize: size };
  const leftOut = dots.filter((dot) => !dot.used).length;
  const words = [
    `${dots.length} readings up to ${fixed(Math.max(...dots.map((dot) => dot.loadN)), 0)} N`,
    lines.length > 0 ? `fitted from ${fixed(preloadN, 0)} to ${fixed(endN, 0)} N` : 'no line yet',
    slopMm === null ? 'slop not seen' : `slop ${fixed(slopMm, 2)} mm`,
    leftOut > 0 ? `${leftOut} readings left out` : '',
  ];
  return {
    title: 'Load and deflection',
    description: `${words.filter(Boolean).join('; ')}.`,
    width,
    height: Math.round(Math.min(Math.max(width * 0.66, 280), 420)),
    options: {
      ...frame(fontSize, {
        top: fontSize * 2.2,
        bottom: fontSize * 3.2,
        left: fontSize * 3,
        right: fontSize * 1.2,
      }),
      x: { domain: [low - room, high + room], axis: null },
      y: { domain: [0, topN], axis: null },
      marks: [
        ...(slopMm !== null && slopMm > 0
          ? [
              Plot.rect([slopMm], {
                x1: 0,
                x2: slopMm,
                y1: 0,
                y2: topN,
                fill: palette.band,
              }),
              Plot.text([slopMm], {
                x: slopMm,
                y: topN * 0.8,
                dx: 6,
                text: [`slop ${fixed(slopMm, 2)}${thin}mm`],
                textAnchor: 'start',
                fill: palette.ink,
                fontWeight: 600,
              }),
            ]
          : []),
        Plot.ruleY([preloadN, endN], {
          stroke: palette.line,
          strokeWidth: 1.5,
          strokeDasharray: '4 4',
        }),
        Plot.text(
          [
            { y: preloadN, text: 'preload' },
            { y: endN, text: 'preload + load' },
          ],
          {
            frameAnchor: 'right',
            y: 'y',
            dy: -fontSize * 0.7,
            text: 'text',
            textAnchor: 'end',
            ...small,
          },
        ),
        Plot.link(lines.length > 0 ? [meanOf(lines)] : [], {
          x1: (line) => at(line, 0),
          x2: (line) => at(line, preloadN),
          y1: 0,
          y2: preloadN,
          stroke: palette.accent,
          strokeWidth: 1.8,
          strokeDasharray: '3 5',
        }),
        Plot.link(lines, {
          x1: (line) => at(line, preloadN),
          x2: (line) => at(line, endN),
          y1: preloadN,
          y2: endN,
          stroke: palette.accent,
          strokeWidth: 2.4,
        }),
        Plot.dot(
          dots.filter((dot) => dot.used && dot.direction === 'load'),
          { x: 'deflectionMm', y: 'loadN', r: fontSize * 0.3, fill: palette.ink },
        ),
        Plot.dot(
          dots.filter((dot) => dot.used && dot.direction === 'unload'),
          {
            x: 'deflectionMm',
            y: 'loadN',
            r: fontSize * 0.3,
            fill: palette.paper,
            stroke: palette.ink,
            strokeWidth: 2,
          },
        ),
        Plot.dot(
          dots.filter((dot) => !dot.used),
          {
            x: 'deflectionMm',
            y: 'loadN',
            symbol: 'times',
            r: fontSize * 0.32,
            stroke: palette.warm,
            strokeWidth: 2,
          },
        ),
        Plot.axisX({
          ticks: Math.max(3, Math.floor(width / (fontSize * 7))),
          label: null,
          stroke: palette.line,
          ...small,
        }),
        Plot.axisY({ ticks: 5, label: null, stroke: palette.line, ...small }),
        Plot.text(['load, N'], {
          frameAnchor: 'top-left',
          dy: -fontSize * 1.6,
          dx: -fontSize * 2.2,
          textAnchor: 'start',
          ...small,
        }),
        Plot.text([`deflection,${thin}mm`], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.9,
          textAnchor: 'end',
          ...small,
        }),
      ],
    },
  };
}
