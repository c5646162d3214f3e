/** The plan of turns: against brute force on small wheels, and what must hold of every plan. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import type { Wheel } from '../../../../src/core/evidence/index.ts';
import { fewestTurns, quartersOf } from '../../../../src/core/methods/tension/balance-search.ts';
import { orderOfTurns } from '../../../../src/core/methods/tension/balance-order.ts';
import {
  changeBy,
  rowsOf,
  type BalanceTask,
} from '../../../../src/core/methods/tension/balance-task.ts';
import {
  balanceOf,
  deviationsOf,
  planFor,
  turnsInWords,
} from '../../../../src/core/methods/tension/balance.ts';
import { influence } from '../../../../src/core/structure/index.ts';
import { near } from '../../../near.ts';
import { dishedWheel, seeded, sidesOf } from './made-wheels.ts';

/** Even tensions that balance, and the wheel's answer to quarter turns. */
function taskFor(
  wheel: Wheel,
  change: Partial<Omit<BalanceTask, 'tensionsN'>> & {
    disturb?: (task: BalanceTask) => number[];
  } = {},
): BalanceTask {
  const { disturb, ...rest } = change;
  const sides = sidesOf(wheel);
  const even = sides.map((side) => (side === 'left' ? 600 : 1090));
  const turn = influence(wheel, { tensionsN: even });
  const quarter = (matrix: Float64Array) => matrix.map((x) => x / 4);
  const task: BalanceTask = {
    sides,
    tensionsN: even,
    tensionPerQuarterN: quarter(turn.tensionPerTurnN),
    lateralPerQuarterM: quarter(turn.lateralPerTurnM),
    radialPerQuarterM: quarter(turn.radialPerTurnM),
    tolerance: 0.2,
    maximumN: null,
    lateralLimitM: 0.0005,
    radialLimitM: 0.0005,
    ...rest,
  };
  return disturb ? { ...task, tensionsN: disturb(task) } : task;
}

const turned = (task: BalanceTask, quarters: ArrayLike<number>): number[] => {
  const change = changeBy(task.tensionPerQuarterN, quarters);
  return task.tensionsN.map((tension, i) => tension + change[i]);
};

/** Fewest quarter turns by trying all of them; null above `most`. Written apart from the search. */
function bruteForce(task: BalanceTask, most: number): number | null {
  const n = task.sides.length;
  const inside = (q: readonly number[]): boolean => {
    const tensions = turned(task, q);
    const moves = (matrix: ArrayLike<number>, limit: number) =>
      changeBy(matrix, q).every((x) => Math.abs(x) <= limit * (1 + 1e-9));
    return (
      deviationsOf(task.sides, tensions).every((x) => Math.abs(x) <= task.tolerance + 1e-10) &&
      tensions.every((x) => task.maximumN === null || x <= task.maximumN + 1e-7) &&
      (['left', 'right'] as const).every((side) => {
        const mean = (all: readonly number[]) =>
          all.reduce((sum, x, i) => sum + (task.sides[i] === side ? x : 0), 0);
        return Math.abs(mean(tensions) / mean(task.tensionsN) - 1) <= 0.05 + 1e-9;
      }) &&
      moves(task.lateralPerQuarterM, task.lateralLimitM) &&
      moves(task.radialPerQuarterM, task.radialLimitM)
    );
  };
  const tryAll = (q: number[], from: number, left: number): boolean => {
    if (left === 0) return inside(q);
    for (let j = from; j < n; j++) {
      for (const by of [1, -1]) {
        if (q[j] * by < 0) continue;
        q[j] += by;
        const found = tryAll(q, j, left - 1);
        q[j] -= by;
        if (found) return true;
      }
    }
    return false;
  };
  for (let count = 0; count <= most; count++)
    if (tryAll(new Array<number>(n).fill(0), 0, count)) return count;
  return null;
}

test('as few quarter turns as brute force finds, over small wheels with uneven spokes', () => {
  // A deep rim, so that a nipple tells on its own spoke more than on the rim.
  const { rim, ...rest } = dishedWheel({ count: 16, cross: 0 });
  const [iRadialM4, iLateralM4, torsionM4] = [rim.iRadialM4, rim.iLateralM4, rim.torsionM4].map(
    (x) => 10 * x,
  );
  const wheel = { ...rest, rim: { ...rim, iRadialM4, iLateralM4, torsionM4 } };
  let compared = 0;
  for (let seed = 1; seed <= 30; seed++) {
    const random = seeded(seed * 7919);
    const task = taskFor(wheel, {
      tolerance: 0.07,
      maximumN: seed % 2 === 0 ? 1350 : null,
      lateralLimitM: 0.001,
      radialLimitM: 0.001,
      // Some quarter turns at random, and a little unevenness of its own.
      disturb: (even) => {
        const q = even.sides.map(() => 0);
        for (let i = 0; i < 3 + (seed % 3); i++)
          q[Math.floor(random() * q.length)] += random() < 0.5 ? 1 : -1;
        return turned(even, q).map((x) => x * (1 + 0.06 * (random() - 0.5)));
      },
    });
    const least = bruteForce(task, 4);
    const found = fewestTurns(rowsOf(task));
    if (least === null) {
      assert.ok(found === null || quartersOf(found) > 4);
      continue;
    }
    assert.ok(found, `seed ${seed}: brute force has ${least}`);
    assert.equal(quartersOf(found), least, `seed ${seed}`);
    if (least > 0) compared++;
  }
  assert.ok(compared >= 15, `only ${compared} wheels compared`);
});

