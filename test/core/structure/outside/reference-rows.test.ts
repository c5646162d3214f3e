/**
 * The fully specified reference wheel against theory that was worked out apart from the program (shared
 * reference table C). Rows are derived (D), none is published as a number; the formulas are those of
 * Pippard & Francis 1931 (spokes smeared to a disc) and of springs in series, one a mode.
 */
import test from 'node:test';
import type { Wheel } from '../../../../src/core/evidence/index.ts';
import {
  collapseTensionN,
  sectionFromOutline,
  solveLoad,
  untensionedStiffnesses,
  wheelMechanics,
} from '../../../../src/core/structure/index.ts';
import { near } from '../../../near.ts';
import { referenceWheel } from '../wheels.ts';

const [radius, spokes, ei1, ei2, gj] = [0.3, 32, 100, 200, 25];
const ea = 210e9 * Math.PI * 1e-6;
const length = Math.hypot(0.28, 0.03);
const [sin, cos] = [0.03 / length, 0.28 / length];
const round = 2 * Math.PI * radius;
const kuu = (spokes * ea * sin ** 2) / (round * length);
const krr = (spokes * ea * cos ** 2) / (round * length);

/** Rim's own stiffness against n waves out of plane, N/m. */
const outOfPlane = (n: number): number =>
  ((Math.PI / radius ** 3) * n ** 2 * (n ** 2 - 1) ** 2 * ei2 * gj) / (ei2 + n ** 2 * gj);

/**
 * What tension adds to a mode: it presses the rim (-n²) and leads back a spoke that is led aside (R/L). The
 * table takes the spokes as lying in the plane; with the bracing angle kept T cos α presses and T/L cos² α
 * leads back.
 */
const underTension = (n: number, t: number, c: number): number =>
  Math.PI * t * ((radius / length) * c ** 2 - n ** 2 * c);

/** Lateral stiffness of the smeared wheel up to a mode, N/mm, under a tension in each of the 32 spokes. */
function lateralSeries(most: number, tensionN = 0, c = 1): number {
  const t = (spokes * tensionN) / round;
  const mode = (n: number): number =>
    Math.PI * radius * kuu + (n >= 2 ? outOfPlane(n) : 0) + underTension(n, t, c);
  let compliance = 1 / (round * kuu + 2 * underTension(0, t, c));
  for (let n = 1; n <= most; n++) compliance += 1 / mode(n);
  return 1e-3 / compliance;
}

const derived = 'last digit of the table';

test('smeared wheel: kuu 451389, krr 39.3210e6 N/m², lateral series 146.637, to n = 3 157.01, to n = 10 146.92', () => {
  near(kuu, 451389, { rel: 1e-5, why: derived });
  near(krr, 39.321e6, { rel: 1e-5, why: derived });
  near(lateralSeries(4000), 146.637, { abs: 0.01, why: derived });
  near(lateralSeries(3), 157.01, { abs: 0.01, why: derived });
  near(lateralSeries(10), 146.92, { abs: 0.01, why: derived });
  near(
    [600, 1000, 1200].map((t) => lateralSeries(4000, t)),
    [134.09, 123.15, 116.74],
    { abs: 0.1, why: 'tolerance of the table' },
  );
  near(196.133 / lateralSeries(4000), 1.3375, { rel: 1e-3, why: '20 kg at the rim' });
});

test('mode sum of the ring is the handbook value of two opposite loads: (π² - 8)/16, and 4/π of it 0.148779', () => {
  // Roark, table 9.2, case 1 (from memory, and derived).
  let sum = 0;
  for (let n = 2; n < 20000; n += 2) sum += 1 / (n ** 2 - 1) ** 2;
  near(sum, (Math.PI ** 2 - 8) / 16, { abs: 1e-8, why: derived });
  near((4 / Math.PI) * sum, Math.PI / 4 - 2 / Math.PI, { abs: 1e-8, why: derived });
});

const thin = (tensionN: number | null = null): Wheel =>
  referenceWheel({
    count: 128,
    rimEaN: 7e9,
    meanTensionN: tensionN === null ? null : (tensionN * spokes) / 128,
  });

