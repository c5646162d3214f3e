/** Whether one series can be used: a dial that was reset or stands still, too little of the range. */
import type { DeflectionReading } from '../../evidence/index.ts';
import { median } from '../../statistics/index.ts';
import type { Problem } from '../../units/index.ts';
import { fromN, inRange, toN, type Range, type Series } from './series.ts';

/** Why a series is left out; null: it can be used. */
export function judgeSeries(
  series: Series,
  range: Range,
  complianceMmPerN: number,
  noiseMm: number,
): Problem | null {
  const loading = inRange(series, 'load', range);
  const unloading = inRange(series, 'unload', range);
  const whole = complianceMmPerN * range.loadN;
  const reset = dialReset(series, range, complianceMmPerN, noiseMm);
  if (reset) return reset;
  const branch = loading.length > 0 ? loading : unloading;
  const stuck = standingDial(branch, whole, range, complianceMmPerN);
  if (stuck) return stuck;
  const loads = branch.map(({ loadN }) => loadN);
  const span = Math.max(...loads) - Math.min(...loads);
  if (branch.length < 2 || !(span >= 0.4 * range.loadN)) {
    return about(
      'range-not-reached',
      `${nameOf(series)} has ${branch.length === 0 ? 'no reading' : branch.length === 1 ? 'one reading' : `readings over ${span.toFixed(0)} N only`} between the preload of ${range.preloadN} N and ${range.preloadN + range.loadN} N.`,
      'Read the dial at the preload and at several loads up to preload + load, or give the preload and load that were used.',
      series.readings[0].line,
    );
  }
  return null;
}

/** `Remount 2 at 90°`. */
export function nameOf({ remount, positionDeg, cycle }: Series): string {
  const place = positionDeg === null ? '' : ` at ${positionDeg}°`;
  return `Remount ${remount}${place}${cycle > 1 ? `, loading ${cycle},` : ''}`;
}

/**
 * Typical size of a reading's departure from the trend, mm: robust, so that a jump does not hide itself.
 * From second differences of the loading branches within the range.
 */
export function readingNoiseMm(
  series: readonly Series[],
  range: Range,
  compliance: number,
): number {
  const departures = series.flatMap((one) =>
    steps(inRange(one, 'load', range)).map(({ a, b }) =>
      Math.abs(b.deflectionMm - a.deflectionMm - compliance * (b.loadN - a.loadN)),
    ),
  );
  return departures.length === 0 ? 0 : (1.4826 * median(departures)) / Math.SQRT2;
}

function dialReset(
  series: Series,
  range: Range,
  compliance: number,
  noiseMm: number,
): Problem | null {
  for (const { a, b } of steps(series.readings)) {
    // A step wider than the range asked for may also be off by its own share.
    const whole = compliance * Math.max(range.loadN, Math.abs(b.loadN - a.loadN));
    const excess = b.deflectionMm - a.deflectionMm - compliance * (b.loadN - a.loadN);
    const turned = a.direction !== b.direction;
    // Set to zero at the preload: the range above it is whole, only the slop is hidden (zeroedAtPreload).
    if (a.direction === 'load' && b.direction === 'load' && a.loadN < fromN(range)) continue;
    const within = Math.min(a.loadN, b.loadN) >= range.preloadN * 0.98 && b.loadN <= toN(range);
    // Below the preload slop adds to the dial on the way up and may leave it all at once on the way down;
    // where the load turns and on the way down friction may hold the rim.
    const towardsSlop = !within && (a.direction === 'load' ? excess > 0 : excess < 0);
    const share = turned || b.direction === 'unload' ? 0.3 : 0.12;
    if (towardsSlop || Math.abs(excess) <= Math.max(share * whole, 8 * noiseMm)) continue;
    const fell = b.deflectionMm < a.deflectionMm ? 'falls' : 'goes';
    return about(
      'dial-reset',
      `${nameOf(series)}: the dial ${fell} from ${a.deflectionMm} to ${b.deflectionMm} mm while the load goes from ${show(a.loadN)} to ${show(b.loadN)} N, ${Math.abs(excess).toFixed(2)} mm ${excess < 0 ? 'short of' : 'beyond'} the trend: it looks as if the dial was reset or knocked between the two.`,
      'Take this mounting again, or take its rows away.',
      b.line,
    );
  }
  return null;
}

/** Whether the dial falls back on the way up to the preload, as when it is set to zero there. */
export function zeroedAtPreload(
  series: Series,
  range: Range,
  compliance: number,
  noiseMm: number,
): boolean {
  return steps(series.readings.filter(({ direction }) => direction === 'load')).some(({ a, b }) => {
    const missing = a.deflectionMm - b.deflectionMm + compliance * (b.loadN - a.loadN);
    const least = Math.max(0.5 * compliance * (b.loadN - a.loadN), 8 * noiseMm);
    return a.loadN < fromN(range) && b.loadN > a.loadN && missing > least;
  });
}

/** The load goes on over a fifth of the range while the dial stays where it is, to the end. */
function standingDial(
  branch: readonly DeflectionReading[],
  wholeMm: number,
  range: Range,
  compliance: number,
): Problem | null {
  if (branch.length < 3) return null;
  const ordered = [...branch].sort((a, b) => a.loadN - b.loadN);
  const last = ordered[ordered.length - 1];
  const from = ordered.find(
    (one) =>
      last.loadN - one.loadN >= 0.2 * range.loadN &&
      Math.abs(last.deflectionMm - one.deflectionMm) < 0.1 * compliance * (last.loadN - one.loadN),
  );
  if (!from) return null;
  const reached =
    wholeMm > 0
      ? ` (it should move by about ${(compliance * (last.loadN - from.loadN)).toFixed(2)} mm)`
      : '';
  return {
    code: 'load-without-deflection',
    place: last.line === null ? undefined : { line: last.line },
    message: `Remount ${last.remount}: the load rises from ${show(from.loadN)} to ${show(last.loadN)} N and the dial stays at ${last.deflectionMm} mm${reached}.`,
    remedy:
      'See that the dial touches the rim and is not at the end of its travel, and take this mounting again.',
  };
}

interface Step {
  a: DeflectionReading;
  b: DeflectionReading;
}

/** Neighbours in the order taken. */
function steps(readings: readonly DeflectionReading[]): Step[] {
  return readings.slice(1).map((b, i) => ({ a: readings[i], b }));
}

function about(
  code: Problem['code'],
  message: string,
  remedy: string,
  line: number | null,
): Problem {
  return { code, ...(line === null ? {} : { place: { line } }), message, remedy };
}

const show = (value: number): string => String(Number(value.toPrecision(4)));
