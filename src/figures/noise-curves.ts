import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { describeCurves, fates } from './noise-curve-words.ts';
import type { Fate, NoiseCurve, NoiseCurvesData } from './noise-curve-words.ts';
import { fixed, thin } from './numbers.ts';

/** Where everything stands; the same for the drawing and for the pointer. */
export function noiseCurvesPlace(data: NoiseCurvesData, { width, fontSize }: Sized) {
  const torques = data.curves.flatMap(({ torqueNm }) => [...torqueNm]);
  const all = data.curves.flatMap(({ hz }) => [...hz]).filter((hz) => hz > 0);
  const low = Math.min(...all);
  const high = Math.max(...all);
  const near = data.tones.filter(({ hz }) => hz > low * 0.75 && hz < high * 1.25);
  const yLow = Math.min(low, ...near.map(({ ci95 }) => ci95[0]));
  const yHigh = Math.max(high, ...near.map(({ ci95 }) => ci95[1]));
  const room = (yHigh - yLow) * 0.06 + 1;
  const height = Math.round(Math.min(Math.max(width * 0.72, 330), 470));
  const margin = {
    top: fontSize * 2.6,
    bottom: fontSize * 3.1,
    left: fontSize * 3.1,
    right: fontSize * 7.4,
  };
  const x: [number, number] = [Math.min(0, ...torques), Math.max(1, ...torques)];
  const y: [number, number] = [Math.max(0, yLow - room), yHigh + room];
  const inner = {
    width: width - margin.left - margin.right,
    height: height - margin.top - margin.bottom,
  };
  return {
    ...{ height, margin, x, y, near },
    toX: (torque: number) => margin.left + ((torque - x[0]) / (x[1] - x[0])) * inner.width,
    toY: (hz: number) => margin.top + (1 - (hz - y[0]) / (y[1] - y[0])) * inner.height,
    torqueAt: (px: number) => x[0] + ((px - margin.left) / inner.width) * (x[1] - x[0]),
  };
}

type Sized = Pick<FigureStyle, 'width' | 'fontSize'>;

/**
 * Frequency of each spoke against brake torque, with the heard tones laid across. Spokes that lose tension are
 * dashed, those that gain are full, the rest dotted, each kind with its name at its end: no colour is needed.
 */
export function noiseCurvesFigure(data: NoiseCurvesData, style: FigureStyle): Figure | null {
  const drawn = data.curves.filter(({ hz }) => hz.length > 1);
  if (drawn.length === 0) return null;
  const { palette, fontSize, width } = style;
  const { height, margin, x, y, near, toY } = noiseCurvesPlace(data, style);
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const colour: Record<Fate, string> = {
    loses: palette.warm,
    gains: palette.accent,
    unchanged: palette.soft,
  };
  const points = (curve: NoiseCurve) =>
    curve.torqueNm.map((torque, i) => ({ torque, hz: curve.hz[i] }));
  const line = (curve: NoiseCurve, chosen: boolean) =>
    Plot.line(points(curve), {
      x: 'torque',
      y: 'hz',
      stroke: chosen ? palette.ink : colour[curve.underBraking],
      strokeWidth: chosen ? 3.5 : 1.4,
      strokeOpacity: chosen || data.spoke === null ? 1 : 0.55,
      strokeDasharray: fates.find(({ fate }) => fate === curve.underBraking)!.dash,
      clip: true,
    });
  const own = drawn.filter(({ spoke }) => spoke === data.spoke);
  const rest = drawn.filter(({ spoke }) => spoke !== data.spoke);
  const labels = apart(
    [
      ...fates.flatMap(({ fate, words }) => {
        const ends = drawn.filter((one) => one.underBraking === fate).map(({ hz }) => hz.at(-1)!);
        return ends.length === 0
          ? []
          : [{ hz: median(ends), text: words, fill: colour[fate], weight: 600 }];
      }),
      ...own.slice(0, 1).map(({ hz, spoke }) => ({
        hz: hz.at(-1)!,
        text: `spoke ${spoke}`,
        fill: palette.ink,
        weight: 750,
      })),
    ],
    toY,
    size * 1.25,
  );
  const thick = ((y[1] - y[0]) * 1.5) / height;
  const across = near.map((one) => ({
    ...one,
    low: Math.min(one.ci95[0], one.hz - thick),
    high: Math.max(one.ci95[1], one.hz + thick),
    chosen: one.tone === data.tone,
  }));
  const names = apart(together(across, (y[1] - y[0]) * ((size * 1.6) / height)), toY, size * 1.2);
  return {
    title: 'Spoke frequencies against brake torque',
    description: describeCurves(data, drawn, near),
    width,
    height,
    options: {
      ...frame(fontSize, margin),
      x: { domain: x, axis: null },
      y: { domain: y, axis: null },
      marks: [
        ...(data.held === null
          ? []
          : [
              Plot.rect([data.held], {
                x1: ({ ci95 }) => Math.max(x[0], ci95[0]),
                x2: ({ ci95 }) => Math.min(x[1], ci95[1]),
                y1: y[0],
                y2: y[1],
                fill: palette.band,
              }),
              Plot.ruleX([Math.min(x[1], data.held.value)], {
                stroke: palette.soft,
                strokeWidth: 1.5,
              }),
              Plot.text([data.held], {
                x: ({ value }) => Math.min(x[1], value),
                y: y[1],
                dy: -size * 0.7,
                text: ({ value }) => `held ${fixed(value, 0)}${thin}N${thin}m`,
                ...small,
                fill: palette.ink,
                fontWeight: 600,
              }),
            ]),
        Plot.rect(across, {
          x1: x[0],
          x2: x[1],
          y1: 'low',
          y2: 'high',
          fill: palette.ink,
          fillOpacity: ({ chosen }) => (chosen ? 0.62 : 0.26),
        }),
        ...rest.map((one) => line(one, false)),
        ...own.map((one) => line(one, true)),
        ...names.map((one) =>
          Plot.text([one], {
            x: x[0],
            y: 'hz',
            dx: 6,
            dy: one.shift - size * 0.75,
            text: 'text',
            textAnchor: 'start',
            fill: palette.ink,
            fontWeight: one.chosen ? 750 : 500,
            fontSize: size,
            stroke: palette.paper,
            strokeWidth: 4,
          }),
        ),
        ...labels.map((one) =>
          Plot.text([one], {
            x: x[1],
            y: 'hz',
            dx: 8,
            dy: one.shift,
            text: 'text',
            textAnchor: 'start',
            fill: one.fill,
            fontWeight: one.weight,
            fontSize: size,
          }),
        ),
        Plot.axisX({
          ticks: Math.max(3, Math.floor(width / 110)),
          tickFormat: (n: number) => fixed(n, 0),
          label: null,
          stroke: palette.line,
          ...small,
        }),
        Plot.axisY({
          ticks: 6,
          tickFormat: (n: number) => fixed(n, 0),
          label: null,
          stroke: palette.line,
          ...small,
        }),
        Plot.text(['Hz'], {
          frameAnchor: 'top-left',
          dx: -fontSize * 2.4,
          dy: -fontSize * 1.5,
          textAnchor: 'start',
          ...small,
        }),
        Plot.text(['brake torque, N\u202fm'], {
          frameAnchor: 'bottom-right',
          dy: fontSize * 2.6,
          textAnchor: 'end',
          ...small,
        }),
      ],
    },
  };
}

