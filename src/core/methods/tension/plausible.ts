/**
 * What is wrong with a whole table of spokes: units, numbering, sides, readings that contradict each other.
 * Bounds are common practice, no source: wider than any built wheel, narrow enough that a slip of unit falls
 * outside.
 */
import type { Side, SpokeReading, Wheel } from '../../evidence/index.ts';
import { mean, median } from '../../statistics/index.ts';
import { sideOrder } from '../../structure/index.ts';
import {
  LapbenchError,
  standardGravityMps2,
  type Problem,
  type ProblemCode,
} from '../../units/index.ts';
import { bothSides, type ReadSpoke } from './model.ts';

/** What a tension is written in. */
export type TensionUnit = 'N' | 'kgf' | 'lbf';

/** Newtons in one of it; the international pound. */
export const newtonsPer: Record<TensionUnit, number> = {
  N: 1,
  kgf: standardGravityMps2,
  lbf: standardGravityMps2 * 0.45359237,
};

/**
 * Asks where tensions, taken as newtons, look like something else. `what` is what they are: `readings`, `table`.
 *
 * @throws LapbenchError `reading-unit`
 */
export function refuseUnit(
  tensionsN: readonly number[],
  unit: TensionUnit | null,
  what: string,
  where: Pick<Problem, 'file' | 'place'> = {},
): void {
  if (tensionsN.length === 0) return;
  const typical = median(tensionsN);
  const inNewtons = unit === null || unit === 'N' ? '' : ` (from ${unit})`;
  // `field` says to the page which question is open.
  const ask = (guess: string, remedy: string, field = 'unit'): never => {
    throw new LapbenchError({
      code: 'reading-unit',
      ...where,
      place: { ...where.place, field },
      message: `The ${what} have a typical tension of ${round(typical)} N${inNewtons}${guess}`,
      remedy,
    });
  };
  if (typical > 4000)
    ask(
      ', which no spoke bears.',
      'Write newtons, or say with --unit what they are: N, kgf or lbf.',
    );
  if (unit !== null || typical === 0) return;
  if (typical < 5) ask(': they look like kilonewtons.', 'Write newtons, or confirm with --unit N.');
  if (typical >= 330) return;
  if (typical < 35)
    ask(
      ', which holds no wheel: they look like numbers of a gauge.',
      'Then add --as gauge and --calibration with the gauge’s table; if they are newtons, confirm with --unit N.',
      'as',
    );
  const [kgf, lbf] = [newtonsPer.kgf * typical, newtonsPer.lbf * typical];
  const usual = (tensionN: number): boolean => tensionN > 350 && tensionN < 1700;
  const guesses = [
    ...(usual(kgf) ? [`kilograms-force (${round(kgf)} N)`] : []),
    ...(usual(lbf) ? [`pounds-force (${round(lbf)} N)`] : []),
  ];
  if (guesses.length === 0) return;
  ask(
    `: they look like ${guesses.join(' or ')}.`,
    'Which are they? Add --unit kgf or --unit lbf; if they are newtons, confirm with --unit N.',
  );
}

/** Typical tension of the tighter side. */
export function tighterSide(readings: readonly SpokeReading[]): number[] {
  const sides = bothSides.map((side) =>
    readings.filter((one) => one.side === side).map(({ reading }) => reading),
  );
  const filled = sides.filter((own) => own.length > 0);
  return filled.reduce((best, own) => (median(own) > median(best) ? own : best));
}

/** A maximum or a known tension below all that the wheel can have, read as kilograms, fits. */
export function refuseMaximumUnit(maximumN: number | null, typicalN: number): void {
  if (maximumN === null || maximumN > typicalN / 3) return;
  const kgf = maximumN * newtonsPer.kgf;
  if (kgf < typicalN * 0.7) return;
  throw new LapbenchError({
    code: 'reading-unit',
    message: `The maximum of ${maximumN} N lies far below the spokes’ ${round(typicalN)} N: it looks like kilograms-force (${round(kgf)} N).`,
    remedy: 'Give the maker’s maximum in newtons, kilograms-force × 9.80665.',
  });
}

/**
 * Holds numbers and sides against the wheel: a spoke too many, a side that is not the lacing's.
 *
 * @throws LapbenchError `wheel-mismatch`, `side-contradiction`
 */
export function refuseOtherWheel(readings: readonly SpokeReading[], wheel: Wheel): void {
  const { left, right } = wheel.spokes;
  const order = sideOrder(left.count, right.count);
  const beyond = readings.filter(({ spoke }) => spoke > order.length);
  if (beyond.length > 0) {
    const highest = Math.max(...readings.map(({ spoke }) => spoke));
    refuse(
      'wheel-mismatch',
      `The readings go up to spoke ${highest}, the wheel sheet has ${order.length} spokes (${left.count} left, ${right.count} right).`,
      'Take the sheet of this wheel, or correct the numbers.',
      beyond[0].line,
    );
  }
  const wrong = readings.filter(({ spoke, side }) => order[spoke - 1] !== side);
  if (wrong.length === 0) return;
  const spokes = new Set(readings.map(({ spoke }) => spoke)).size;
  const wrongSpokes = [...new Set(wrong.map(({ spoke }) => spoke))];
  if (wrongSpokes.length > 0.5 * spokes || wrongSpokes.length > 6) {
    refuse(
      'side-contradiction',
      `${wrongSpokes.length} of ${spokes} spokes stand on the other side than in the wheel sheet, which goes ${order.slice(0, 3).join(', ')} from spoke 1.`,
      `Begin to count at a ${order[0]} spoke, see that left is left as seen by the rider, or correct the sheet.`,
      wrong[0].line,
    );
  }
  throw new LapbenchError(
    wrongSpokes.map((spoke): Problem => {
      const { side, line } = wrong.find((one) => one.spoke === spoke)!;
      return {
        code: 'side-contradiction',
        ...(line === null ? {} : { place: { line } }),
        message: `Spoke ${spoke} stands on the ${side}; by the lacing of the wheel sheet it is on the ${order[spoke - 1]}.`,
        remedy: 'Correct the side or the number.',
      };
    }),
  );
}

