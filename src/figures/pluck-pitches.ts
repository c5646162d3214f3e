import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';
import { spokeNumbers, type RimSide } from './rim-strip.ts';

export interface PluckedSpoke {
  spoke: number;
  /** Null where it is not known. */
  side: RimSide | null;
  /** Null: not plucked yet. */
  hz: number | null;
  /** Pitch at the torque to compare with; null: none. */
  besideHz: number | null;
  /** Share by which it lies off the median of its kind, where that is far; null otherwise. */
  farOff: number | null;
}

export interface PluckPitchData {
  spokes: readonly PluckedSpoke[];
  /** What these plucks are, and those beside: `free`, `under 31.4 N m`. */
  words: string;
  besideWords: string | null;
  /** The spoke that is next; null: none. */
  now: number | null;
}

/** `18 % low`. */
export const highOrLow = (share: number): string =>
  `${fixed(Math.abs(share) * 100, 0)}${thin}% ${share >= 0 ? 'high' : 'low'}`;

/**
 * Pitch of each spoke, in the order of the rim: a lane for each side. What was plucked at another torque stands
 * beside as a bar, joined to the dot; what is far off its kind is a square with its words.
 */
export function pluckPitchFigure(data: PluckPitchData, style: FigureStyle): Figure | null {
  const { spokes, now } = data;
  if (spokes.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const halo = { stroke: palette.paper, strokeWidth: 4 };
  const values = spokes.flatMap(({ hz, besideHz }) => [hz, besideHz]).filter((hz) => hz !== null);
  const [low, high] =
    values.length === 0 ? [200, 600] : [0.92 * Math.min(...values), 1.08 * Math.max(...values)];
  const lanes = (['left', 'right', null] as const).filter((side) =>
    spokes.some((one) => one.side === side),
  );
  // One unit of height a lane; the first is the upper one.
  const base = (side: RimSide | null) => 1.24 * (lanes.length - 1 - lanes.indexOf(side));
  const place = (side: RimSide | null, hz: number) => base(side) + (hz - low) / (high - low);
  const last = Math.max(...spokes.map(({ spoke }) => spoke));
  const top = 1.24 * (lanes.length - 1) + 1.2;
  const heard = spokes.flatMap((one) => (one.hz === null ? [] : [{ ...one, hz: one.hz }]));
  const beside = spokes.flatMap((one) =>
    one.besideHz === null ? [] : [{ ...one, besideHz: one.besideHz }],
  );
  const far = heard
    .filter((one) => one.farOff !== null)
    .sort((a, b) => Math.abs(b.farOff!) - Math.abs(a.farOff!));
  const ticks = lanes.flatMap((side) => ticksOf(low, high).map((hz) => ({ side, hz })));
  const height = Math.round(fontSize * (3.4 + lanes.length * 6.4));
  const turned = (spoke: number) => spoke > last * 0.6;
  return {
    title: `Pitch of each spoke, ${data.words}`,
    description: describe(data, far),
    width,
    height,
    options: {
      ...frame(fontSize, {
        top: fontSize * 0.4,
        bottom: fontSize * 2.8,
        left: fontSize * 3.2,
        right: fontSize * 0.6,
      }),
      x: { domain: [0.2, last + 0.8], axis: null },
      y: { domain: [-0.06, top], axis: null },
      marks: [
        ...(now === null
          ? []
          : [
              Plot.rect([now], {
                x1: (n: number) => n - 0.45,
                x2: (n: number) => n + 0.45,
                y1: base(spokes.find(({ spoke }) => spoke === now)?.side ?? null) - 0.04,
                y2: base(spokes.find(({ spoke }) => spoke === now)?.side ?? null) + 1.02,
                fill: palette.band,
              }),
            ]),
        Plot.link(ticks, {
          x1: 0.2,
          x2: last + 0.8,
          y: ({ side, hz }) => place(side, hz),
          stroke: palette.line,
          strokeWidth: 1,
        }),
        Plot.text(ticks, {
          x: 0.2,
          y: ({ side, hz }) => place(side, hz),
          dx: -fontSize * 0.4,
          text: ({ hz }) => fixed(hz, 0),
          textAnchor: 'end',
          ...small,
        }),
        Plot.link(
          heard.filter((one) => one.besideHz !== null),
          {
            x: 'spoke',
            y1: (one) => place(one.side, one.hz),
            y2: (one) => place(one.side, one.besideHz!),
            stroke: palette.soft,
            strokeWidth: 1.5,
          },
        ),
        Plot.link(beside, {
          x1: (one) => one.spoke - 0.34,
          x2: (one) => one.spoke + 0.34,
          y: (one) => place(one.side, one.besideHz),
          stroke: palette.accent,
          strokeWidth: 3,
        }),
        Plot.dot(
          heard.filter((one) => one.farOff === null),
          {
            x: 'spoke',
            y: (one) => place(one.side, one.hz),
            r: fontSize * 0.3,
            fill: palette.ink,
          },
        ),
        Plot.dot(far, {
          x: 'spoke',
          y: (one) => place(one.side, one.hz),
          symbol: 'square',
          r: fontSize * 0.36,
          fill: palette.warm,
          stroke: palette.paper,
        }),
        ...far.slice(0, width < 480 ? 2 : 4).map((one) =>
          Plot.text([one], {
            x: 'spoke',
            y: place(one.side, one.hz),
            dx: (turned(one.spoke) ? -1 : 1) * fontSize * 0.7,
            text: () => `${one.spoke}: ${highOrLow(one.farOff!)}`,
            textAnchor: turned(one.spoke) ? 'end' : 'start',
            fill: palette.warm,
            fontWeight: 600,
            fontSize: size,
            ...halo,
          }),
        ),
        Plot.text(
          lanes.filter((side) => side !== null),
          {
            x: 0.2,
            y: (side) => base(side) + 1.1,
            text: (side) => `${side} side`,
            textAnchor: 'start',
            fill: palette.ink,
            fontWeight: 600,
            ...halo,
          },
        ),
        Plot.text(spokeNumbers(last, width / fontSize), {
          x: (n) => n,
          y: -0.06,
          dy: size,
          text: (n) => String(n),
          ...small,
        }),
        Plot.text(
          [
            data.besideWords === null
              ? 'spoke, from the valve; pitch in Hz'
              : `Hz by spoke; dot ${data.words}, bar ${data.besideWords}`,
          ],
          {
            frameAnchor: 'bottom-right',
            dy: fontSize * 2.5,
            textAnchor: 'end',
            ...small,
          },
        ),
      ],
    },
  };
}

function describe(data: PluckPitchData, far: readonly PluckedSpoke[]): string {
  const heard = data.spokes.filter(({ hz }) => hz !== null);
  const pitches = heard.map(({ hz }) => hz!);
  if (heard.length === 0) return `None of ${data.spokes.length} spokes plucked yet.`;
  const beside = heard.filter(({ besideHz }) => besideHz !== null);
  const lower = beside.filter(({ hz, besideHz }) => hz! < besideHz!).length;
  return [
    `${heard.length} of ${data.spokes.length} spokes plucked, ${fixed(Math.min(...pitches), 0)} to ${fixed(Math.max(...pitches), 0)} Hz.`,
    ...(far.length > 0
      ? [
          `Far off: ${far.map(({ spoke, farOff }) => `spoke ${spoke} ${highOrLow(farOff!)}`).join(', ')}.`,
        ]
      : []),
    ...(beside.length > 0
      ? [`${lower} of ${beside.length} sound lower than ${data.besideWords ?? 'beside'}.`]
      : []),
  ].join(' ');
}

/** Two to five round frequencies inside the range. */
function ticksOf(low: number, high: number): number[] {
  const raw = (high - low) / 4;
  const unit = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * unit).find((one) => one >= raw) ?? 10 * unit;
  const first = Math.ceil(low / step);
  const count = Math.max(0, Math.floor(high / step) - first + 1);
  return Array.from({ length: count }, (_, k) => (first + k) * step);
}
