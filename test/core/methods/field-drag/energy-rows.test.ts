import assert from 'node:assert/strict';
import { test } from 'node:test';
import { balanceRows } from '../../../../src/core/methods/field-drag/balance.ts';
import { BorderedSystem } from '../../../../src/core/methods/field-drag/bordered.ts';
import { layCourse } from '../../../../src/core/methods/field-drag/course.ts';
import { EnergyRows } from '../../../../src/core/methods/field-drag/energy-rows.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { maskOf } from '../../../../src/core/methods/field-drag/leave-out.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import {
  layOut,
  type CrossMode,
  type Layout,
} from '../../../../src/core/methods/field-drag/wind-layout.ts';
import { startLevels } from '../../../../src/core/methods/field-drag/wind-prior.ts';
import { simulateDay, type ConditionsInput } from '../../../../src/simulation/index.ts';
import { near } from '../../../near.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';

const small: ConditionsInput = {
  setups: 2,
  runsPerSetup: 1,
  lapsPerRun: 2,
  course: { lapLengthM: 1200 },
  rider: { lapTimeS: 110 },
};

const days: Record<CrossMode, ConditionsInput> = {
  vector: { ...small, seed: 3 },
  lap: { ...small, seed: 4, course: { lapLengthM: 1600, kind: 'out-and-back' } },
  fixed: { ...small, seed: 5, sensors: { airspeed: false } },
  blind: { ...small, seed: 6, sensors: { position: false } },
  measured: { ...small, seed: 7, sensors: { yaw: true } },
  none: { ...small, seed: 8, sensors: { airspeed: false, position: false } },
};

function rowsOf(conditions: ConditionsInput): {
  energy: EnergyRows;
  layout: Layout;
  x: Float64Array;
} {
  const evidence = evidenceOf(simulateDay(conditions));
  const series = prepareDay(evidence);
  const course = layCourse(evidence, series, findLaps(evidence, series));
  const balance = balanceRows(evidence, series.runs, course, maskOf(series.runs, []));
  const layout = layOut({
    course,
    measuredAir: series.usedAirspeed,
    measuredYaw: series.runs.every((run) => run.yawDeg !== null),
    runSpans: series.runs.map((run) => ({
      fromS: run.dayOffsetS + run.timeS[0],
      toS: run.dayOffsetS + run.timeS[run.timeS.length - 1],
    })),
  });
  const energy = new EnergyRows({
    balance,
    course,
    layout,
    levels: startLevels(layout, 30),
    efficiency: evidence.day.constants.drivetrainEfficiency,
    meanSquare: 4,
  });
  // Away from any special place: an uneven wind, uneven heights, laps that differ.
  const x = Float64Array.from({ length: layout.total }, (_, i) => {
    if (i === layout.scaleAt) return 1.04;
    if (i < layout.firstLap) return 1.2 + Math.sin(2 * i);
    if (i < layout.firstHeight) return 0.25 + 0.01 * Math.cos(i);
    if (i < layout.firstCross) return 0.3 * Math.sin(i);
    return 4 + Math.sin(i);
  });
  return { energy, layout, x };
}

for (const [cross, conditions] of Object.entries(days) as [CrossMode, ConditionsInput][]) {
  test(`the design of the rows is the derivative of their misfit, crosswind ${cross}`, () => {
    const { energy, layout, x } = rowsOf(conditions);
    assert.equal(layout.cross, cross);
    energy.evaluate(x, true);
    // A crosswind estimated from the wind along the road is set, not fitted.
    energy.learnCrosswind(x);
    energy.evaluate(x, true);
    const system = new BorderedSystem(
      layout.windCount,
      Math.max(3, energy.bandWidth),
      layout.total - layout.windCount,
    );
    energy.addTo(system, x);
    const right = [...system.rightBand, ...system.rightBorder];
    const slope = (i: number): number => {
      const d = 1e-5 * (i === layout.scaleAt ? 0.1 : 1);
      const at = (by: number) => {
        const moved = x.slice();
        moved[i] += by;
        return energy.evaluate(moved, false);
      };
      return (8 * (at(d) - at(-d)) - (at(2 * d) - at(-2 * d))) / (12 * d);
    };
    const largest = Math.max(...right.map(Math.abs));
    for (let i = 0; i < layout.total; i++) {
      near(-0.5 * slope(i), right[i], {
        rel: 1e-4,
        abs: 1e-6 * largest,
        why: `five-point differences of unknown ${i} of ${layout.total}`,
      });
    }
    if (cross !== 'none') assert.ok(largest > 0);
  });
}

test('an odd stretch pulls less than its misfit: its weight falls off as Student has it', () => {
  const { energy, x } = rowsOf(days.vector);
  energy.evaluate(x, true);
  energy.residual.forEach((residual, r) => {
    const z2 = residual ** 2 / energy.variance[r];
    near(energy.weight[r], 9 / (8 + z2), {
      rel: 1e-12,
      why: '(ν + 1)/(ν + z²), Lange, Little and Taylor 1989 (from memory), ν = 8',
    });
  });
});