/** Without a sheet: sides that break the order which most spokes keep. */
export function sayOddSides(readings: readonly SpokeReading[]): Problem[] {
  const sides = new Map<number, Side>(readings.map(({ spoke, side }) => [spoke, side]));
  const patterns = [
    sideOrder(6, 6),
    sideOrder(6, 6).reverse(),
    ...[0, 1, 2].flatMap((turn) =>
      [sideOrder(8, 4), sideOrder(4, 8)].map((order) => [
        ...order.slice(turn),
        ...order.slice(0, turn),
      ]),
    ),
  ];
  const odd = patterns
    .map((pattern) =>
      [...sides].filter(([spoke, side]) => pattern[(spoke - 1) % pattern.length] !== side),
    )
    .reduce((best, wrong) => (wrong.length < best.length ? wrong : best));
  if (odd.length === 0) return [];
  return [
    {
      code: 'side-contradiction',
      message:
        odd.length <= 3
          ? `Spoke ${odd.map(([spoke]) => spoke).join(', ')} breaks the order of left and right that the others keep.`
          : 'Left and right follow no known order round the rim.',
      remedy: 'Check the sides; with a wheel sheet they are held against its lacing.',
    },
  ];
}

/**
 * Spokes nobody read: of the wheel, or else gaps in the numbers.
 *
 * Without a sheet a last spoke that is missing cannot be told.
 */
export function missingSpokes(readings: readonly SpokeReading[], wheel: Wheel | null): number[] {
  const read = new Set(readings.map(({ spoke }) => spoke));
  const count = wheel ? wheel.spokes.left.count + wheel.spokes.right.count : Math.max(...read);
  return Array.from({ length: count }, (_, i) => i + 1).filter((spoke) => !read.has(spoke));
}

export function sayMissing(missing: readonly number[], wheel: Wheel | null): Problem[] {
  if (missing.length === 0) return [];
  const count = wheel ? wheel.spokes.left.count + wheel.spokes.right.count : null;
  const many = missing.length > 1;
  return [
    {
      code: 'spoke-missing',
      message: `Spoke${many ? 's' : ''} ${spans(missing)} ${many ? 'were' : 'was'} not read${count === null ? '' : `: ${count - missing.length} of the wheel’s ${count} were`}. Mean and spread hold for those that were.`,
      remedy: `Read ${many ? 'them' : 'it'}${count === null ? '' : ', or take the sheet of this wheel'}; a plan of turns needs every spoke.`,
    },
  ];
}

/** `3, 5 to 8`. */
export function spans(numbers: readonly number[]): string {
  const parts: string[] = [];
  for (let i = 0; i < numbers.length;) {
    let j = i;
    while (j + 1 < numbers.length && numbers[j + 1] === numbers[j] + 1) j++;
    if (j - i > 1) parts.push(`${numbers[i]} to ${numbers[j]}`);
    else parts.push(...numbers.slice(i, j + 1).map(String));
    i = j + 1;
  }
  return parts.join(', ');
}

/** Readings of one spoke may differ by this share of their mean, and at least by so many newtons. */
const repeatShare = 0.2;
const repeatN = 60;

/** @throws LapbenchError `readings-contradict`, one problem a spoke */
export function refuseContradictions(
  spokes: readonly ReadSpoke[],
  missing: readonly number[],
): void {
  const problems = spokes.flatMap((one): Problem[] => {
    const { spoke, tensionsN, readings, lines } = one;
    const spread = Math.max(...tensionsN) - Math.min(...tensionsN);
    if (spread <= Math.max(repeatN, repeatShare * mean(tensionsN))) return [];
    const last = lines[lines.length - 1];
    const meant = missing.find((other) => Math.abs(other - spoke) <= 2);
    return [
      {
        code: 'readings-contradict',
        ...(last === null ? {} : { place: { line: last } }),
        message:
          `Spoke ${spoke} is read as ${readings.join(' and ')}, which differ by ${spread.toFixed(0)} N` +
          `${meant === undefined ? '.' : `; spoke ${meant} is missing, so one of them may be its.`}`,
        remedy: 'Read it again, and keep only readings of the same spoke in the same state.',
      },
    ];
  });
  if (problems.length > 0) throw new LapbenchError(problems);
}

const round = (value: number): number => Number(value.toPrecision(4));

function refuse(
  code: ProblemCode,
  message: string,
  remedy: string,
  line: number | null = null,
): never {
  throw new LapbenchError({
    code,
    ...(line === null ? {} : { place: { line } }),
    message,
    remedy,
  });
}
