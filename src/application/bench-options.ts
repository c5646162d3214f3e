/** The options of a bench item: their usual values, and a check of what a person gives. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { BenchKind, BenchOptions } from './contract.ts';

/** 30 N takes the slop up in common fixtures; 196.1 N is 20 kg hung at the rim. */
const usual: BenchOptions = {
  stiffness: { preloadN: 30, loadN: 196.1, loadUnit: null },
  tension: {
    as: 'tension',
    unit: null,
    calibration: '',
    spokeType: null,
    tolerancePercent: null,
    maximumN: null,
    known: null,
    lateralLimitMm: null,
    radialLimitMm: null,
    wheel: null,
  },
  wheel: { compareWith: null, benchLateralNPerMm: null, benchLateralCi95: null },
};

/** What would be right instead, in words; null: it is right. */
export type Check = (value: unknown) => string | null;

export const finite = (value: unknown): value is number =>
  typeof value === 'number' && Number.isFinite(value);
export const number =
  (low: number, high: number): Check =>
  (value) =>
    finite(value) && value >= low && value <= high ? null : `a number from ${low} to ${high}`;
export const orNull =
  (check: Check): Check =>
  (value) => {
    const wanted = value === null ? null : check(value);
    return wanted && `${wanted}, or nothing`;
  };
export const text =
  (longest: number): Check =>
  (value) =>
    typeof value === 'string' && value.length <= longest ? null : `at most ${longest} letters`;

const oneOf =
  (...words: string[]): Check =>
  (value) =>
    typeof value === 'string' && words.includes(value)
      ? null
      : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;

const checks: { [Kind in BenchKind]: Record<keyof BenchOptions[Kind], Check> } = {
  stiffness: {
    preloadN: number(0, 2000),
    loadN: number(1, 5000),
    loadUnit: orNull(oneOf('N', 'kg')),
  },
  tension: {
    as: oneOf('tension', 'gauge', 'pitch'),
    unit: orNull(oneOf('N', 'kgf', 'lbf')),
    calibration: text(100_000),
    spokeType: orNull(text(100)),
    tolerancePercent: orNull(number(0.1, 100)),
    maximumN: orNull(number(1, 10_000)),
    known: orNull((value) => {
      const known = value as { spoke?: unknown; tensionN?: unknown };
      return Number.isInteger(known.spoke) && finite(known.tensionN) && known.tensionN > 0
        ? null
        : 'the number of a spoke and its tension in N';
    }),
    lateralLimitMm: orNull(number(0.01, 20)),
    radialLimitMm: orNull(number(0.01, 20)),
    wheel: orNull(text(100)),
  },
  wheel: {
    compareWith: orNull(text(100)),
    benchLateralNPerMm: orNull(number(0.1, 10_000)),
    benchLateralCi95: orNull((value) =>
      Array.isArray(value) && value.length === 2 && value.every(finite) && value[0] <= value[1]
        ? null
        : 'the lower and the upper end of the interval',
    ),
  },
};

/**
 * Options after a change. Throws `LapbenchError` with every option that is unknown or out of its range.
 */
export function checkedOptions<Kind extends BenchKind>(
  kind: Kind,
  before: unknown,
  change: Record<string, unknown>,
): BenchOptions[Kind] {
  refuseUnfit(kind, checks[kind], change);
  return { ...wholeOptions(kind, before), ...change };
}

/** Throws `LapbenchError` with every option that is unknown or out of its range. */
export function refuseUnfit(
  kind: string,
  known: Record<string, Check>,
  change: Record<string, unknown>,
): void {
  const problems = Object.entries(change).flatMap(([name, value]): Problem[] => {
    const wanted = Object.hasOwn(known, name) ? known[name](value) : 'left out';
    if (wanted === null) return [];
    return [
      {
        code: 'usage',
        place: { field: `options.${name}` },
        message: `${JSON.stringify(value)?.slice(0, 60)} does not fit here.`,
        remedy:
          wanted === 'left out' ? `Leave it out: ${kind} has no such option.` : `Give ${wanted}.`,
      },
    ];
  });
  if (problems.length > 0) throw new LapbenchError(problems);
}

/** Stored options, with the usual values of those that were not there when they were stored. */
export function wholeOptions<Kind extends BenchKind>(
  kind: Kind,
  stored: unknown,
): BenchOptions[Kind] {
  return { ...usual[kind], ...(stored as Partial<BenchOptions[Kind]> | null) };
}