/** Random uneven wheels of 20 to 32 spokes. */
const anyTask = fc
  .record({
    count: fc.constantFrom(20, 24, 32),
    seed: fc.integer({ min: 1, max: 1e6 }),
    uneven: fc.double({ min: 0.2, max: 0.8, noNaN: true }),
    tolerance: fc.constantFrom(0.1, 0.15, 0.2),
    room: fc.double({ min: 1.0, max: 1.3, noNaN: true }),
    bounded: fc.boolean(),
  })
  .map(({ count, seed, uneven, tolerance, room, bounded }) => {
    const random = seeded(seed);
    return taskFor(dishedWheel({ count, cross: 1 }), {
      tolerance,
      maximumN: bounded ? 1090 * room : null,
      disturb: ({ tensionsN }) => tensionsN.map((x) => x * (1 + uneven * (random() - 0.5))),
    });
  });

test('no plan breaks the maximum, at the end or after any turn; no spoke goes slack; the rim keeps true', () => {
  let plans = 0;
  fc.assert(
    fc.property(anyTask, (task) => {
      const { plan } = planFor(task);
      if (plan === null) return;
      plans++;
      let now = [...task.tensionsN];
      let highest = Math.max(...now);
      for (const { spoke, quarterTurns } of plan.turns) {
        const q = new Array<number>(now.length).fill(0);
        q[spoke - 1] = quarterTurns;
        const after = turned({ ...task, tensionsN: now }, q);
        assert.ok(after.every((tension) => tension > 0));
        if (task.maximumN !== null) {
          // Below it once, below it for good; from above it only down.
          const excess = (tensions: number[]) =>
            tensions.reduce((sum, x) => sum + Math.max(0, x - task.maximumN!), 0);
          assert.ok(excess(after) <= excess(now) + 1e-6, `step to spoke ${spoke}`);
        }
        highest = Math.max(highest, ...after);
        now = after;
      }
      near(now, plan.predictedN, { abs: 1e-6, why: 'round-off' });
      near(highest, plan.highestOnTheWayN, { abs: 1e-6, why: 'round-off' });
      assert.ok(plan.lateralMm <= 0.5 + 1e-6 && plan.radialMm <= 0.5 + 1e-6);
      if (Math.max(...task.tensionsN) <= (task.maximumN ?? Infinity)) {
        for (const side of ['left', 'right']) {
          const mean = (all: readonly number[]) =>
            all.reduce((sum, x, i) => sum + (task.sides[i] === side ? x : 0), 0);
          near(mean(now) / mean(task.tensionsN), 1, { abs: 0.05 + 1e-9, why: 'kept by the plan' });
        }
      }
      const deviations = deviationsOf(task.sides, now).map(Math.abs);
      near(plan.residualPercent, 100 * Math.max(...deviations), { abs: 1e-6, why: 'round-off' });
      const outside = now.flatMap((tension, i) =>
        deviations[i] > task.tolerance + 1e-9 ||
        (task.maximumN !== null && tension > task.maximumN + 1e-6)
          ? [i + 1]
          : [],
      );
      assert.deepEqual(plan.outsideAfter, outside);
      assert.equal(plan.reached, outside.length === 0);
      const sum = plan.turns.reduce((total, one) => total + Math.abs(one.quarterTurns), 0);
      assert.equal(plan.totalTurns, sum / 4);
    }),
    { seed: 11, numRuns: 16 },
  );
  assert.ok(plans >= 10);
});

test('a wheel inside tolerance and below the maximum needs no turn', () => {
  const { plan, reason } = planFor(taskFor(dishedWheel(), { maximumN: 1100 }));
  assert.equal(plan, null);
  assert.match(reason!, /inside 20 % of its side’s mean and below the maximum: nothing to turn/);
});

