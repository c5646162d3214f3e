import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, signed, thin } from './numbers.ts';
import { isSlack } from './wheel.ts';
import { spokeNumbers } from './rim-strip.ts';

export interface SpokeChange {
  spoke: number;
  side: 'left' | 'right';
  /** Tension before the load. */
  tensionN: number;
  changeN: number;
}

export interface SpokeChangesData {
  changes: readonly SpokeChange[];
  /** The load in words: `200 N to the left at 45°`. */
  load: string;
  /** Largest change that the axis must hold, so that it stands still while the load moves. */
  reachN: number;
}

/** What a load does to the tension of each spoke: bars up where it gains, down where it loses. */
export function spokeChangesFigure(data: SpokeChangesData, style: FigureStyle): Figure | null {
  const { changes, load, reachN } = data;
  if (changes.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const slack = changes.filter(isSlack);
  const most = changes.reduce((a, b) => (b.changeN > a.changeN ? b : a));
  const least = changes.reduce((a, b) => (b.changeN < a.changeN ? b : a));
  const told = [most, least].filter((one, i, both) => both.indexOf(one) === i);
  const last = Math.max(...changes.map(({ spoke }) => spoke));
  const reach = Math.max(reachN, 1e-9) * 1.25;
  const numbers = spokeNumbers(last, width / fontSize);
  const words = (one: SpokeChange) => `${signed(one.changeN, 0)}${thin}N`;
  return {
    title: `Change of tension under ${load}`,
    description: [
      `Spoke ${most.spoke} (${most.side}) gains most, ${words(most)}; spoke ${least.spoke} (${least.side}) loses most, ${words(least)}.`,
      slack.length > 0
        ? ` Spokes without tension: ${slack.map(({ spoke }) => spoke).join(', ')}.`
        : '',
    ].join(''),
    width,
    height: Math.round(Math.min(Math.max(width * 0.4, 220), 300)),
    options: {
      ...frame(fontSize, {
        top: fontSize * 1.8,
        bottom: fontSize * 2.8,
        left: fontSize * 2.8,
        right: fontSize * 0.6,
      }),
      x: { domain: [0.2, last + 0.8], axis: null },
      y: { domain: [-reach, reach], axis: null },
      marks: [
        Plot.rect([...changes], {
          x1: (one) => one.spoke - 0.34,
          x2: (one) => one.spoke + 0.34,
          y1: 0,
          y2: 'changeN',
          fill: (one) => (one.changeN >= 0 ? palette.accent : palette.warm),
          fillOpacity: (one) => (one.side === 'left' ? 1 : 0.45),
          stroke: (one) => (one.changeN >= 0 ? palette.accent : palette.warm),
          strokeWidth: 1.5,
        }),
        Plot.ruleY([0], { stroke: palette.ink, strokeWidth: 1.5 }),
        ...told.map((one) =>
          Plot.text([one], {
            x: 'spoke',
            y: 'changeN',
            dy: (one.changeN >= 0 ? -1 : 1) * fontSize * 0.8,
            text: words,
            textAnchor: one.spoke <= 2 ? 'start' : one.spoke > last - 2 ? 'end' : 'middle',
            dx: one.spoke <= 2 ? -fontSize * 0.5 : one.spoke > last - 2 ? fontSize * 0.5 : 0,
            fill: palette.ink,
            fontWeight: 600,
            fontSize: size,
            stroke: palette.paper,
            strokeWidth: 4,
          }),
        ),
        Plot.text(slack, {
          x: 'spoke',
          y: 0,
          dy: -size * 0.5,
          rotate: -90,
          textAnchor: 'start',
          text: () => 'slack',
          fill: palette.warm,
          fontWeight: 700,
          fontSize: size,
        }),
        Plot.axisY({
          ticks: 5,
          tickFormat: (n: number) => fixed(n, 0),
          label: null,
          stroke: palette.line,
          ...small,
        }),
        Plot.text(numbers, {
          x: (n) => n,
          y: -reach,
          dy: size,
          text: (n) => String(n),
          ...small,
        }),
        Plot.text(['gains, N'], {
          frameAnchor: 'top-left',
          dy: -fontSize * 1.3,
          dx: -fontSize * 2.2,
          textAnchor: 'start',
          ...small,
        }),
        Plot.text(['spoke (full: left, pale: right); below the line it loses'], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.4,
          textAnchor: 'end',
          ...small,
        }),
      ],
    },
  };
}

/** `spoke 4 gains 120 N`: for lists beside the picture. */
export const changeWords = (one: SpokeChange): string =>
  `${one.changeN >= 0 ? 'gains' : 'loses'} ${fixed(Math.abs(one.changeN), 0)}${thin}N`;
