import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { decimalsFor, fixed } from './numbers.ts';

export interface BudgetRow {
  source: string;
  uncertaintyM2: number;
}

/** Where an interval comes from: standard uncertainty by source, largest first. */
export function budgetFigure(
  rows: readonly BudgetRow[],
  of: string,
  style: FigureStyle,
): Figure | null {
  const shown = rows
    .filter((row) => row.uncertaintyM2 > 0)
    .sort((a, b) => b.uncertaintyM2 - a.uncertaintyM2);
  if (shown.length === 0) return null;
  const { palette, fontSize, width } = style;
  const rowHeight = Math.round(fontSize * 3.1);
  const decimals = decimalsFor(shown[0].uncertaintyM2) + 1;
  const y = (row: BudgetRow) => shown.indexOf(row);
  return {
    title: `Standard uncertainty of ${of} by source`,
    description: shown
      .map((row) => `${row.source}: ${fixed(row.uncertaintyM2, decimals)} m²`)
      .join('. '),
    width,
    height: shown.length * rowHeight + fontSize,
    options: {
      ...frame(fontSize, { top: 0, bottom: fontSize, left: 1, right: 1 }),
      x: { domain: [0, shown[0].uncertaintyM2], axis: null },
      y: { domain: [shown.length, 0], axis: null },
      marks: [
        Plot.rect(shown, {
          x1: 0,
          x2: 'uncertaintyM2',
          y1: (row) => y(row) + 0.58,
          y2: (row) => y(row) + 0.84,
          fill: palette.accent,
        }),
        Plot.text(shown, {
          x: 0,
          y: (row) => y(row) + 0.32,
          text: 'source',
          textAnchor: 'start',
          fill: palette.ink,
        }),
        Plot.text(shown, {
          x: shown[0].uncertaintyM2,
          y: (row) => y(row) + 0.32,
          text: (row) => `${fixed(row.uncertaintyM2, decimals)} m²`,
          textAnchor: 'end',
          fill: palette.soft,
        }),
      ],
    },
  };
}
