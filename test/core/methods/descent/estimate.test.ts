/** Verdicts and energy of whole descents. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { Descent } from '../../../../src/core/evidence/index.ts';
import type { DescentFinding } from '../../../../src/core/methods/index.ts';
import { near } from '../../../near.ts';
import { brake, estimate, gentle, kmh, slope, steep } from './sheets.ts';

const issue = estimate(steep, slope(1500, 0.25));
const easy = estimate(gentle, slope(2000, 0.04));

function assertCloses({ energy }: DescentFinding): void {
  assert.ok(Math.abs(energy.roadClosurePercent) < 0.1, `road ${energy.roadClosurePercent} %`);
  assert.ok(Math.abs(energy.heatClosurePercent) < 0.1, `heat ${energy.heatClosurePercent} %`);
}

test('1500 m of 25 % dragged at 25 km/h on layered 160 mm rotors is beyond, front and rear', () => {
  assert.equal(issue.verdict, 'beyond');
  for (const position of ['front', 'rear']) {
    const soft = issue.limits.find(
      (one) => one.brake === position && /core goes soft/.test(one.what),
    );
    assert.equal(soft?.verdict, 'beyond', position);
  }
  assert.ok(
    issue.front.peakCi95[0] > 350,
    'the whole interval of the front lies above the core’s limit',
  );
  assertCloses(issue);
});

test('two minutes of dragging on 20 to 30 % are beyond for a worn-in layered 160 mm rotor whose pads have depth', () => {
  // Common practice, no source: it destroys the rotor.
  for (const [gradient, speed, massKg] of [
    [0.2, 20, 80],
    [0.2, 30, 75],
    [0.25, 25, 92],
    [0.3, 20, 75],
  ]) {
    const worn = { ...brake(160, 'layered', 'metal'), trackThicknessM: 0.00165, padDepthM: 0.0015 };
    const sheet: Descent = {
      ...steep,
      massKg,
      plan: { kind: 'drag', speedMps: kmh(speed) },
      front: worn,
      rear: worn,
    };
    const found = estimate(sheet, slope(kmh(speed) * 120, gradient));
    const core = found.limits.filter((one) => one.brake === 'front' && /core/.test(one.what));
    assert.equal(found.verdict, 'beyond', `${gradient} at ${speed} km/h with ${massKg} kg`);
    assert.equal(core[0].verdict, 'beyond', `core at ${gradient}, ${speed} km/h, ${massKg} kg`);
  }
});

test('2 km of 4 % on large steel rotors is within, with nothing to mend and ten in a row', () => {
  assert.equal(easy.verdict, 'within');
  assert.deepEqual(easy.remedies, []);
  assert.equal(easy.inARow.noLimitFound, true);
  assert.equal(easy.front.limitReachedS, null);
  assertCloses(easy);
});

test('cautions stand in every finding, whatever the verdict, and none of them asks anybody to ride', () => {
  for (const { cautions } of [issue, easy]) {
    assert.match(cautions.join(' '), /makers/);
    assert.match(cautions.join(' '), /qualified mechanic/);
    assert.match(cautions.join(' '), /local law/);
    assert.match(cautions.join(' '), /no invitation/);
  }
  assert.match(issue.cautions[0], /Do not ride/);
});

test('power on a descent: 85 kg, 10 %, 10 m/s leave 578 W for the brakes', () => {
  // Table of reference values: 829.4 − 210.0 − 41.5, there with air of 1.2 kg/m³.
  const sheet: Descent = {
    ...gentle,
    massKg: 85,
    crr: 0.005,
    plan: { kind: 'drag', speedMps: 10 },
    air: { temperatureC: 20.3, pressureHPa: 1013.25 },
  };
  const found = estimate(sheet, slope(1000, 0.1));
  near(found.front.meanPowerW + found.rear.meanPowerW, 578, {
    abs: 2,
    why: 'air of 1.2 kg/m³ within 0.3 %',
  });
  near(found.energy.heightJ, 829.4 * 100, { rel: 1e-3, why: '829.4 W for 100 s' });
});

test('height: 85 kg down 1000 m give 231.5 Wh, whatever becomes of it', () => {
  const gradient = 0.08;
  const lengthM = (1000 * Math.hypot(1, gradient)) / gradient;
  const found = estimate({ ...gentle, massKg: 85 }, slope(lengthM, gradient));
  near(found.energy.heightJ / 3600, 231.5, { abs: 0.1, why: 'table of reference values, m·g·h' });
  assertCloses(found);
});

test('ISO 4210 heat test: 300 W for 15 minutes in air at 12.5 km/h put the band of a 160 mm steel rotor round 300 to 400 °C', () => {
  // Energy 75 Wh in 15 ± 2 min with cooling air at 12.5 km/h (ISO 4210-4, 4.7, from memory; speed read in TBIS 4210-4).
  // Brakes that pass keep 70 % of their force after it, so that pads live through it: the band must reach below 400 °C.
  const speedMps = 12.5 / 3.6;
  const fall = (300 / speedMps + 0.006 * 80 * 9.80665) / (80 * 9.80665);
  const sheet: Descent = {
    ...gentle,
    cdaM2: 0.1,
    frontShare: 1,
    plan: { kind: 'drag', speedMps },
    front: brake(160, 'steel', 'metal'),
  };
  const found = estimate(sheet, slope(speedMps * 900, Math.tan(Math.asin(fall))));
  near(found.front.heatedJ / 3600, 75, { rel: 0.02, why: '75 Wh but for the air' });
  assert.ok(found.front.peakCi95[0] < 400, `${found.front.peakCi95}`);
  assert.ok(found.front.peakCi95[1] > 300, `${found.front.peakCi95}`);
});

test('larger rotors, less mass and a lower share run cooler; worn ones hotter', () => {
  const hot = (sheet: Descent): number => estimate(sheet, slope(500, 0.06)).front.peakC;
  const base: Descent = {
    ...gentle,
    front: brake(160, 'steel', 'metal'),
    rear: brake(160, 'steel', 'metal'),
  };
  const plain = hot(base);
  assert.ok(hot({ ...base, front: brake(203, 'steel', 'metal') }) < plain);
  assert.ok(hot({ ...base, massKg: 65 }) < plain);
  assert.ok(hot({ ...base, frontShare: 0.5 }) < plain);
  assert.ok(hot({ ...base, front: { ...base.front, trackThicknessM: 0.0015 } }) > plain);
});

test('numbers beyond the data of steel are said to mean only that the rotor is gone', () => {
  const wild = { ...gentle, massKg: 250, plan: { kind: 'drag', speedMps: kmh(50) } } as const;
  const { warnings } = estimate(wild, slope(3000, 0.4));
  assert.match(warnings.map((one) => one.message).join(' '), /rotor is gone/);
  assert.equal(easy.warnings.length, 0);
});

test('the share of the braking splits the heat: 0.7 in front leaves 3 in 7 of it to the rear', () => {
  near(issue.rear.heatedJ / issue.front.heatedJ, 3 / 7, { rel: 1e-9, why: 'the sheet’s share' });
  near(issue.front.heatedJ + issue.rear.heatedJ, issue.energy.brakedJ, {
    rel: 1e-9,
    why: 'no third brake',
  });
});

test('a longer pause between descents allows at least as many in a row', () => {
  const sheet = (minutes: number): Descent => ({
    ...gentle,
    front: brake(160, 'steel', 'metal'),
    rear: brake(160, 'steel', 'metal'),
    between: { minutes, speedMps: 0 },
  });
  const [quick, slow] = [0, 60].map((minutes) => estimate(sheet(minutes), slope(900, 0.08)).inARow);
  assert.ok(quick.within <= slow.within, `${quick.within} and ${slow.within}`);
  assert.ok(slow.within >= 1);
  assert.ok(quick.peaksC[1].front > slow.peaksC[1].front, 'the second begins warmer');
});

test('a height that is not sure widens the interval', () => {
  const width = ({ front }: DescentFinding): number => front.peakCi95[1] - front.peakCi95[0];
  const sure = estimate(gentle, slope(2000, 0.08));
  const unsure = estimate(gentle, slope(2000, 0.08), 0.3);
  assert.ok(width(unsure) > 1.1 * width(sure));
});

test('the band of convection is as wide as the published formulas lie apart, a factor of five and more', () => {
  const { ci95, published, centre } = issue.convection;
  const values = Object.values(published);
  near(ci95[1] / ci95[0], Math.max(...values) / Math.min(...values), {
    rel: 1e-3,
    why: '95 % of the band is their range',
  });
  assert.ok(published['vehicle rotor'] / published['disc turning in still air'] > 4.5);
  assert.ok(centre > Math.min(...values) && centre < Math.max(...values));
});

test('the same evidence gives the same finding', () => {
  assert.deepEqual(estimate(gentle, slope(2000, 0.04)), easy);
});
