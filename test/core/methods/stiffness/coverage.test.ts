/** Whether the intervals hold: invented benches, seeded; and the t interval against a published one. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { estimateStiffness } from '../../../../src/core/methods/index.ts';
import { overRemounts } from '../../../../src/core/methods/stiffness/over-remounts.ts';
import { near } from '../../../near.ts';
import { madeReadings, usual, type Bench } from './made-bench.ts';

function coverage(changes: Partial<Bench>, benches: number): { stiffness: number; slop: number } {
  let stiffness = 0;
  let slop = 0;
  for (let seed = 1; seed <= benches; seed++) {
    const bench = { ...usual, ...changes, seed };
    const finding = estimateStiffness({
      readings: madeReadings(bench),
      preloadN: 30,
      loadN: 196.1,
      loadUnit: null,
      inputs: [],
    });
    const holds = ([low, high]: [number, number], truth: number) => low <= truth && truth <= high;
    if (holds(finding.ci95, bench.stiffnessNPerMm)) stiffness += 1;
    if (finding.slopCi95 && holds(finding.slopCi95, bench.slopMm)) slop += 1;
  }
  return { stiffness: stiffness / benches, slop: slop / benches };
}

// 400 benches at 95 %: standard deviation of the share 1.1 %.
const cases: [what: string, changes: Partial<Bench>][] = [
  ['five mountings', {}],
  ['three mountings at four positions', { remounts: 3, positionsDeg: [0, 90, 180, 270] }],
  [
    'one mounting that would repeat itself, read at thirteen loads',
    {
      remounts: 1,
      scatterNPerMm: 0,
      slopScatterMm: 0,
      loadsN: [0, 3, 6, 9, 12, 20, 30, 60, 90, 120, 150, 190, 226.1],
    },
  ],
];

for (const [what, changes] of cases) {
  test(`95 % intervals of stiffness and slop hold in 93 to 97 of 100: ${what}`, () => {
    const { stiffness, slop } = coverage(changes, 400);
    assert.ok(stiffness >= 0.93 && stiffness <= 0.97, `stiffness ${stiffness}`);
    assert.ok(slop >= 0.93 && slop <= 0.97, `slop ${slop}`);
  });
}

test('interval over mountings: differences of Student’s sleep data, 95 % −2.459886 to −0.700114', () => {
  // Student 1908; R `sleep`, t.test(paired = TRUE); REFERENCES F. Each difference stands for a mounting.
  const a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
  const b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
  const over = overRemounts(
    a.map((value, i) => ({
      remount: String(i),
      positionDeg: null,
      value: value - b[i],
      standardUncertainty: 0,
      degreesOfFreedom: 0,
    })),
    0,
  )!;
  near(over.value, -1.58, { abs: 1e-9, why: 'published to two decimals, exact in the data' });
  near(over.ci95, [-2.459886, -0.700114], { abs: 1e-6, why: 'published to six decimals' });
  assert.equal(over.degreesOfFreedom, 9);
});

test('a mounting read at one position only is levelled by what the positions differ', () => {
  const at = (remount: string, positionDeg: number, value: number) => ({
    remount,
    positionDeg,
    value,
    standardUncertainty: 0,
    degreesOfFreedom: 0,
  });
  // Position 180 is 4 stiffer throughout; the third mounting was read there only.
  const over = overRemounts(
    [at('1', 0, 70), at('1', 180, 74), at('2', 0, 71), at('2', 180, 75), at('3', 180, 74.5)],
    0,
  )!;
  near(over.value, (72 + 73 + 72.5) / 3, { rel: 1e-12, why: 'additive by construction' });
});
