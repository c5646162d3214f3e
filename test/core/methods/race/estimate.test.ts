/** The whole finding: intervals, what cancels, where time is won, plans, refusals. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { estimateRace } from '../../../../src/core/methods/index.ts';
import { covarianceOf, rootOf, sdOf } from '../../../../src/core/methods/race/covariance.ts';
import { weightedPowerW } from '../../../../src/core/methods/race/weighted-power.ts';
import { near } from '../../../near.ts';
import { conditions, evidenceOf } from './made-race.ts';

const flat = [{ lengthM: 20_000, gradient: 0, headingDeg: 0 }];
const hilly = [
  { lengthM: 5000, gradient: 0, headingDeg: 0 },
  { lengthM: 4000, gradient: 0.05, headingDeg: 90 },
  { lengthM: 4000, gradient: -0.05, headingDeg: 270 },
  { lengthM: 5000, gradient: 0, headingDeg: 180 },
];

test('what both setups share cancels in the difference, and widens each time', () => {
  const [shared, own] = [0.01, 0.0005];
  const a = shared ** 2 + own ** 2;
  const finding = estimateRace(
    evidenceOf(flat, {
      cdaCovariance: Float64Array.of(a, shared ** 2, shared ** 2, a),
      draws: 2000,
    }),
  );
  const width = ([low, high]: [number, number]): number => high - low;
  const [difference] = finding.differences;
  const perM2 = 1000 * finding.sensitivities.perThousandthM2;
  // First order: sd of a difference is √2·own; of one time √(shared² + own²).
  near(width(difference.ci95), 2 * 1.96 * Math.SQRT2 * own * perM2, {
    rel: 0.08,
    why: '2000 draws',
  });
  near(width(finding.setups[0].timeCi95), 2 * 1.96 * Math.sqrt(a) * perM2, {
    rel: 0.08,
    why: '2000 draws',
  });
  assert.equal(difference.verdict, 'faster');
  near(difference.deltaS, -0.008 * perM2, { rel: 0.05, why: 'first order' });
});

test('the interval of a difference covers the truth in 95 of 100 made findings', () => {
  // Two setups that are truly alike, measured with known scatter: how often does the interval hold zero?
  let covered = 0;
  const trials = 200;
  let state = 7;
  const uniform = (): number => ((state = (state * 16807) % 2147483647), state / 2147483647);
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  const [shared, own] = [0.006, 0.002];
  const a = shared ** 2 + own ** 2;
  for (let trial = 0; trial < trials; trial++) {
    const common = shared * normal();
    const evidence = evidenceOf([{ lengthM: 1500, gradient: 0 }], {
      cdaCovariance: Float64Array.of(a, shared ** 2, shared ** 2, a),
      draws: 100,
    });
    evidence.setups[0].cdaM2 = 0.31 + common + own * normal();
    evidence.setups[1].cdaM2 = 0.31 + common + own * normal();
    const [{ ci95, verdict }] = estimateRace(evidence).differences;
    const holds = ci95[0] <= 0 && ci95[1] >= 0;
    assert.equal(verdict === 'not separable', holds);
    if (holds) covered += 1;
  }
  assert.ok(covered / trials > 0.9 && covered / trials < 0.99, `${covered} of ${trials}`);
});

test('time won adds up: by kind of road and along the course it is the whole difference', () => {
  const finding = estimateRace(
    evidenceOf(hilly, { conditions: { ...conditions, wind: { speedMps: 3, fromDeg: 0 } } }),
  );
  const [difference] = finding.differences;
  const { onClimbsS, onFlatS, onDescentsS, deltaS } = difference;
  near(onClimbsS + onFlatS + onDescentsS, deltaS, { rel: 1e-9, why: 'a sum' });
  near(finding.along.behindS[0].seconds.at(-1)!, deltaS, { rel: 1e-9, why: 'the last place' });
  assert.ok(onFlatS < onClimbsS, 'a drag area is worth more where the ride is fast for long');
  assert.equal(finding.along.distanceM.length, finding.along.behindS[0].seconds.length);
  assert.ok(finding.along.distanceM.length <= 501);
  for (const { energy } of finding.setups) assert.ok(Math.abs(energy.closurePercent) < 0.1);
  assert.ok(finding.cautions.length >= 3);
});

test('steps of 20 m in the draws and 1 m in the ride agree: exact inputs have intervals of no width', () => {
  const finding = estimateRace(evidenceOf(hilly));
  for (const { timeS, timeCi95 } of finding.setups) {
    near(timeCi95, [timeS, timeS], { abs: 1e-6, why: 'nothing uncertain' });
  }
});

test('on a symmetric hill and in wind an even power is not the fastest at equal weighted power', () => {
  // Known result, e.g. Atkinson, Peacock, Passfield (2007) J Sports Sci 25:1001 (from memory): more uphill and upwind.
  const finding = estimateRace(
    evidenceOf(hilly, {
      conditions: { ...conditions, wind: { speedMps: 4, fromDeg: 0 } },
      plan: { holds: 'weighted', leastW: 0, mostW: 450 },
    }),
  );
  const plan = finding.plan!;
  assert.ok(plan.gainS < -2, `${plan.gainS} s`);
  near(plan.gainCi95, [plan.gainS, plan.gainS], { abs: 1e-6, why: 'nothing uncertain' });
  near(plan.weightedPowerW, finding.setups[0].weightedPowerW, { rel: 1e-5, why: 'held' });
  const meanWhere = (of: (g: number) => boolean): number => {
    const own = plan.stretches.filter((one) => of(one.gradientPercent));
    return own.reduce((sum, one) => sum + one.powerW, 0) / own.length;
  };
  assert.ok(meanWhere((g) => g > 2) > 260 && meanWhere((g) => g < -2) < 230);
  // Out (upwind) more than back.
  assert.ok(plan.stretches[8].powerW > plan.stretches.at(-8)!.powerW + 10);
});

test('on a flat road in still air an even power is already the best: no gain beyond the start', () => {
  const finding = estimateRace(
    evidenceOf(flat, {
      rider: { ...evidenceOf(flat).rider, startSpeedMps: 10.5 },
      plan: { holds: 'weighted', leastW: 0, mostW: 450 },
    }),
  );
  // What is left to gain is the speed thrown away at the finish: below a second in half an hour.
  assert.ok(finding.plan!.gainS <= 1e-6 && finding.plan!.gainS > -0.5, `${finding.plan!.gainS} s`);
});

test('weighted power: even power is itself, half a minute on and off is less than without the mean', () => {
  const seconds = Float64Array.from({ length: 3601 }, (_, i) => i);
  const even = new Float64Array(3600).fill(230);
  near(weightedPowerW(seconds, even), 230, { rel: 1e-12, why: 'exact' });
  // On and off every 300 s: the mean of P⁴ is half of 400⁴ but for the 30 s ramps, ∫ of a linear ramp⁴ = 1/5.
  const blocks = even.map((_, i) => (Math.floor(i / 300) % 2 === 0 ? 400 : 0));
  const ramps = 11 * 30 * (1 / 5);
  const high = 6 * 300 - 5 * 30;
  near(weightedPowerW(seconds, blocks), 400 * ((high + ramps) / 3600) ** 0.25, {
    rel: 3e-3,
    why: 'one-second windows for an integral, the last ramp down',
  });
});

test('covariance from intervals gives back each interval and each difference, and is never indefinite', () => {
  const size = fc.double({ min: 1e-4, max: 0.02, noNaN: true });
  fc.assert(
    fc.property(fc.array(size, { minLength: 2, maxLength: 6 }), size, (sd, apart) => {
      const differences = sd.map((own, i) => (i === 0 ? 0 : Math.abs(own - sd[0]) + apart * 0.2));
      const k = sd.length;
      const covariance = covarianceOf(sd, 0, differences);
      const l = rootOf(covariance, k);
      for (let i = 0; i < k; i++) {
        near(covariance[i * k + i], sd[i] ** 2, { rel: 1e-12, why: 'own variance' });
        let back = 0;
        for (let m = 0; m < k; m++) back += l[i * k + m] ** 2;
        near(back, sd[i] ** 2, { rel: 1e-8, why: 'the root squared' });
        if (i > 0 && differences[i] <= sd[0] + sd[i]) {
          const d2 = covariance[0] + covariance[i * k + i] - 2 * covariance[i];
          near(d2, differences[i] ** 2, { rel: 1e-9, abs: 1e-16, why: 'the difference' });
        }
      }
    }),
    { seed: 3, numRuns: 200 },
  );
  near(sdOf([0.3, 0.3 + 2 * 1.959964e-3]), 1e-3, { rel: 1e-9, why: 'half of a 95 % interval' });
});

const refused = (run: () => unknown): readonly { code: string; message: string }[] => {
  try {
    run();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems;
    throw error;
  }
  return [];
};

test('wind from somewhere on a course without directions, and air that cannot be, are refused in words', () => {
  const wind = { speedMps: 3, fromDeg: 90 };
  const road = [{ lengthM: 2000, gradient: 0 }];
  const [first] = refused(() =>
    estimateRace(evidenceOf(road, { conditions: { ...conditions, wind } })),
  );
  assert.equal(first.code, 'heading-missing');
  const deep = evidenceOf([{ lengthM: 20_000, gradient: -0.06 }]);
  const [second] = refused(() => estimateRace(deep));
  assert.equal(second.code, 'sheet-field');
  assert.match(second.message, /below where the air was read/);
});

test('a plan for a forecast wind gains less when the wind may be another: its interval says so', () => {
  const finding = estimateRace(
    evidenceOf(hilly, {
      conditions: { ...conditions, wind: { speedMps: 4, fromDeg: 0 } },
      doubt: { massKg: 0.5, crr: 0, windMps: 2, airDensity: 0, power: 0 },
      plan: { holds: 'weighted', leastW: 0, mostW: 450 },
    }),
  );
  const { gainS, gainCi95 } = finding.plan!;
  assert.ok(gainCi95[0] < gainS && gainS < gainCi95[1], JSON.stringify(gainCi95));
  assert.ok(gainCi95[1] - gainCi95[0] > 1, JSON.stringify(gainCi95));
});
