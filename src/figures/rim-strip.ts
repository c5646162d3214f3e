import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';

export type RimSide = 'left' | 'right';

export interface RimStripSpoke {
  spoke: number;
  side: RimSide;
  tensionN: number;
  /** From the mean of its side, percent. */
  deviationPercent: number;
  insideTolerance: boolean;
  /** Tension that the balance plan leads to; null without a plan. */
  plannedN: number | null;
}

/** Neighbours on one side that are all tight or all loose, in their order round the rim. */
export interface RimStripRun {
  side: RimSide;
  spokes: readonly number[];
  kind: 'tight' | 'loose';
  /** Mean of the run, percent. */
  deviationPercent: number;
}

export interface RimStripData {
  spokes: readonly RimStripSpoke[];
  sides: readonly { side: RimSide; meanN: number }[];
  runs: readonly RimStripRun[];
  tolerancePercent: number;
  /** The maker's maximum tension; null when not known. */
  maximumN: number | null;
}

/** `12 % tight` or `7 % loose`: against the mean of the side. */
export const tightOrLoose = (deviationPercent: number): string =>
  `${fixed(Math.abs(deviationPercent), 0)}${thin}% ${deviationPercent >= 0 ? 'tight' : 'loose'}`;

/**
 * The rim cut at the valve and laid flat: spokes in their order along it, left side above, right side below,
 * each with the mean of its side and the tolerance about it. What is outside has another shape and its words.
 */
export function rimStripFigure(data: RimStripData, style: FigureStyle): Figure | null {
  const { spokes, sides, tolerancePercent, maximumN } = data;
  if (spokes.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const share = tolerancePercent / 100;
  const all = [
    ...spokes.flatMap((one) => [one.tensionN, one.plannedN ?? one.tensionN]),
    ...sides.flatMap(({ meanN }) => [meanN * (1 - share), meanN * (1 + share)]),
  ];
  const highest = Math.max(...all);
  const limit = maximumN !== null && maximumN < highest * 1.6 ? maximumN : null;
  const low = Math.max(0, Math.min(...all) * 0.9);
  const high = Math.max(highest, limit ?? 0) * 1.08;
  // One unit of height a side; the left side is the upper one.
  const place = (side: RimSide, tensionN: number) =>
    (side === 'left' ? 1.22 : 0) + (tensionN - low) / (high - low);
  const last = Math.max(...spokes.map(({ spoke }) => spoke));
  const shown = sides.filter(({ side }) => spokes.some((one) => one.side === side));
  const worst = shown.flatMap(({ side }) => {
    const outside = spokes.filter((one) => one.side === side && !one.insideTolerance);
    return outside
      .sort((a, b) => Math.abs(b.deviationPercent) - Math.abs(a.deviationPercent))
      .slice(0, width < 480 ? 2 : 4);
  });
  const pieces = data.runs.flatMap((run) => piecesOf(run, last));
  // A name takes about nine letters' width; the less bad of two that would run into each other has none.
  const apart = (9 * last) / (width / size);
  const labelled = worst.filter((one, i) =>
    worst
      .slice(0, i)
      .every(
        (other) =>
          other.side !== one.side ||
          Math.abs(other.spoke - one.spoke) > apart ||
          Math.abs(other.tensionN - one.tensionN) > 0.12 * (high - low),
      ),
  );
  const crowded = new Set(
    labelled.flatMap(({ side, tensionN }) => (tensionN > 0.9 * (limit ?? Infinity) ? [side] : [])),
  );
  const name = (one: RimStripSpoke) => `${one.spoke}: ${tightOrLoose(one.deviationPercent)}`;
  const ticks = shown.flatMap(({ side }) =>
    niceTicks(low, high, 5).map((tensionN) => ({ side, tensionN })),
  );
  const numbers = spokeNumbers(last, width / fontSize);
  return {
    title: 'Spoke tensions along the rim',
    description: describe(data, worst),
    width,
    height: Math.round(Math.min(Math.max(width * 0.62, 330), 440)),
    options: {
      ...frame(fontSize, {
        top: fontSize * 0.6,
        bottom: fontSize * 3,
        left: fontSize * 3.2,
        right: fontSize * 0.6,
      }),
      x: { domain: [0.2, last + 0.8], axis: null },
      y: { domain: [-0.06, 2.46], axis: null },
      marks: [
        Plot.rect(shown, {
          x1: 0.2,
          x2: last + 0.8,
          y1: ({ side, meanN }) => place(side, meanN * (1 - share)),
          y2: ({ side, meanN }) => place(side, meanN * (1 + share)),
          fill: palette.band,
        }),
        Plot.link(shown, {
          x1: 0.2,
          x2: last + 0.8,
          y: ({ side, meanN }) => place(side, meanN),
          stroke: palette.ink,
          strokeWidth: 1.5,
        }),
        ...(limit === null
          ? []
          : [
              Plot.link(shown, {
                x1: 0.2,
                x2: last + 0.8,
                y: ({ side }) => place(side, limit),
                stroke: palette.warm,
                strokeWidth: 2,
                strokeDasharray: '7 4',
              }),
              // Where no name of a tight spoke is in its way.
              Plot.text([shown.find(({ side }) => !crowded.has(side)) ?? shown[0]], {
                x: last + 0.8,
                y: ({ side }) => place(side, limit),
                dy: -size * 0.7,
                text: () => `maker's maximum ${fixed(limit, 0)}${thin}N`,
                textAnchor: 'end',
                fill: palette.warm,
                fontSize: size,
              }),
            ]),
        Plot.link([...spokes], {
          x: 'spoke',
          y1: (one) => place(one.side, sides.find(({ side }) => side === one.side)?.meanN ?? 0),
          y2: (one) => place(one.side, one.tensionN),
          stroke: palette.soft,
          strokeWidth: 1.5,
        }),
        Plot.dot(
          spokes.filter((one) => one.insideTolerance),
          {
            x: 'spoke',
            y: (one) => place(one.side, one.tensionN),
            r: fontSize * 0.3,
            fill: palette.ink,
          },
        ),
        Plot.dot(
          spokes.filter((one) => !one.insideTolerance),
          {
            x: 'spoke',
            y: (one) => place(one.side, one.tensionN),
            symbol: 'square',
            r: fontSize * 0.36,
            fill: palette.warm,
            stroke: palette.paper,
          },
        ),
        Plot.link(
          spokes.flatMap((one) =>
            one.plannedN === null ? [] : [{ spoke: one.spoke, y: place(one.side, one.plannedN) }],
          ),
          {
            x1: (one) => one.spoke - 0.34,
            x2: (one) => one.spoke + 0.34,
            y: 'y',
            stroke: palette.accent,
            strokeWidth: 3,
          },
        ),
        ...labelled.map((one) =>
          Plot.text([one], {
            x: 'spoke',
            y: place(one.side, one.tensionN),
            dx: (one.spoke > last * 0.6 ? -1 : 1) * fontSize * 0.7,
            text: name,
            textAnchor: one.spoke > last * 0.6 ? 'end' : 'start',
            fill: palette.warm,
            fontWeight: 600,
            fontSize: size,
            stroke: palette.paper,
            strokeWidth: 4,
          }),
        ),
        // Below the lane of its side: a bracket as long as the run.
        Plot.link(pieces, {
          x1: 'from',
          x2: 'to',
          y: ({ side }) => place(side, low) - 0.035,
          stroke: palette.warm,
          strokeWidth: 4,
        }),
        Plot.text(
          pieces.filter(({ named }) => named),
          {
            x: 'from',
            y: ({ side }) => place(side, low) - 0.035,
            dx: fontSize * 0.1,
            dy: -size * 0.75,
            text: 'kind',
            textAnchor: 'start',
            fill: palette.warm,
            fontWeight: 600,
            fontSize: size,
            stroke: palette.paper,
            strokeWidth: 4,
          },
        ),
        Plot.text(shown, {
          x: 0.2,
          y: ({ side }) => place(side, low) + 1.1,
          text: ({ side, meanN }) => `${side} side, mean ${fixed(meanN, 0)}${thin}N`,
          textAnchor: 'start',
          fill: palette.ink,
          fontWeight: 600,
        }),
        Plot.text(ticks, {
          x: 0.2,
          y: ({ side, tensionN }) => place(side, tensionN),
          dx: -6,
          text: ({ tensionN }) => fixed(tensionN, 0),
          textAnchor: 'end',
          ...small,
        }),
        Plot.text(numbers, {
          x: (n) => n,
          y: -0.06,
          dy: size,
          text: (n) => String(n),
          ...small,
        }),
        Plot.text(['spoke, along the rim from the valve; tension in N'], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.6,
          textAnchor: 'end',
          ...small,
        }),
      ],
    },
  };
}

