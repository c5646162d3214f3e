import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { clock, fixed } from './numbers.ts';

export interface PluckMark {
  atS: number;
  /** Written above it: the number of its spoke. */
  name: string;
  used: boolean;
}

export interface PluckLevelData {
  /** Level of the whole band, dB below full scale, one for each `columnS` from `fromS` on. */
  fromS: number;
  columnS: number;
  levelDb: readonly number[];
  plucks: readonly PluckMark[];
  /** The pluck that is being played, by its place in the list; null: none. */
  playing: number | null;
}

/** Level over time with a mark at each pluck: its spoke's number, or a cross where it does not count. */
export function pluckLevelFigure(data: PluckLevelData, style: FigureStyle): Figure | null {
  const { levelDb, columnS, fromS, plucks, playing } = data;
  if (levelDb.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const topDb = Math.max(...levelDb);
  // What is quieter than a room is not worth its height.
  const bottomDb = Math.max(topDb - 66, Math.min(topDb - 20, ...levelDb));
  const room = 0.26 * (topDb - bottomDb);
  const toS = fromS + columnS * levelDb.length;
  const points = levelDb.map((db, i) => ({
    t: fromS + (i + 0.5) * columnS,
    db: Math.max(bottomDb, db),
  }));
  const used = plucks.filter((one) => one.used);
  const out = plucks.filter((one) => !one.used);
  const perName = (fontSize * 1.5 * (toS - fromS)) / width;
  let free = -Infinity;
  // Names where there is room for them.
  const named = used.filter(({ atS }) => {
    if (atS < free) return false;
    free = atS + perName;
    return true;
  });
  const shown = playing === null ? [] : plucks.slice(playing, playing + 1);
  const step = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600].find(
    (s) => (toS - fromS) / s <= width / 90,
  );
  const every = step ?? 1200;
  // The last one only where its words have room.
  const ticks = Array.from({ length: Math.floor(toS / every) + 1 }, (_, k) => k * every).filter(
    (t) => ((toS - t) * width) / (toS - fromS) > 2.4 * size,
  );
  return {
    title: 'Level over time with the plucks',
    description: `${plucks.length} strokes in ${clock(toS - fromS)}; ${used.length} count, ${out.length} do not.`,
    width,
    height: Math.round(fontSize * 9),
    options: {
      ...frame(fontSize, { top: 2, bottom: fontSize * 1.7, left: 2, right: 2 }),
      x: { domain: [fromS, toS], axis: null },
      y: { domain: [bottomDb, topDb + room], axis: null },
      marks: [
        Plot.areaY(points, { x: 't', y1: bottomDb, y2: 'db', fill: palette.soft }),
        Plot.link(shown, {
          x: 'atS',
          y1: bottomDb,
          y2: topDb + 0.2 * room,
          stroke: palette.accent,
          strokeWidth: 4,
        }),
        Plot.link(used, {
          x: 'atS',
          y1: topDb + 0.05 * room,
          y2: topDb + 0.3 * room,
          stroke: palette.accent,
          strokeWidth: 2,
        }),
        Plot.text(named, {
          x: 'atS',
          y: topDb + 0.68 * room,
          text: 'name',
          fill: palette.ink,
          fontWeight: 600,
          fontSize: size,
        }),
        Plot.dot(out, {
          x: 'atS',
          y: topDb + 0.3 * room,
          symbol: 'times',
          r: fontSize * 0.3,
          stroke: palette.warm,
          strokeWidth: 2.5,
        }),
        Plot.text(ticks, {
          x: (t: number) => t,
          y: bottomDb,
          dy: size,
          text: (t: number) => `${fixed(t, 0)} s`,
          textAnchor: 'start',
          fill: palette.soft,
          fontSize: size,
        }),
      ],
    },
  };
}