test('with 128 thin spokes the wheel of finite elements is the mode series, tension or not', () => {
  const loaded = (tensionN: number): number =>
    1e-3 /
    solveLoad(
      thin(tensionN),
      { forces: [{ angleRad: 0, lateralN: 1 }] },
      { elementsPerSpoke: 4, unilateral: false, tensioned: tensionN > 0 },
    ).displacements.lateralM[0];
  for (const tensionN of [0, 600, 1000, 1200]) {
    const why = 'spokes are 128 places, not a disc: 0.04 % without tension';
    near(loaded(tensionN), lateralSeries(4000, tensionN, cos), { rel: 1e-3, why });
  }
  // In plane: the rim does not stretch, so n = 0 is shut.
  let compliance = 0;
  for (let n = 1; n < 4000; n++) {
    const rim = (Math.PI * ei1 * (n ** 2 - 1) ** 2) / radius ** 3;
    compliance += 1 / (rim + Math.PI * radius * krr);
  }
  near(1e-3 / compliance, 4680.8, { abs: 0.5, why: 'tolerance of the table' });
  const radial = untensionedStiffnesses(thin(), { elementsPerSpoke: 4 }).radialAtSpokeNPerMm;
  near(radial, 1e-3 / compliance, { rel: 1e-3, why: 'tolerance of the table' });
});

test('waves 2, 3 and 4 buckle at 3164, 2869 and 4917 N a spoke, and the wheel at the least of them', () => {
  const buckling = (n: number, c: number): number => {
    const perNewton = -underTension(n, spokes / round, c);
    return (Math.PI * radius * kuu + outOfPlane(n)) / perNewton;
  };
  near(
    [2, 3, 4].map((n) => buckling(n, 1)),
    [3164, 2869, 4917],
    { abs: 1, why: derived },
  );
  const found = (collapseTensionN(thin(1000), { elementsPerSpoke: 4 })?.tensionN ?? NaN) * 4;
  near(found, Math.min(...[2, 3, 4].map((n) => buckling(n, cos))), {
    rel: 1e-3,
    why: '128 discrete spokes, bracing angle kept',
  });
});

/** The reference wheel on a rim that gives nothing. */
function rigidRim(cross: number): Wheel {
  const wheel = referenceWheel({ cross });
  const stiff = 1e5;
  const { rim } = wheel;
  return {
    ...wheel,
    rim: {
      ...rim,
      areaM2: rim.areaM2 * stiff,
      iRadialM4: rim.iRadialM4 * stiff,
      iLateralM4: rim.iLateralM4 * stiff,
      torsionM4: rim.torsionM4 * stiff,
    },
  };
}

test('on a rigid rim: lateral 283.616 N/mm radial, tangential 282.3 N/mm = 25408 N m/rad 3-cross', () => {
  const lateral = untensionedStiffnesses(rigidRim(0));
  near(lateral.lateralAtSpokeNPerMm, 283.616, { rel: 1e-3, why: 'a rim 100 000 times as stiff' });
  const crossed = untensionedStiffnesses(rigidRim(3));
  const tangential = ((crossed.torsionalNmPerDeg * 180) / Math.PI / radius ** 2) * 1e-3;
  // Held at one point the rim also moves off sideways in its plane, which the table's turn leaves out.
  const l = 0.294462;
  const turn = (spokes * ea * ((0.3 * 0.02 * Math.sin((3 * Math.PI) / 8)) / l) ** 2) / l;
  const aside = ((spokes / 2) * ea * (1 - (0.03 / l) ** 2)) / l;
  near(turn, 25408, { abs: 1, why: derived });
  near((turn / radius ** 2) * 1e-3, 282.3, { abs: 0.1, why: derived });
  near(1e3 * tangential, 1 / (radius ** 2 / turn + 1 / aside), {
    rel: 1e-3,
    why: 'tolerance of the table',
  });
});