function describe(data: RimStripData, worst: readonly RimStripSpoke[]): string {
  const { spokes, sides, tolerancePercent } = data;
  const means = sides.map(({ side, meanN }) => `${side} mean ${fixed(meanN, 0)} N`).join(', ');
  const outside = spokes.filter((one) => !one.insideTolerance).length;
  const named = worst
    .map((one) => `spoke ${one.spoke} (${one.side}) ${tightOrLoose(one.deviationPercent)}`)
    .join(', ');
  const count = `${outside} of ${spokes.length} spokes outside ${fixed(tolerancePercent, 0)} %`;
  const runs = data.runs.map(
    (run) =>
      ` On the ${run.side} ${run.spokes.join(', ')} together ${tightOrLoose(run.deviationPercent)}.`,
  );
  return `${means}. ${count}${named ? `: ${named}` : ''}.${runs.join('')}`;
}

/** A run as stretches of the strip: two where it goes on past the valve, the first one named. */
function piecesOf({ side, spokes, kind }: RimStripRun, last: number) {
  const past = spokes.findIndex((spoke, i) => i > 0 && spoke < spokes[i - 1]);
  const parts = past < 0 ? [spokes] : [spokes.slice(0, past), spokes.slice(past)];
  return parts.map((part, i) => ({
    side,
    kind,
    named: i === 0,
    from: i > 0 ? 0.2 : part[0] - 0.4,
    to: i === 0 && past >= 0 ? last + 0.8 : part[part.length - 1] + 0.4,
  }));
}

/** Numbers to write under a strip of spokes, as many as have room. */
export function spokeNumbers(last: number, widthInLetters: number): number[] {
  const step = Math.ceil((last * 1.7) / widthInLetters);
  return Array.from({ length: last }, (_, i) => i + 1).filter(
    (n) => n % step === 0 || (n === 1 && step > 2),
  );
}

/** Round numbers inside a range, about `count` of them. */
function niceTicks(low: number, high: number, count: number): number[] {
  const raw = (high - low) / count;
  const unit = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * unit).find((size) => size >= raw) ?? 10 * unit;
  const first = Math.ceil(low / step);
  return Array.from(
    { length: Math.max(0, Math.floor(high / step) - first + 1) },
    (_, k) => (first + k) * step,
  );
}
