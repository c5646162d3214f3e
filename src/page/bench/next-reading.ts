/**
 * What is read next, going on from the readings so far: a suggestion, always to be changed. A series is one
 * remount at one position: no load with the dial at zero, the preload, loads up to the most, the same down.
 */
import { readNumber } from '../parts/typed-number.ts';

type Row = Record<string, string>;
type Direction = 'load' | 'unload';

/** One step of a series. Loads are in the unit in which they are written. */
export interface StiffnessStep {
  remount: string;
  position: string;
  direction: Direction;
  load: string;
  /** Step of the series, from 1, and how many there are. */
  at: number;
  of: number;
  /** The series before is whole and nothing says whether the wheel is turned or taken out now. */
  open: boolean;
}

/** The same weight to the hand: 226 N hung where 226.1 N was planned is that step done. */
const close = (a: number, b: number): boolean =>
  Math.abs(a - b) <= 0.02 * Math.max(Math.abs(a), Math.abs(b));

const beyond = (a: number, b: number): boolean => a > b && !close(a, b);

/** No load, the preload, and four equal steps up to the whole load; rounded as weights are written. */
function usualLoads(preload: number, load: number): number[] {
  const places = preload + load > 60 ? 10 : 100;
  return [0, preload, ...[1, 2, 3, 4].map((k) => preload + (load * k) / 4)]
    .map((one) => Math.round(one * places) / places)
    .filter((one, i, all) => one !== all[i - 1]);
}

/** A pull to the other side may be written with a minus; the plan is the same. */
const loadOf = (row: Row): number => Math.abs(readNumber(row.load_n ?? ''));
const isUnload = (row: Row): boolean => row.direction === 'unload';
const keyOf = (row: Row): string => JSON.stringify([row.remount, row.position_deg ?? '']);

/** Rows in the order taken, cut where another mounting or position begins, or the load goes up afresh. */
export function seriesOf(rows: readonly Row[]): Row[][] {
  const all: Row[][] = [];
  rows.forEach((row, i) => {
    const before = rows[i - 1];
    const goesOn = before && keyOf(before) === keyOf(row) && !(isUnload(before) && !isUnload(row));
    if (goesOn) all[all.length - 1].push(row);
    else all.push([row]);
  });
  return all;
}

interface Step {
  direction: Direction;
  load: number;
}

/** All steps of a series whose loads on the way up are given; down again unless the plan has no way down. */
function stepsOf(up: readonly number[], downTo: readonly number[]): Step[] {
  return [
    ...up.map((load) => ({ direction: 'load' as const, load })),
    ...downTo.map((load) => ({ direction: 'unload' as const, load })),
  ];
}

/**
 * What a series of this bench looks like: as the fullest one before was read, the first among equals; as is
 * usual while there is none.
 */
function planOf(series: readonly Row[][], preload: number, load: number): Step[] {
  const now = series.at(-1) ?? [];
  const before = series.slice(0, -1);
  const full = before.reduce((best, one) => (one.length > best.length ? one : best), before[0]);
  if (full?.length >= 2) {
    const loads = (unload: boolean) => full.filter((row) => isUnload(row) === unload).map(loadOf);
    return stepsOf(loads(false), loads(true));
  }
  const usual = usualLoads(preload, load);
  const own = now.filter((row) => !isUnload(row)).map(loadOf);
  const reached = own.at(-1);
  const turned = now.some(isUnload);
  const ahead = usual.filter((one) => reached === undefined || beyond(one, reached));
  const up = turned ? own : [...own, ...ahead];
  return stepsOf(up, up.slice(0, -1).reverse());
}

/** The step after the last reading of a series; null when the series is whole. */
function stepAfter(plan: readonly Step[], own: readonly Row[]): number | null {
  const last = own.at(-1);
  if (!last) return 0;
  const now = loadOf(last);
  const next = plan.findIndex(({ direction, load }) =>
    direction === 'load' ? !isUnload(last) && beyond(load, now) : beyond(now, load),
  );
  return next < 0 ? null : next;
}

/** A remount's name, one further: 1 → 2, a → a 2. */
export function nextRemount(name: string): string {
  const match = /^(.*?)(\d+)$/.exec(name);
  return match ? `${match[1]}${Number(match[2]) + 1}` : `${name} 2`.trim();
}

/** A quarter of the rim further. */
export const nextPosition = (position: string): string =>
  String(((readNumber(position) || 0) + 90) % 360);

/**
 * The step after the last reading. Loads of the first series are repeated in later ones; remounts after the
 * first go through its positions, then the wheel is put in afresh.
 *
 * @param range Preload and load on top of it, in the unit in which loads are written
 */
export function nextStiffness(
  rows: readonly Row[],
  range: { preload: number; load: number },
): StiffnessStep {
  const series = seriesOf(rows);
  const plan = planOf(series, range.preload, range.load);
  const own = series.at(-1) ?? [];
  const last = rows.at(-1);
  const sign = rows.some((row) => readNumber(row.load_n ?? '') < 0) ? -1 : 1;
  const step = (k: number): Pick<StiffnessStep, 'direction' | 'load' | 'at' | 'of'> => ({
    direction: plan[k].direction,
    load: String(sign * plan[k].load),
    at: k + 1,
    of: plan.length,
  });
  if (!last) return { remount: '1', position: '0', ...step(0), open: false };
  const { remount, position_deg: position = '' } = last;
  const next = stepAfter(plan, own);
  if (next !== null) return { remount, position, ...step(next), open: false };

  const [{ remount: first }] = rows;
  const positions = [
    ...new Set(rows.filter((row) => row.remount === first).map((row) => row.position_deg ?? '')),
  ];
  const following = remount === first ? undefined : positions[positions.indexOf(position) + 1];
  if (following !== undefined) return { remount, position: following, ...step(0), open: false };
  const afresh = { remount: nextRemount(remount), position: positions[0] };
  return { ...afresh, ...step(0), open: remount === first };
}
