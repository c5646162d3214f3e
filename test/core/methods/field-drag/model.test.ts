import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import { balanceRows } from '../../../../src/core/methods/field-drag/balance.ts';
import { layCourse } from '../../../../src/core/methods/field-drag/course.ts';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { maskOf } from '../../../../src/core/methods/field-drag/leave-out.ts';
import {
  airVelocityMps,
  airWorkJ,
  pullOfAcross,
  pullOfAlong,
} from '../../../../src/core/methods/field-drag/model.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import { airDensityKgM3 } from '../../../../src/core/physics/index.ts';
import { near } from '../../../near.ts';
import { circle, madeDay, type MadeRun } from './made-rides.ts';

/*
 * Martin, Milliken, Cobb, McFadden, Coggan (1998), J Appl Biomech 14:276-291: the road power model and the
 * worked example of its appendix (coefficients and numbers from memory; the sum is self-consistent).
 * Written out here once more, so that no code of the project checks itself.
 */
const g = 9.80665;

interface Road {
  speedMps: number;
  airspeedMps: number;
  densityKgM3: number;
  /** Rider's drag area and that of the turning spokes together. */
  areaM2: number;
  crr: number;
  massKg: number;
  efficiency: number;
}

/** Power at the crank on a level road at constant speed, W. */
function martinPowerW({ speedMps: v, airspeedMps: u, ...r }: Road): number {
  const aero = u * u * v * 0.5 * r.densityKgM3 * r.areaM2;
  const rolling = v * r.crr * r.massKg * g;
  const bearings = (v * (91 + 8.7 * v)) / 1000;
  return (aero + rolling + bearings) / r.efficiency;
}

test("the energy row of Martin's worked example leaves 158.8 W to the air: CdA 0.2565 + 0.0044 m²", () => {
  // 471.8 m in 56.42 s, rise 0.3 %, from 8.28 to 8.45 m/s, 213.15 W at the crank, 90 kg.
  const durationS = 56.42;
  const v = 8.36;
  const gradient = 0.003;
  const terms = {
    distanceM: v * durationS,
    workJ: 213.15 * durationS,
    kineticPerKg: 0.5 * (8.45 ** 2 - 8.28 ** 2),
    effectiveMassKg: 90 + 0.14 / 0.311 ** 2,
    massKg: 90,
    crr: 0.0032,
    riseM: gradient * v * durationS,
    bearingJ: v * (0.091 + 0.0087 * v) * durationS,
  };
  const air = airWorkJ(terms, 0.97698, terms.riseM) / durationS;
  near(air, 158.8, { abs: 0.25, why: 'every term of the example is printed to 0.1 W' });
  const area = air / (0.5 * 1.2234 * 10.91 ** 2 * v);
  near(area, 0.2565 + 0.0044, { rel: 2e-3, why: 'as above' });
});

test('the pull of the air along and across the bike is the derivative of |V| u', () => {
  const force = (u: number, c: number) => airVelocityMps(u, c) * u;
  for (const [u, c] of [
    [11, 0],
    [11, 3],
    [-2, 1],
    [0.5, -6],
  ]) {
    const d = 1e-5;
    const velocity = airVelocityMps(u, c);
    const why = { rel: 1e-7, abs: 1e-8, why: 'central differences' };
    near((force(u + d, c) - force(u - d, c)) / (2 * d), pullOfAlong(u, velocity), why);
    near((force(u, c + d) - force(u, c - d)) / (2 * d), pullOfAcross(u, c, velocity), why);
  }
});

test('air that comes from behind faster than the bike pushes it', () => {
  const velocity = airVelocityMps(-3, 0);
  near(velocity * -3, -9, { rel: 1e-12, why: 'the sign of the airspeed' });
});

const lapM = 1500;
const density = airDensityKgM3({
  temperatureC: 15,
  pressureHPa: 1010,
  relativeHumidityPercent: 60,
});

/** A day of laps at constant speed, the power exactly Martin's: control 0.2609 m², the other 0.2489. */
function exactDay(headwindMps: number | undefined): DayEvidence {
  const runs = Array.from({ length: 4 }, (_, i): MadeRun => {
    const speedMps = 10.5 + 0.3 * (i % 3);
    return {
      road: circle(lapM),
      fromM: -100,
      toM: 3 * lapM + 100,
      marksAtM: [0, lapM, 2 * lapM, 3 * lapM],
      speedMps,
      headwindMps,
      powerW: martinPowerW({
        speedMps,
        airspeedMps: speedMps + (headwindMps ?? 0),
        densityKgM3: density,
        areaM2: i % 2 === 0 ? 0.2565 + 0.0044 : 0.2445 + 0.0044,
        crr: 0.0045,
        massKg: 85,
        efficiency: 0.975,
      }),
      altitude: true,
    };
  });
  return madeDay('loop', runs);
}

test("the rows of laps ridden exactly by Martin's model hold its drag area to a millionth", () => {
  const evidence = exactDay(0);
  const series = prepareDay(evidence);
  const course = layCourse(evidence, series, findLaps(evidence, series));
  const { rows, steps } = balanceRows(evidence, series.runs, course, maskOf(series.runs, []));
  assert.ok(rows.length >= 90);
  for (const row of rows) {
    let perM2 = 0;
    for (let s = row.firstStep; s < row.firstStep + row.stepCount; s++) {
      const u = steps.airspeedMps[s];
      const power = 0.5 * steps.densityKgM3[s] * airVelocityMps(u, 0) * u * steps.speedMps[s];
      perM2 += power * steps.dtS[s];
    }
    near(airWorkJ(row, 0.975, row.riseM) / perM2, row.run % 2 === 0 ? 0.2609 : 0.2489, {
      abs: 1e-6,
      why: 'constant speed: sums are exact but for rounding',
    });
  }
});

test("a day of laps ridden exactly by Martin's model in still air gives back their drag area", () => {
  const { laps, differences } = estimateFieldDrag(exactDay(0));
  for (const lap of laps) {
    near(lap.cdaM2!, lap.setup === 'control' ? 0.2609 : 0.2489, {
      abs: 1e-5,
      why: "the sensor's scale is drawn 1e-5 up by the gusts that are thought to be in its reading",
    });
  }
  near(differences[0].deltaCdaM2, -0.012, { abs: 1e-6, why: 'the scale is the same for all' });
});

test('the same laps without an airspeed sensor give it back too', () => {
  const { laps } = estimateFieldDrag(exactDay(undefined));
  for (const lap of laps) {
    near(lap.cdaM2!, lap.setup === 'control' ? 0.2609 : 0.2489, {
      rel: 0.02,
      why: 'the air is thought to move a little unless measured',
    });
  }
});
