/** The plan of turns: the fewest that bring every spoke inside, the order to turn them in, and what is left. */
import type { Side, Wheel } from '../../evidence/index.ts';
import { influence, sideOrder } from '../../structure/index.ts';
import { LapbenchError } from '../../units/index.ts';
import { orderOfTurns, type OrderedTurns } from './balance-order.ts';
import { fewestTurns, nearestTurns, violation } from './balance-search.ts';
import { changeBy, rowsOf, type BalanceTask, type RowKind } from './balance-task.ts';
import { bothSides } from './model.ts';
import { spans } from './plausible.ts';
import type { BalancePlan, NippleTurn } from './result.ts';

/** How far turns may move the rim, m. */
export interface TruenessLimits {
  lateralM: number;
  radialM: number;
}

/** What a plan is held to. */
export interface BalanceAims {
  /** Share of the side's mean. */
  tolerance: number;
  /** N, after what is not sure in the readings' scale was taken off. */
  maximumN: number | null;
  limits: TruenessLimits;
}

/** A plan, or in words why there is none. */
export interface Balance {
  plan: BalancePlan | null;
  reason: string | null;
}

/** Plan for a wheel with these tensions, in the order round the rim. */
export function balanceOf(wheel: Wheel, tensionsN: readonly number[], aims: BalanceAims): Balance {
  const task = taskOf(wheel, tensionsN, aims);
  if (typeof task === 'string') return { plan: null, reason: task };
  return planFor(task);
}

function taskOf(
  wheel: Wheel,
  tensionsN: readonly number[],
  { tolerance, maximumN, limits }: BalanceAims,
): BalanceTask | string {
  try {
    const turn = influence(wheel, { tensionsN });
    const quarter = (matrix: Float64Array): Float64Array => matrix.map((x) => x / 4);
    return {
      sides: sideOrder(wheel.spokes.left.count, wheel.spokes.right.count),
      tensionsN,
      tensionPerQuarterN: quarter(turn.tensionPerTurnN),
      lateralPerQuarterM: quarter(turn.lateralPerTurnM),
      radialPerQuarterM: quarter(turn.radialPerTurnM),
      tolerance,
      maximumN,
      lateralLimitM: limits.lateralM,
      radialLimitM: limits.radialM,
    };
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    if (error.problems.some(({ code }) => code !== 'wheel-cannot-stand')) throw error;
    return `By the wheel sheet the rim does not stand under these tensions, so nothing can be planned: ${error.problems[0].message}`;
  }
}

/** The plan of a task whose matrices are known. */
export function planFor(task: BalanceTask): Balance {
  const rows = rowsOf(task);
  if (violation(rows.values, 1) === 0) {
    return { plan: null, reason: `Every spoke is inside${underMaximum(task)}: nothing to turn.` };
  }
  const fewest = fewestTurns(rows);
  const order = fewest && orderFor(task, fewest.quarters);
  if (fewest && order) {
    const plan = planOf(task, fewest.quarters, order, fewest.proven ? 'proven' : 'found', true);
    return { plan: { ...plan, meaning: reachedInWords(plan, task, order) }, reason: null };
  }
  const soft = (row: number): boolean =>
    rows.kinds[row] === 'tolerance' || (rows.kinds[row] === 'maximum' && rows.values[row] > 0);
  const nearest = nearestTurns(rows, soft);
  const nearestOrder = orderFor(task, nearest.quarters);
  const quarters = nearestOrder ? nearest.quarters : new Int16Array(task.sides.length);
  const plan = planOf(
    task,
    quarters,
    nearestOrder ?? { order: [], highestOnTheWayN: Math.max(...task.tensionsN), keeps: 'below' },
    'found',
    false,
  );
  const why = fewest
    ? 'no order of turning keeps every spoke below the maximum on the way'
    : obstacle(task);
  return { plan: { ...plan, meaning: notReachedInWords(plan, why) }, reason: null };
}

const orderFor = (task: BalanceTask, quarters: ArrayLike<number>) =>
  orderOfTurns(quarters, task.tensionsN, task.tensionPerQuarterN, task.maximumN);

