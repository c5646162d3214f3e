import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { frequencyTicks } from './noise-picture.ts';
import { fixed, thin } from './numbers.ts';

export interface NoiseSpectrumData {
  hz: readonly number[];
  /** dB of full scale²/Hz. */
  psdDb: readonly number[];
  tones: readonly { tone: number; hz: number }[];
  /** Tone that is shown out of the others. */
  tone: number | null;
}

const lowestHz = 80;
/** More numbers would lie on each other. */
const mostNames = 12;

/** Mean spectrum of the whole recording, with the numbers of the tones above it. */
export function noiseSpectrumFigure(data: NoiseSpectrumData, style: FigureStyle): Figure | null {
  const points = data.hz
    .map((hz, i) => ({ hz, db: data.psdDb[i] }))
    .filter(({ hz, db }) => hz >= lowestHz && Number.isFinite(db));
  if (points.length < 2) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const lowHz = points[0].hz;
  const highHz = points[points.length - 1].hz;
  const values = points.map(({ db }) => db).sort((a, b) => a - b);
  const bottom = Math.max(values[0], values[values.length - 1] - 110);
  const top = values[values.length - 1];
  const room = (top - bottom) * 0.16 + 3;
  const named = data.tones
    .filter(({ hz }) => hz >= lowHz && hz <= highHz)
    .slice(0, mostNames)
    .map((one) => ({ ...one, db: levelAt(points, one.hz), chosen: one.tone === data.tone }));
  const labels = together(named, (highHz / lowHz) ** ((1.8 * size) / width));
  const ticks = frequencyTicks({ scale: 'log', lowHz, highHz }, Math.floor(width / 50));
  return {
    title: 'Mean spectrum of the whole recording',
    description:
      named.length === 0
        ? `From ${fixed(lowHz, 0)} to ${fixed(highHz, 0)}${thin}Hz; no tone stands out.`
        : `Tones: ${named.map(({ tone, hz }) => `${tone} at ${fixed(hz, 0)}${thin}Hz`).join(', ')}.`,
    width,
    height: Math.round(Math.min(Math.max(width * 0.42, 220), 300)),
    options: {
      ...frame(fontSize, {
        top: fontSize * 1.9,
        bottom: fontSize * 2.9,
        left: fontSize * 3.1,
        right: fontSize * 0.8,
      }),
      x: { type: 'log', domain: [lowHz, highHz], axis: null },
      y: { domain: [bottom, top + room], axis: null },
      marks: [
        Plot.ruleX(named, {
          x: 'hz',
          y1: bottom,
          y2: 'db',
          stroke: ({ chosen }: { chosen: boolean }) => (chosen ? palette.ink : palette.line),
          strokeWidth: 1.5,
        }),
        Plot.line(points, {
          x: 'hz',
          y: 'db',
          stroke: palette.accent,
          strokeWidth: 1.4,
          clip: true,
        }),
        Plot.dot(named, {
          x: 'hz',
          y: 'db',
          r: ({ chosen }: { chosen: boolean }) => (chosen ? 5 : 3.5),
          fill: palette.warm,
          stroke: palette.paper,
        }),
        ...labels.map((one) =>
          Plot.text([one], {
            x: 'hz',
            y: 'db',
            dy: -size * 0.95,
            text: 'text',
            fill: palette.ink,
            fontWeight: one.chosen ? 800 : 600,
            fontSize: one.chosen ? fontSize : size,
            stroke: palette.paper,
            strokeWidth: 4,
          }),
        ),
        Plot.ruleY([bottom], { stroke: palette.line }),
        Plot.text(ticks, { x: 'hz', y: bottom, dy: size, text: 'text', ...small }),
        Plot.axisY({
          ticks: 5,
          tickFormat: (n: number) => fixed(n, 0),
          label: null,
          stroke: palette.line,
          ...small,
        }),
        Plot.text(['dB of full scale²/Hz'], {
          frameAnchor: 'top-left',
          dx: -fontSize * 2.6,
          dy: -fontSize * 1.3,
          textAnchor: 'start',
          ...small,
        }),
        Plot.text(['Hz; numbers: tones'], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.5,
          textAnchor: 'end',
          ...small,
        }),
      ],
    },
  };
}

/** The loudest of the few points about a frequency: a tone seldom falls on one. */
function levelAt(points: readonly { hz: number; db: number }[], hz: number): number {
  const at = Math.max(
    0,
    points.findIndex((point) => point.hz >= hz),
  );
  return Math.max(...points.slice(Math.max(0, at - 2), at + 3).map(({ db }) => db));
}

interface Named {
  tone: number;
  hz: number;
  db: number;
  chosen: boolean;
}

/** Numbers that would lie on each other become one label over the highest of their peaks. */
function together(tones: readonly Named[], closeRatio: number) {
  const groups: Named[][] = [];
  for (const one of [...tones].sort((a, b) => a.hz - b.hz)) {
    const last = groups.at(-1);
    if (last && one.hz / last[last.length - 1].hz < closeRatio) last.push(one);
    else groups.push([one]);
  }
  return groups.map((group) => {
    const top = group.reduce((a, b) => (b.db > a.db ? b : a));
    const numbers = group.map(({ tone }) => tone).sort((a, b) => a - b);
    return { ...top, text: numbers.join(', '), chosen: group.some(({ chosen }) => chosen) };
  });
}