/** Spoke whose curve is nearest to a place of the drawing; null where none is within `reachPx`. */
export function spokeAtPlace(
  data: NoiseCurvesData,
  style: Sized,
  px: number,
  py: number,
  reachPx = 28,
): number | null {
  if (data.curves.length === 0) return null;
  const { toX, toY } = noiseCurvesPlace(data, style);
  let best: number | null = null;
  let least = reachPx;
  for (const { spoke, torqueNm, hz } of data.curves) {
    for (let i = 1; i < hz.length; i++) {
      const away = distance(px, py, [
        [toX(torqueNm[i - 1]), toY(hz[i - 1])],
        [toX(torqueNm[i]), toY(hz[i])],
      ]);
      if (away < least) [least, best] = [away, spoke];
    }
  }
  return best;
}

function distance(px: number, py: number, [[ax, ay], [bx, by]]: [number, number][]): number {
  const length = (bx - ax) ** 2 + (by - ay) ** 2;
  const along = length === 0 ? 0 : ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length;
  const t = Math.min(1, Math.max(0, along));
  return Math.hypot(px - ax - t * (bx - ax), py - ay - t * (by - ay));
}

/** Tones that lie so close that their names would not: `tones 1, 2, 4: 393 to 396 Hz`. */
function together(
  tones: readonly { tone: number; hz: number; high: number; chosen: boolean }[],
  closeHz: number,
): { hz: number; text: string; chosen: boolean }[] {
  const groups: (typeof tones)[number][][] = [];
  for (const one of [...tones].sort((a, b) => a.hz - b.hz)) {
    const last = groups.at(-1);
    if (last && one.hz - last[last.length - 1].hz < closeHz) last.push(one);
    else groups.push([one]);
  }
  return groups.map((group) => {
    const numbers = group.map(({ tone }) => tone).sort((a, b) => a - b);
    const [low, high] = [group[0].hz, group[group.length - 1].hz].map((hz) => fixed(hz, 0));
    return {
      hz: Math.max(...group.map((one) => one.high)),
      text:
        group.length === 1
          ? `tone ${numbers[0]}, ${low}${thin}Hz`
          : `tones ${numbers.join(', ')}: ${low === high ? '' : `${low} to `}${high}${thin}Hz`,
      chosen: group.some(({ chosen }) => chosen),
    };
  });
}

/** Moves labels off each other, from the top down; `shift` is in pixels. */
function apart<Label extends { hz: number }>(
  labels: readonly Label[],
  toY: (hz: number) => number,
  step: number,
): (Label & { shift: number })[] {
  let last = -Infinity;
  return [...labels]
    .sort((a, b) => b.hz - a.hz)
    .map((one) => {
      const wanted = toY(one.hz);
      const place = Math.max(wanted, last + step);
      last = place;
      return { ...one, shift: place - wanted };
    });
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}
