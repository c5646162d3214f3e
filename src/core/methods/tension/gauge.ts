/** The number on a gauge to tension, through the gauge's own table. */
import type { BySide, GaugePoint, Side } from '../../evidence/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { bothSides } from './model.ts';
import { monotoneCurve, type MonotoneCurve } from './monotone-curve.ts';
import type { GaugeRange } from './result.ts';

/** A table with the name of its file, for messages. */
export interface GaugeTable {
  points: readonly GaugePoint[];
  file: string;
}

export interface GaugeCurves {
  curves: BySide<MonotoneCurve>;
  ranges: GaugeRange[];
  warnings: Problem[];
}

/**
 * Curves for both sides. A table for several kinds of spoke is told which by `spokeType`, or has kinds named
 * `left` and `right`.
 *
 * @throws LapbenchError `calibration-unusable` for a table that turns back, is too short or has no such kind
 */
export function gaugeCurves(table: GaugeTable, spokeType: string | null): GaugeCurves {
  const warnings: Problem[] = [];
  const curves = {} as BySide<MonotoneCurve>;
  const ranges: GaugeRange[] = [];
  const known = new Map<string | null, MonotoneCurve>();
  for (const side of bothSides) {
    const kind = kindFor(side, table, spokeType);
    const points = table.points.filter((point) => point.spokeType === kind);
    const curve = known.get(kind) ?? curveThrough(points, table.file, warnings);
    known.set(kind, curve);
    curves[side] = curve;
    const ends = [curve.at(curve.from)!.value, curve.at(curve.to)!.value];
    ranges.push({
      side,
      points: points.length,
      reading: [curve.from, curve.to],
      tensionN: [Math.min(...ends), Math.max(...ends)],
    });
  }
  return { curves, ranges, warnings };
}

function kindFor(side: Side, { points, file }: GaugeTable, wanted: string | null): string | null {
  const kinds = [...new Set(points.map(({ spokeType }) => spokeType))];
  const find = (name: string) => kinds.find((kind) => kind?.toLowerCase() === name.toLowerCase());
  if (wanted !== null) {
    const kind = find(wanted);
    if (kind !== undefined) return kind;
    return refuse(
      file,
      null,
      `The table has no spokes of the kind ${JSON.stringify(wanted)}; it has ${listed(kinds)}.`,
      'Name one of those, or add the points of this kind to the table.',
    );
  }
  if (kinds.length === 1) return kinds[0];
  const own = find(side);
  if (own !== undefined) return own;
  return refuse(
    file,
    null,
    `The table has several kinds of spoke: ${listed(kinds)}.`,
    'Say which one was read, or name the kinds "left" and "right".',
  );
}

const listed = (kinds: readonly (string | null)[]): string =>
  kinds.map((kind) => (kind === null ? 'one without a name' : JSON.stringify(kind))).join(', ');

function curveThrough(
  points: readonly GaugePoint[],
  file: string,
  warnings: Problem[],
): MonotoneCurve {
  const sorted = [...points].sort((a, b) => a.reading - b.reading);
  if (sorted.length < 2) {
    refuse(
      file,
      sorted[0]?.line ?? null,
      'One point is no curve.',
      'Give the gauge’s reading at several tensions, from below the loosest spoke to above the tightest.',
    );
  }
  const rises = sorted[sorted.length - 1].tensionN > sorted[0].tensionN;
  const problems: Problem[] = [];
  for (let i = 1; i < sorted.length; i++) {
    const [before, here] = [sorted[i - 1], sorted[i]];
    const place = here.line === null ? {} : { place: { line: here.line } };
    if (before.reading === here.reading) {
      problems.push({
        code: 'calibration-unusable',
        file,
        ...place,
        message: `The reading ${here.reading} stands twice, at ${before.tensionN} N and at ${here.tensionN} N.`,
        remedy: 'Keep one point a reading, the mean where it was taken several times.',
      });
    } else if (rises !== here.tensionN > before.tensionN || here.tensionN === before.tensionN) {
      problems.push({
        code: 'calibration-unusable',
        file,
        ...place,
        message:
          `From reading ${before.reading} to ${here.reading} the tension goes from ${before.tensionN} N to ${here.tensionN} N, ` +
          `where the rest of the table ${rises ? 'rises' : 'falls'}.`,
        remedy: 'Take those points again: a reading must belong to one tension.',
      });
    }
  }
  if (problems.length > 0) throw new LapbenchError(problems);
  if (sorted.length === 2) {
    warnings.push({
      code: 'calibration-unusable',
      file,
      message:
        'The table has two points, so the curve between them is a straight line; most gauges bend.',
      remedy: 'Add points in between.',
    });
  }
  return monotoneCurve(
    sorted.map(({ reading }) => reading),
    sorted.map(({ tensionN }) => tensionN),
  );
}

function refuse(file: string, line: number | null, message: string, remedy: string): never {
  throw new LapbenchError({
    code: 'calibration-unusable',
    file,
    ...(line === null ? {} : { place: { line } }),
    message,
    remedy,
  });
}
