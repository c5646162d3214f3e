/** What climbs ask: closed forms, worked values, and draws for the intervals. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { plainCourse } from '../../../../src/core/courses/index.ts';
import type { ClimbRider, GearsSetup } from '../../../../src/core/evidence/index.ts';
import { estimateGears, steepestStretches } from '../../../../src/core/methods/index.ts';
import {
  cadenceAtSpeedRpm,
  climbingPowerW,
  climbingSpeedMps,
  speedAtCadenceMps,
  type Climbing,
} from '../../../../src/core/methods/gears/model.ts';
import { ratio } from '../../../../src/core/methods/gears/ratio.ts';
import { near } from '../../../near.ts';

/** Invented. */
const rider: ClimbRider = {
  massKg: 92,
  massStandardUncertaintyKg: 1,
  powerW: 250,
  powerStandardUncertaintyW: 6,
  leastCadenceRpm: 60,
  crr: 0.006,
  crrStandardUncertainty: 0.001,
  cdaM2: 0.4,
  cdaStandardUncertaintyM2: 0.04,
  airDensityKgM3: 1.2,
  drivetrainEfficiency: 0.97,
  drivetrainEfficiencyStandardUncertainty: 0.01,
};

const setup = (over: Partial<GearsSetup> = {}): GearsSetup => ({
  title: 'invented',
  invented: true,
  chainrings: [50, 34],
  cassette: [11, 13, 15, 17, 19, 21, 24, 28, 34],
  circumferenceUm: 2_130_000,
  circumferenceStandardUncertaintyM: 0.01,
  circumferenceFrom: 'designation',
  cadenceRpm: 90,
  rider,
  climbs: [
    { name: null, gradient: 0.07, gradientStandardUncertainty: 0.004, lengthM: 3000 },
    { name: 'wall', gradient: 0.2, gradientStandardUncertainty: 0.005, lengthM: 300 },
  ],
  course: null,
  ...over,
});

const reduce = (over: Partial<GearsSetup> = {}) =>
  estimateGears({ setup: setup(over), inputs: [] });

/** The one positive root of a·v³ + b·v² + c·v = d: Cardano, or Viète where there are three real roots. */
function cubicRoot(a: number, b: number, c: number, d: number): number {
  const shift = b / (3 * a);
  const p = c / a - 3 * shift ** 2;
  const q = 2 * shift ** 3 - (shift * c) / a - d / a;
  const inside = (q / 2) ** 2 + (p / 3) ** 3;
  if (inside >= 0) {
    const root = Math.sqrt(inside);
    return Math.cbrt(-q / 2 + root) + Math.cbrt(-q / 2 - root) - shift;
  }
  const size = 2 * Math.sqrt(-p / 3);
  return size * Math.cos(Math.acos((3 * q) / (p * size)) / 3) - shift;
}

test('speed at a power is the root of its cubic, in closed form', () => {
  fc.assert(
    fc.property(
      fc.record({
        massKg: fc.double({ min: 45, max: 160, noNaN: true }),
        gradient: fc.double({ min: 0, max: 0.3, noNaN: true }),
        crr: fc.double({ min: 0.002, max: 0.015, noNaN: true }),
        cdaM2: fc.double({ min: 0.2, max: 0.7, noNaN: true }),
        airDensityKgM3: fc.double({ min: 0.9, max: 1.3, noNaN: true }),
        drivetrainEfficiency: fc.double({ min: 0.9, max: 1, noNaN: true }),
        powerW: fc.double({ min: 80, max: 900, noNaN: true }),
      }),
      ({ powerW, ...road }) => {
        // Martin et al. 1998: ½ρCdA·v³ + bearings (0.0087·v² + 0.091·v) + weight along the road.
        const weight = road.massKg * 9.80665 * Math.cos(Math.atan(road.gradient));
        const root = cubicRoot(
          0.5 * road.airDensityKgM3 * road.cdaM2,
          0.0087,
          0.091 + weight * (road.crr + road.gradient),
          powerW * road.drivetrainEfficiency,
        );
        near(climbingSpeedMps(road, powerW), root, { rel: 1e-9, why: 'closed form, cancellation' });
        near(climbingPowerW(road, root), powerW, { rel: 1e-8, why: 'and back' });
      },
    ),
    { seed: 8, numRuns: 100 },
  );
});

test('power worked out by hand: 291.19 W on the level at 40 km/h, 1082.7 W up 10 % at 10 m/s', () => {
  // REFERENCES A and E (NumPy): 252.06 + 37.05 + 2.085 W; 829.4 + 210.0 + 41.5 W, with bearings of 1.78 W.
  const road: Climbing = {
    massKg: 85,
    gradient: 0,
    crr: 0.004,
    cdaM2: 0.3,
    airDensityKgM3: 1.225,
    drivetrainEfficiency: 1,
  };
  near(climbingPowerW(road, 40 / 3.6), 291.19, { abs: 0.01, why: 'source rounded' });
  near(climbingSpeedMps(road, 291.19), 40 / 3.6, { rel: 1e-4, why: 'source rounded' });
  const steep = { ...road, gradient: 0.1, crr: 0.005, cdaM2: 0.35, airDensityKgM3: 1.2 };
  near(climbingPowerW(steep, 10), 829.4 + 210 + 41.5 + 1.78, { abs: 1, why: 'as the source' });
});

