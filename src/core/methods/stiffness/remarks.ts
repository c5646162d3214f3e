/** What a person should know beside the numbers. */
import { tTwoSidedP } from '../../statistics/index.ts';
import type { Problem } from '../../units/index.ts';
import type { OverRemounts } from './over-remounts.ts';
import type { ReducedSeries } from './reduce-series.ts';
import { inRange, type Range } from './series.ts';

export const cautions = [
  'Stay below the maker’s limits for rim and spokes, and stand clear of the hanging load; a wheel that creaked, slipped or kept a set belongs to a qualified wheel builder before it is ridden.',
];

export function sayRemounts(used: readonly ReducedSeries[], remounts: number): Problem[] {
  const problems: Problem[] = [];
  if (remounts === 1) {
    problems.push({
      code: 'remounts-too-few',
      message:
        'The wheel was mounted once: the interval holds the scatter of the readings alone. What a fresh mounting changes, usually the larger part, is not in it.',
      remedy: 'Take the wheel out, mount it afresh and read it again, three times or more.',
    });
  } else if (remounts === 2) {
    problems.push({
      code: 'remounts-too-few',
      message:
        'Two mountings give an interval with one degree of freedom, which is very wide by its nature.',
      remedy: 'A third and a fourth mounting narrow it most.',
    });
  }
  const branches = new Set(used.map(({ branch }) => branch));
  const unloaded = used.some(({ series }) =>
    series.readings.some(({ direction }) => direction === 'unload'),
  );
  if (branches.has('unload')) {
    problems.push({
      code: 'one-direction-only',
      message:
        'Some mountings were read on the way down only: their stiffness is that of unloading, and nothing can be said of their hysteresis.',
      remedy: 'Read on the way up and on the way down.',
    });
  } else if (!unloaded) {
    problems.push({
      code: 'one-direction-only',
      message:
        'The readings were taken on the way up only: hysteresis and zero shift are not known.',
      remedy: 'Read on the way down too, direction "unload".',
    });
  }
  return problems;
}

export function sayRange(used: readonly ReducedSeries[], range: Range): Problem[] {
  const reached = Math.min(
    ...used.map(({ series, branch }) =>
      Math.max(...inRange(series, branch, range).map(({ loadN }) => loadN)),
    ),
  );
  const begun = Math.max(
    ...used.map(({ series, branch }) =>
      Math.min(...inRange(series, branch, range).map(({ loadN }) => loadN)),
    ),
  );
  const end = range.preloadN + range.loadN;
  const short = end - reached > 0.05 * range.loadN;
  const late = begun - range.preloadN > 0.25 * range.loadN;
  if (!short && !late) return [];
  return [
    {
      code: 'range-not-reached',
      message: `Stiffness is asked for from ${show(range.preloadN)} to ${show(end)} N, but some mountings were read from ${show(begun)} to ${show(reached)} N only: it is carried over along the line.`,
      remedy: 'Read at the preload and at preload + load.',
    },
  ];
}

/**
 * Whether the branch is straight within the range: a common bend of all series against their residuals,
 * reported when it is clear (p < 0.001) and worth more than 2 % of the stiffness.
 */
export function checkStraight(used: readonly ReducedSeries[], range: Range): Problem[] {
  let szz = 0;
  let szr = 0;
  let srr = 0;
  let n = 0;
  const middle = range.preloadN + range.loadN / 2;
  for (const { series, branch, line } of used) {
    const points = inRange(series, branch, range);
    if (line === null || points.length < 3) continue;
    const bent = points.map(({ loadN }) => ((2 * (loadN - middle)) / range.loadN) ** 2);
    const flat = straightened(
      points.map(({ loadN }) => loadN),
      bent,
    );
    points.forEach(({ loadN, deflectionMm }, i) => {
      const residual = deflectionMm - line.interceptMm - line.slopeMmPerN * loadN;
      szz += flat[i] ** 2;
      szr += flat[i] * residual;
      srr += residual ** 2;
    });
    n += points.length - 2;
  }
  if (szz === 0 || n < 3) return [];
  const bend = szr / szz;
  const variance = Math.max(0, srr - szr * bend) / (n - 1);
  const slope = used.reduce((sum, { line }) => sum + line!.slopeMmPerN, 0) / used.length;
  // d(F) = … + bend·x², x = ±1 at the ends: the slope there changes by ∓4·bend/load.
  const share = (4 * bend) / (slope * range.loadN);
  const t = variance > 0 ? Math.abs(bend) / Math.sqrt(variance / szz) : Infinity;
  if (Math.abs(share) < 0.02 || tTwoSidedP(t, n - 1) > 0.001) return [];
  const ends = [1 / (slope * (1 - share)), 1 / (slope * (1 + share))].map((k) => k.toPrecision(2));
  const why =
    share < 0
      ? `The slop may not be taken up at ${show(range.preloadN)} N yet; try a higher preload.`
      : 'Spokes may be going slack or the fixture giving way towards the end; load less, and check the tensions.';
  return [
    {
      code: 'readings-not-straight',
      message: `The readings bend: about ${ends[0]} N/mm at the start of the range and ${ends[1]} N/mm at its end. The stiffness given is the mean over the range.`,
      remedy: why,
    },
  ];
}

/** What is left of `values` after a straight line on `x`. */
function straightened(x: readonly number[], values: readonly number[]): number[] {
  const n = x.length;
  const mx = x.reduce((a, b) => a + b, 0) / n;
  const mv = values.reduce((a, b) => a + b, 0) / n;
  const sxx = x.reduce((sum, one) => sum + (one - mx) ** 2, 0);
  const slope = x.reduce((sum, one, i) => sum + (one - mx) * (values[i] - mv), 0) / sxx;
  return values.map((value, i) => value - mv - slope * (x[i] - mx));
}

export function saySlop(slop: OverRemounts | null, hidden: boolean, range: Range): Problem[] {
  if (hidden) {
    return [
      {
        code: 'slop-unseen',
        message: `The dial falls back on the way up to the preload, as it does when it is set to zero there: the slop of such mountings cannot be told${slop === null ? '' : ' and is left out'}.`,
        remedy: 'Set the dial to zero at no load, and write that reading down.',
      },
    ];
  }
  if (slop !== null) return [];
  return [
    {
      code: 'slop-unseen',
      message: `There are too few readings below the preload of ${show(range.preloadN)} N to tell the slop and how sure it is.`,
      remedy: 'Write down the reading at no load before each loading.',
    },
  ];
}

export function sayZeroShift(shift: OverRemounts | null, wholeMm: number): Problem[] {
  if (shift === null) return [];
  const [low, high] = shift.ci95;
  const clear = low > 0 || high < 0;
  if (!clear || Math.abs(shift.value) < 0.05 * wholeMm) return [];
  return [
    {
      code: 'zero-shift',
      message: `After unloading the dial stays ${shift.value.toFixed(2)} mm from where it was, ${((100 * Math.abs(shift.value)) / wholeMm).toFixed(0)} % of the deflection over the range: something slips or sets.`,
      remedy: 'Clamp axle and dial afresh, load once to settle, and read again.',
    },
  ];
}

const show = (value: number): string => String(Number(value.toPrecision(4)));
