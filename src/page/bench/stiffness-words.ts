/** What a person does next on the bench, and what units are asked about, in words. Pure, for tests. */
import { fixed, thin } from '../../figures/index.ts';
import type { Problem, StiffnessOptions } from '../../application/contract.ts';
import { readNumber } from '../parts/typed-number.ts';

type Row = Record<string, string>;

/** Standard gravity, m/s², exact by definition (CGPM 1901): newtons in a kilogram hung up. */
const newtonsPerKilogram = 9.80665;

/** Preload and load in the unit in which loads are written. */
export function inLoadUnit({ preloadN, loadN, loadUnit }: StiffnessOptions): {
  preload: number;
  load: number;
  unit: 'N' | 'kg';
} {
  if (loadUnit !== 'kg') return { preload: preloadN, load: loadN, unit: 'N' };
  return { preload: preloadN / newtonsPerKilogram, load: loadN / newtonsPerKilogram, unit: 'kg' };
}

/** What to do before the dial is read, from the values in the fields and the reading before. */
export function whatToDo(values: Row, before: Row | null, preload: number, unit: string): string {
  const load = readNumber(values.load_n);
  if (!Number.isFinite(load)) return 'Say which load is on the rim.';
  const weight = `${plain(load)}${thin}${unit}`;
  const begun =
    before !== null &&
    before.remount === values.remount &&
    (before.position_deg ?? '') === (values.position_deg ?? '') &&
    !(before.direction === 'unload' && values.direction === 'load');
  if (!begun) {
    const move =
      before === null
        ? ''
        : before.remount !== values.remount
          ? 'Take the wheel out and mount it afresh. '
          : before.position_deg !== values.position_deg
            ? `Turn the wheel to ${values.position_deg}°. `
            : 'Load once more. ';
    const zero =
      load === 0
        ? 'No load: set the dial to zero.'
        : `Put on ${weight} and set the dial to zero; the slop is then not seen.`;
    return `${move}${zero}`;
  }
  if (values.direction === 'unload')
    return load === 0
      ? 'Take all load off; leave the dial as it is.'
      : `Take load off: ${weight} left.`;
  if (load === 0) return 'No load: set the dial to zero.';
  if (Math.abs(load - preload) < 1e-3 * preload + 0.006) return `Put on the preload: ${weight}.`;
  return `Load up to ${weight}.`;
}

/** `79`, `128.1`: no more decimals than were written. */
const plain = (value: number): string => String(Number(value.toFixed(3)));

/** `Remount 2 at 90°.` */
export const seriesName = (row: Row): string =>
  `Remount ${row.remount}${row.position_deg ? ` at ${row.position_deg}°` : ''}`;

/** An answer to the question in which unit loads are written, and what it changes. */
export interface UnitAnswer {
  text: string;
  options: Partial<StiffnessOptions>;
}

/**
 * Answers to a doubt about newtons and kilograms; empty for any other problem. A load asked for of up to
 * 60, or a preload small beside it, is taken for kilograms along with the readings, and the button says so.
 */
export function unitAnswers(problem: Problem, options: StiffnessOptions): UnitAnswer[] {
  const field = problem.place?.field;
  if (problem.code !== 'reading-unit' || (field !== 'load_n' && field !== 'load')) return [];
  const { preloadN, loadN } = options;
  const changed: Partial<StiffnessOptions> = {};
  if (loadN <= 60) {
    changed.loadN = round(loadN * newtonsPerKilogram);
    if (preloadN < loadN / 2) changed.preloadN = round(preloadN * newtonsPerKilogram);
  }
  const range = Object.entries({ preload: changed.preloadN, load: changed.loadN })
    .filter(([, value]) => value !== undefined)
    .map(([name, value]) => `${name} ${fixed(value ?? 0, 1)}${thin}N`)
    .join(', ');
  return [
    field === 'load_n'
      ? {
          text: `They are kilograms${range ? `: take ${range}` : ''}`,
          options: { ...changed, loadUnit: 'kg' },
        }
      : { text: `Kilograms: make it ${range}`, options: changed },
    { text: 'They are newtons', options: { loadUnit: 'N' } },
  ];
}

const round = (newtons: number): number => Math.round(newtons * 10) / 10;
