import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, hours, timeTicks } from './numbers.ts';

export interface LapValue {
  setupName: string;
  run: number;
  lap: number;
  dayTimeS: number;
  cdaM2: number | null;
  standardUncertaintyM2: number | null;
  used: boolean;
}

/**
 * CdA of every lap over the day, one strip for each setup, with plus and minus one standard uncertainty:
 * drift leans the strips, a bad lap stands off. Laps left out are open and warm, and still there to see.
 */
export function lapValuesFigure(laps: readonly LapValue[], style: FigureStyle): Figure | null {
  const known = laps.filter((lap): lap is LapValue & { cdaM2: number } => lap.cdaM2 !== null);
  if (known.length === 0) return null;
  const { palette, fontSize, width } = style;
  const names = [...new Set(known.map((lap) => lap.setupName))];
  const band = Math.round(fontSize * 7.5);
  const top = Math.round(fontSize * 0.6);
  const bottom = Math.round(fontSize * 3.2);
  // The strips share one scale, set by the laps in use: a wild lap left out may not squeeze the rest.
  const inUse = known.filter((lap) => lap.used);
  const ends = (inUse.length > 0 ? inUse : known).flatMap((lap) => [
    lap.cdaM2 - (lap.standardUncertaintyM2 ?? 0),
    lap.cdaM2 + (lap.standardUncertaintyM2 ?? 0),
  ]);
  const low = Math.min(...ends);
  const high = Math.max(...ends);
  const spare = Math.max((high - low) * 0.1, 1e-4);
  const strip = (name: string, cda: number) => {
    const share = (cda - low + spare) / (high - low + 2 * spare);
    const held = Math.min(1, Math.max(0, share));
    return names.indexOf(name) + 1 - 0.06 - held * 0.6;
  };
  const last = Math.max(...known.map((lap) => lap.dayTimeS), 60);
  const used = known.filter((lap) => lap.used);
  const out = known.filter((lap) => !lap.used);
  const mean = (name: string) => {
    const own = used.filter((lap) => lap.setupName === name);
    return own.reduce((sum, lap) => sum + lap.cdaM2, 0) / own.length;
  };
  const measured = names.filter((name) => used.some((lap) => lap.setupName === name));
  const size = fontSize * 0.86;
  const bar = (lap: LapValue & { cdaM2: number }, sign: number) =>
    strip(lap.setupName, lap.cdaM2 + sign * (lap.standardUncertaintyM2 ?? 0));
  return {
    title: 'CdA of every lap over the day',
    description: names
      .map((name) => {
        const own = known.filter((lap) => lap.setupName === name);
        const left = own.filter((lap) => !lap.used).length;
        const average = measured.includes(name) ? `, mean ${fixed(mean(name), 4)} m²` : '';
        return `${name}: ${own.length} laps${left > 0 ? `, ${left} left out` : ''}${average}`;
      })
      .join('. '),
    width,
    height: top + bottom + names.length * band,
    options: {
      ...frame(fontSize, { top: top, bottom: bottom, left: fontSize, right: fontSize }),
      x: { domain: [-last * 0.02, last * 1.04], axis: null },
      y: { domain: [names.length, 0], axis: null },
      marks: [
        Plot.rect(names, {
          x1: -last * 0.02,
          x2: last * 1.04,
          y1: (name) => names.indexOf(name) + 0.3,
          y2: (name) => names.indexOf(name) + 0.98,
          fill: palette.band,
          fillOpacity: 0.55,
        }),
        Plot.link(measured, {
          x1: -last * 0.02,
          x2: last * 1.04,
          y: (name) => strip(name, mean(name)),
          stroke: palette.soft,
          strokeWidth: 1.5,
          strokeDasharray: '6 5',
        }),
        Plot.link(used, {
          x: 'dayTimeS',
          y1: (lap) => bar(lap, -1),
          y2: (lap) => bar(lap, 1),
          stroke: palette.accent,
          strokeWidth: 3,
        }),
        Plot.dot(used, {
          x: 'dayTimeS',
          y: (lap) => strip(lap.setupName, lap.cdaM2),
          r: fontSize * 0.3,
          fill: palette.accent,
        }),
        Plot.dot(out, {
          x: 'dayTimeS',
          y: (lap) => strip(lap.setupName, lap.cdaM2),
          r: fontSize * 0.42,
          symbol: 'times',
          stroke: palette.warm,
          strokeWidth: 3,
        }),
        Plot.text(names, {
          x: -last * 0.02,
          y: (name) => names.indexOf(name) + 0.15,
          text: (name) => name,
          textAnchor: 'start',
          fontWeight: 700,
          fill: palette.ink,
        }),
        Plot.text(measured, {
          x: last * 1.04,
          y: (name) => names.indexOf(name) + 0.15,
          text: (name) => `mean ${fixed(mean(name), 4)} m²`,
          textAnchor: 'end',
          fill: palette.soft,
          fontSize: size,
        }),
        Plot.axisX(timeTicks(last, Math.max(3, Math.floor(width / (fontSize * 7)))), {
          tickFormat: (s: number) => hours(s),
          label: null,
          fill: palette.soft,
          stroke: palette.line,
          fontSize: size,
        }),
        Plot.text(['since the start of the first run'], {
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