test('a wheel disturbed by known turns is brought back with those turns', () => {
  const wheel = dishedWheel();
  const known = new Map([
    [4, 2],
    [11, -2],
    [22, 1],
  ]);
  const task = taskFor(wheel, {
    tolerance: 0.02,
    lateralLimitM: 0.003,
    radialLimitM: 0.003,
    disturb: (even) => {
      const q = even.sides.map((_, i) => known.get(i + 1) ?? 0);
      return turned(even, q);
    },
  });
  const { plan } = planFor(task);
  assert.ok(plan?.reached);
  assert.equal(plan.fewest, 'proven');
  const turns = new Map(plan.turns.map((one) => [one.spoke, one.quarterTurns]));
  for (const [spoke, q] of known) assert.equal(turns.get(spoke), -q, `spoke ${spoke}`);
  assert.equal(plan.totalTurns, 5 / 4);
});

test('with usual tolerance the same wheel needs no more than those turns', () => {
  const task = taskFor(dishedWheel(), {
    lateralLimitM: 0.003,
    radialLimitM: 0.003,
    disturb: (even) =>
      turned(
        even,
        even.sides.map((_, i) => (i === 6 ? 4 : i === 19 ? -3 : 0)),
      ),
  });
  const { plan } = planFor(task);
  assert.ok(plan?.reached && plan.totalTurns <= 7 / 4 && plan.totalTurns > 0);
});

test('a bent rim: evening the tensions would pull it out of true, and the plan says so', () => {
  // Tight and loose in long waves: what evens them moves the rim by millimetres.
  const task = taskFor(dishedWheel(), {
    lateralLimitM: 0.0001,
    disturb: ({ tensionsN, sides }) =>
      tensionsN.map(
        (x, i) => x * (1 + (sides[i] === 'left' ? 0.4 : -0.4) * Math.sin((4 * Math.PI * i) / 32)),
      ),
  });
  const { plan } = planFor(task);
  assert.ok(plan && !plan.reached);
  assert.match(plan.meaning, /cannot be brought inside: .*limits of trueness.*truing comes first/);
  assert.ok(plan.lateralMm <= 0.1 + 1e-6);
});

test('a wheel too tight as a whole comes below its maximum by loosening alone', () => {
  const task = taskFor(dishedWheel({ count: 20, cross: 1 }), {
    maximumN: 1060,
    radialLimitM: 0.002,
    lateralLimitM: 0.002,
  });
  const { plan } = planFor(task);
  assert.ok(plan?.reached, plan?.meaning);
  assert.ok(plan.highestN <= 1060 + 1e-6);
  assert.match(plan.meaning, /falls, in sum, with every turn/);
});

test('turns are put in an order that keeps below the maximum on the way, or none is given', () => {
  // Two spokes: each turn of one takes from the other.
  const perQuarter = [100, -60, -60, 100];
  const ordered = orderOfTurns([1, 2], [900, 900], perQuarter, 1060);
  assert.deepEqual(ordered?.order, [0, 1]);
  near(ordered.highestOnTheWayN, 1040, { abs: 1e-9, why: 'by hand: 900 − 60 + 200' });
  assert.equal(orderOfTurns([1, 1], [900, 900], perQuarter, 990), null);
});

test('through the wheel: the influence at the tensions read, threads of 56 to the inch', () => {
  const wheel = dishedWheel();
  const task = taskFor(wheel);
  const tensions = task.tensionsN.map((x, i) => (i === 9 ? x * 1.25 : x));
  const aims = { tolerance: 0.2, maximumN: null, limits: { lateralM: 0.001, radialM: 0.001 } };
  const { plan } = balanceOf(wheel, tensions, aims);
  assert.deepEqual(plan?.turns, [{ spoke: 10, side: 'right', quarterTurns: -1 }]);
  const own = influence(wheel, { tensionsN: tensions });
  near(plan.predictedN[9], tensions[9] - own.tensionPerTurnN[9 * 32 + 9] / 4, {
    abs: 1e-6,
    why: 'a quarter of one turn',
  });
});

test('a rim that would fold under these tensions: no plan, and the reason', () => {
  const wheel = dishedWheel();
  const aims = { tolerance: 0.2, maximumN: null, limits: { lateralM: 0.0005, radialM: 0.0005 } };
  const { plan, reason } = balanceOf(
    wheel,
    sidesOf(wheel).map((side, i) => (side === 'left' ? 6000 : 11000) * (i === 3 ? 1.5 : 1)),
    aims,
  );
  assert.equal(plan, null);
  assert.match(reason!, /does not stand under these tensions/);
});

test('turns in words', () => {
  assert.deepEqual([0.25, 0.5, 1, 1.75, 3].map(turnsInWords), [
    '¼ turn',
    '½ turn',
    '1 turn',
    '1¾ turns',
    '3 turns',
  ]);
});