test('cadence and speed undo one another; the easiest gear turns fastest', () => {
  const development = ratio(34 * 2130, 34 * 1000);
  near(cadenceAtSpeedRpm(development, speedAtCadenceMps(development, 73)), 73, {
    rel: 1e-14,
    why: 'inverse',
  });
  const { climbs, gears } = reduce();
  for (const climb of climbs) {
    assert.deepEqual(climb.easiestGear, { chainring: 34, sprocket: 34 });
    const metres = climb.speedKmh / 3.6;
    const cadences = gears.map(({ developmentM }) => (60 * metres) / developmentM);
    near(climb.cadenceRpm, Math.max(...cadences), { rel: 1e-12, why: 'the easiest gear' });
    near(climb.timeS, climb.lengthM / metres, { rel: 1e-12, why: 'steady' });
  }
});

test('power at the least cadence turns the cranks at that cadence and no other', () => {
  const [gentle, wall] = reduce().climbs;
  for (const climb of [gentle, wall]) {
    const again = reduce({ rider: { ...rider, powerW: climb.powerAtLeastCadenceW } }).climbs;
    const same = again.find(({ gradientPercent }) => gradientPercent === climb.gradientPercent)!;
    near(same.cadenceRpm, 60, { rel: 1e-9, why: 'solved both ways' });
  }
});

test('on the wall the gears run out, and the ratio and sprocket that would do are named', () => {
  const { climbs, steepest, warnings } = reduce();
  assert.equal(steepest, 1);
  const wall = climbs[1];
  assert.equal(wall.verdict, 'too hard');
  assert.equal(wall.hardestGear, null);
  assert.equal(climbs[0].verdict, 'turns');
  assert.ok(
    warnings.some(
      ({ code, place }) => code === 'gear-too-hard' && place?.field === 'climbs.1.gradientPercent',
    ),
  );
  // The named sprocket does it, one tooth less does not.
  const cadenceWith = (sprocket: number): number =>
    reduce({ cassette: [11, sprocket] }).climbs[1].cadenceRpm;
  assert.ok(cadenceWith(wall.neededSprocket) >= 60);
  assert.ok(cadenceWith(wall.neededSprocket - 1) < 60);
});

test('the hardest gear that keeps the cadence: the next harder one does not', () => {
  const { climbs, gears } = reduce();
  const { hardestGear, speedKmh } = climbs[0];
  assert.ok(hardestGear && hardestGear.cadenceRpm >= 60);
  const place = gears.findLastIndex(
    ({ chainring, sprocket }) =>
      chainring === hardestGear.chainring && sprocket === hardestGear.sprocket,
  );
  const next = gears
    .slice(place + 1)
    .find(({ developmentM }) => developmentM > gears[place].developmentM)!;
  assert.ok((60 * speedKmh) / 3.6 / next.developmentM < 60);
});

test('a verdict near the edge is marginal', () => {
  const [, wall] = reduce().climbs;
  const { climbs } = reduce({ rider: { ...rider, leastCadenceRpm: Math.round(wall.cadenceRpm) } });
  assert.equal(climbs[1].verdict, 'marginal');
});

test('the interval of the cadence is that of 4,000 draws', () => {
  let state = 12345;
  const uniform = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  const draws = Array.from({ length: 4000 }, () => {
    const road = {
      massKg: 92 + normal(),
      gradient: 0.07 + 0.004 * normal(),
      crr: 0.006 + 0.001 * normal(),
      cdaM2: 0.4 + 0.04 * normal(),
      airDensityKgM3: 1.2,
      drivetrainEfficiency: 0.97 + 0.01 * normal(),
    };
    const metres = 2.13 + 0.01 * normal();
    return (60 * climbingSpeedMps(road, 250 + 6 * normal())) / metres;
  }).sort((a, b) => a - b);
  const [low, high] = reduce().climbs[0].cadenceRpmCi95;
  near([low, high], [draws[99], draws[3899]], {
    rel: 0.012,
    why: 'quantiles of 4,000 draws have a standard error of about half a percent; first order',
  });
});

test('the steepest part of a course is found where it lies, over each length', () => {
  const course = plainCourse([
    { lengthM: 1000, gradient: 0.02 },
    { lengthM: 200, gradient: 0.15 },
    { lengthM: 800, gradient: 0.06 },
  ]);
  const found = steepestStretches(course, [100, 500, 5000]);
  assert.equal(found.length, 2, 'nothing of 5 km on 2 km');
  near(found[0].gradient, 0.15, { rel: 1e-9, why: 'inside the steep 200 m' });
  assert.match(found[0].name ?? '', /from km 1\.0/);
  const rise = (along: number, slope: number): number => (along * slope) / Math.hypot(1, slope);
  const gain = rise(200, 0.15) + rise(300, 0.06);
  near(found[1].gradient, gain / Math.sqrt(500 ** 2 - gain ** 2), {
    rel: 1e-9,
    why: 'the steep part and what follows, along the road',
  });
  assert.deepEqual(steepestStretches(plainCourse([{ lengthM: 500, gradient: -0.03 }]), [100]), []);
});
