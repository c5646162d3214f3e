import { before, test } from 'node:test';
import assert from 'node:assert/strict';
import type { Day, DayEvidence } from '../../../../src/core/evidence/index.ts';
import {
  estimateFieldDrag,
  type FieldDragFinding,
} from '../../../../src/core/methods/field-drag/index.ts';
import { simulateDay } from '../../../../src/simulation/index.ts';
import { near } from '../../../near.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';

/*
 * The budget against itself ridden again: each constant is moved by one standard uncertainty, all else
 * estimated anew, and the result must move as the budget says (GUM, JCGM 100:2008, 5.1.3: the
 * sensitivity coefficient may be found by varying the input).
 */
const day = simulateDay({ seed: 81, setups: 2, runsPerSetup: 3, lapsPerRun: 3 });
const evidence = (): DayEvidence => evidenceOf(day);

let usual: FieldDragFinding;
before(() => {
  usual = estimateFieldDrag(evidence());
});

function shifted(change: (day: Day) => void): FieldDragFinding {
  const moved = evidence();
  change(moved.day);
  return estimateFieldDrag(moved);
}

const line = (source: string) => usual.budget.find((one) => one.source === source)!;
const { crrStandardUncertainty } = evidence().day.constants;

const constants: [source: string, change: (day: Day, sign: number) => void][] = [
  ['rolling resistance', (day, sign) => (day.constants.crr += sign * crrStandardUncertainty)],
  ['mass', (day, sign) => (day.system.massKg += sign * day.system.massStandardUncertaintyKg)],
  [
    'power scale and drivetrain',
    (day, sign) => {
      const { constants: c } = day;
      c.drivetrainEfficiency +=
        sign *
        Math.hypot(
          c.drivetrainEfficiencyStandardUncertainty,
          c.powerScaleStandardUncertainty * c.drivetrainEfficiency,
        );
    },
  ],
];

for (const [source, change] of constants) {
  test(`one standard uncertainty of ${source} moves the drag area as the budget says`, () => {
    const [up, down] = [1, -1].map((sign) => shifted((day) => change(day, sign)));
    const moved = Math.abs(up.setups[0].cdaM2 - down.setups[0].cdaM2) / 2;
    near(line(source).ofAbsoluteM2, moved, { rel: 0.1, why: 'first order, and laps weighed anew' });
    const difference = Math.abs(up.differences[0].deltaCdaM2 - down.differences[0].deltaCdaM2) / 2;
    near(line(source).ofDifferenceM2, difference, {
      rel: 0.1,
      abs: 5e-5,
      why: 'nearly cancels, and laps are weighed anew: a twentieth of its standard uncertainty',
    });
    assert.ok(moved > 2 * difference, 'a constant error counts for the absolute value');
  });
}

test('more power than was ridden is more drag, more rolling resistance or mass is less', () => {
  const area = ({ setups }: FieldDragFinding) => setups[0].cdaM2;
  assert.ok(area(shifted((day) => (day.constants.drivetrainEfficiency += 0.01))) > area(usual));
  assert.ok(area(shifted((day) => (day.constants.crr += 0.0004))) < area(usual));
  assert.ok(area(shifted((day) => (day.system.massKg += 2))) < area(usual));
});

test('rolling resistance of 0.0004 more is 3.6 W at 39 km/h, and as much less drag area', () => {
  // Crr m g v = ½ ρ ΔA v³: the closed form at the mean of v² over the laps.
  const { laps, setups } = usual;
  const own = laps.filter((lap) => lap.setup === setups[0].id);
  const square = own.reduce((sum, lap) => sum + lap.meanSpeedMps ** 2, 0) / own.length;
  const density = own.reduce((sum, lap) => sum + lap.airDensityKgM3, 0) / own.length;
  const expected = (0.0004 * evidence().day.system.massKg * 9.80665) / (0.5 * density * square);
  near(line('rolling resistance').ofAbsoluteM2, expected, {
    rel: 0.15,
    why: 'wind and uneven speed; and the scale of the airspeed sensor gives way a little',
  });
});

test('the absolute interval holds all lines of the budget, the difference only what does not cancel', () => {
  const [{ ci95 }] = usual.setups;
  const half = (ci95[1] - ci95[0]) / 2;
  const absolute = Math.hypot(...usual.budget.map((one) => one.ofAbsoluteM2));
  near(half, 1.96 * absolute, {
    rel: 0.2,
    why: 'the lines stand at the likeliest scatter, the interval averages over it',
  });
  const [difference] = usual.differences;
  const own = Math.hypot(...usual.budget.map((one) => one.ofDifferenceM2));
  const ownHalf = (difference.ci95[1] - difference.ci95[0]) / 2;
  assert.ok(ownHalf > 1.9 * own && ownHalf < 3.2 * own, `${ownHalf} beside ${own}`);
  assert.ok(half > 2 * ownHalf);
});

test("the model's own doubt is in absolute values only: one per cent round a loop", () => {
  const own = line('the model itself');
  assert.equal(own.ofDifferenceM2, 0);
  near(own.ofAbsoluteM2, 0.01 * usual.setups[0].cdaM2, { rel: 0.05, why: 'of a usual lap' });
});