test('spoke lengths 281.603 mm radial and 294.462 mm 3-cross, bracing angle 6.1155 degrees', () => {
  const of = (cross: number) =>
    wheelMechanics(referenceWheel({ cross, meanTensionN: 100 }), { elementsPerSpoke: 2 }).spokes[0];
  near(of(0).lengthM, 0.281603, { abs: 1e-6, why: derived });
  near(of(3).lengthM, 0.294462, { abs: 1e-6, why: derived });
  near((of(0).bracingAngleRad * 180) / Math.PI, 6.1155, { abs: 1e-4, why: derived });
});

test('flanges at 35 and 19 mm, 278 mm between hole and rim: the wide side pulls 0.5459 of the narrow one', () => {
  const base = referenceWheel({ meanTensionN: 1000 });
  const dished: Wheel = {
    ...base,
    hub: {
      flangeRadiusM: { left: 0.022, right: 0.022 },
      flangeOffsetM: { left: 0.035, right: 0.019 },
    },
  };
  const { spokes: found } = wheelMechanics(dished, { elementsPerSpoke: 2 });
  near(found[0].tensionN / found[1].tensionN, 0.5459, { abs: 1e-3, why: 'tolerance of the table' });
});

test('hollow sections against their handbook forms: round tube of thickness kept, box of Roark', () => {
  // Exact ring section: A, I = π(R⁴ - r⁴)/4, J = π(R⁴ - r⁴)/2. A thin-walled theory leaves out (t/2r)².
  const [outer, t] = [0.02415, 0.0032];
  const inner = outer - t;
  const tube = sectionFromOutline(
    Array.from({ length: 360 }, (_, i) => ({
      radialM: outer * Math.cos((2 * Math.PI * i) / 360),
      lateralM: outer * Math.sin((2 * Math.PI * i) / 360),
    })),
    t,
    { outlineAt: 'outside' },
  );
  const why = '(t/2r)² of a thin wall is 0.5 %, and the polygon';
  near(tube.areaM2, Math.PI * (outer ** 2 - inner ** 2), { rel: 1e-3, why });
  near(tube.iRadialM4, (Math.PI / 4) * (outer ** 4 - inner ** 4), { rel: 7e-3, why });
  near(tube.torsionM4, (Math.PI / 2) * (outer ** 4 - inner ** 4), { rel: 7e-3, why });
  // The same tube, 48.3 × 3.2 mm, in the tables of EN 10219-2: 4.53 cm², 11.6 cm⁴, 23.2 cm⁴ (from memory).
  near([tube.areaM2 * 1e4, tube.iRadialM4 * 1e8, tube.torsionM4 * 1e8], [4.53, 11.6, 23.2], {
    rel: 0.01,
    why: 'thin wall, and three digits',
  });
  // Roark, torsion table, hollow rectangle a by b, the walls along a being t1 thick, those along b t:
  // K = 2 t t1 (a - t)² (b - t1)² / (a t + b t1 - t² - t1²) (from memory; Bredt's formula).
  const [a, b, ta, tb] = [0.05, 0.024, 0.0012, 0.002];
  const box = sectionFromOutline(
    [
      { radialM: 0, lateralM: 0 },
      { radialM: a, lateralM: 0 },
      { radialM: a, lateralM: b },
      { radialM: 0, lateralM: b },
    ],
    [ta, tb, ta, tb],
    { outlineAt: 'outside' },
  );
  near(
    box.torsionM4,
    (2 * ta * tb * (a - tb) ** 2 * (b - ta) ** 2) / (a * tb + b * ta - ta ** 2 - tb ** 2),
    { rel: 1e-12, why: 'round-off' },
  );
  const hollow = (x: number, y: number, wallX: number, wallY: number): number =>
    (y * x ** 3 - (y - 2 * wallY) * (x - 2 * wallX) ** 3) / 12;
  near(box.iRadialM4, hollow(a, b, tb, ta), { rel: 0.01, why: 'walls as lines' });
  near(box.iLateralM4, hollow(b, a, ta, tb), { rel: 0.01, why: 'walls as lines' });
});