function planOf(
  task: BalanceTask,
  quarters: ArrayLike<number>,
  { order, highestOnTheWayN }: OrderedTurns,
  fewest: BalancePlan['fewest'],
  reached: boolean,
): BalancePlan {
  const { sides, tensionsN, tolerance, maximumN } = task;
  const change = changeBy(task.tensionPerQuarterN, quarters);
  const predictedN = tensionsN.map((tension, i) => tension + change[i]);
  const deviations = deviationsOf(sides, predictedN);
  const largest = (matrix: ArrayLike<number>): number =>
    1000 * Math.max(...changeBy(matrix, quarters).map(Math.abs));
  const outside = predictedN.flatMap((tension, i) =>
    Math.abs(deviations[i]) > tolerance + 1e-9 || (maximumN !== null && tension > maximumN + 1e-6)
      ? [i + 1]
      : [],
  );
  return {
    turns: order.map((j): NippleTurn => {
      return { spoke: j + 1, side: sides[j], quarterTurns: quarters[j] };
    }),
    totalTurns: order.reduce((sum, j) => sum + Math.abs(quarters[j]), 0) / 4,
    reached,
    predictedN,
    residualPercent: 100 * Math.max(...deviations.map(Math.abs)),
    highestN: Math.max(...predictedN),
    highestOnTheWayN,
    lateralMm: largest(task.lateralPerQuarterM),
    radialMm: largest(task.radialPerQuarterM),
    limits: { lateralMm: 1000 * task.lateralLimitM, radialMm: 1000 * task.radialLimitM },
    fewest,
    outsideAfter: outside,
    meaning: '',
  };
}

/** Share by which each spoke lies off the mean of its side. */
export function deviationsOf(sides: readonly Side[], tensionsN: readonly number[]): number[] {
  const means = bothSides.map((side) => {
    const own = tensionsN.filter((_, i) => sides[i] === side);
    return own.reduce((sum, x) => sum + x, 0) / own.length;
  });
  return tensionsN.map((tension, i) => tension / means[bothSides.indexOf(sides[i])] - 1);
}

/** Which limit stands in the way: the first one without which there is a plan. */
function obstacle(task: BalanceTask): string {
  const reachable = (...without: RowKind[]): boolean =>
    fewestTurns(rowsOf(task, without), 500) !== null;
  const trueness = 'moving the rim further than the limits of trueness allow';
  if (reachable('lateral', 'radial'))
    return `it would take ${trueness}: the rim itself may be bent, and truing comes first`;
  if (reachable('mean'))
    return 'it would take another tension of the whole wheel than it has now; bring that right first, turning all nipples alike';
  if (task.maximumN !== null) {
    if (reachable('maximum'))
      return 'it would take more tension than the maximum: the wheel as a whole is too tight for this tolerance';
    if (reachable('maximum', 'lateral', 'radial'))
      return `it would take more tension than the maximum and ${trueness}`;
  }
  return 'quarter turns are too coarse for this tolerance, or spokes and rim do not fit together';
}

const underMaximum = ({ maximumN, tolerance }: BalanceTask): string =>
  ` ${(100 * tolerance).toFixed(0)} % of its side’s mean${maximumN === null ? '' : ' and below the maximum'}`;

function reachedInWords(plan: BalancePlan, task: BalanceTask, { keeps }: OrderedTurns): string {
  const { turns, totalTurns, fewest, highestOnTheWayN } = plan;
  const count = `${turns.length} ${turns.length === 1 ? 'nipple' : 'nipples'}, ${turnsInWords(totalTurns)} in all`;
  const search =
    fewest === 'proven' ? 'No plan has fewer quarter turns.' : 'It is the shortest plan found.';
  const way = {
    below: `Turned in this order, no spoke passes ${highestOnTheWayN.toFixed(0)} N on the way.`,
    down: 'Turned in this order, no spoke that is above the maximum gets tighter still.',
    sum: 'The wheel is too tight: a loosened spoke loads its neighbours for a while, but in this order what is above the maximum falls, in sum, with every turn.',
  }[keeps];
  return `${count}, bring${turns.length === 1 ? 's' : ''} every spoke inside${underMaximum(task)}. ${search} ${way}`;
}

function notReachedInWords(plan: BalancePlan, why: string): string {
  const { turns, outsideAfter } = plan;
  const left = `Spoke${outsideAfter.length === 1 ? '' : 's'} ${spans(outsideAfter)} cannot be brought inside: ${why}.`;
  return turns.length === 0
    ? `${left} Nothing is gained by turning single nipples.`
    : `${left} These turns come as near as quarter turns do.`;
}

/** `2¼ turns`. */
export function turnsInWords(turns: number): string {
  const whole = Math.floor(turns);
  const part = ['', '¼', '½', '¾'][Math.round((turns - whole) * 4)];
  const number = `${whole === 0 && part !== '' ? '' : whole}${part}`;
  return `${number} ${turns > 0 && turns <= 1 ? 'turn' : 'turns'}`;
}
