import { test } from 'node:test';
import assert from 'node:assert/strict';
import { near } from '../near.ts';
import { conditionsOf } from '../../src/simulation/conditions.ts';
import { windOf } from '../../src/simulation/weather.ts';
import { simulateDay } from '../../src/simulation/index.ts';
import type { ConditionsInput } from '../../src/simulation/index.ts';

const base: ConditionsInput = { seed: 9, runsPerSetup: 1, setups: 3, lapsPerRun: 2 };
const perfect = {
  powerNoise: 0,
  speedNoiseMps: 0,
  distanceNoiseM: 0,
  airspeedNoise: 0,
  altitudeNoiseM: 0,
  altitudeResolutionM: 0,
  altitudeWanderM: 0,
  altitudeDriftMPerHour: 0,
  positionNoiseM: 0,
  positionWanderM: 0,
};
const truth = simulateDay({ ...base, sensors: perfect });
type Name = 'powerW' | 'speedMps' | 'airspeedMps' | 'altitudeM' | 'latDeg';
const withSensors = (sensors: ConditionsInput['sensors']) =>
  simulateDay({ ...base, sensors: { ...perfect, ...sensors } });

/** Pairs of true and shown values over the day, with the time of day. */
function pairs(day: ReturnType<typeof simulateDay>, name: Name) {
  return day.runs.flatMap((run, r) =>
    Array.from(run.channels[name] as Float64Array, (shown, i) => ({
      shown,
      real: (truth.runs[r].channels[name] as Float64Array)[i],
      dayTimeS: run.dayTimeS + run.timeS[i],
    })),
  );
}
const rms = (x: number[]) => Math.sqrt(x.reduce((sum, v) => sum + v * v, 0) / x.length);

test('power noise of 1.5 % is white and proportional to power', () => {
  const rows = pairs(withSensors({ powerNoise: 0.015 }), 'powerW').filter(({ real }) => real > 50);
  const errors = rows.map(({ shown, real }) => shown / real - 1);
  near(rms(errors), 0.015, { rel: 0.08, why: 'about 1,400 samples: 2 % standard error' });
  const lag =
    errors.slice(1).reduce((sum, e, i) => sum + e * errors[i], 0) /
    errors.length /
    rms(errors) ** 2;
  near(lag, 0, { abs: 0.11, why: 'four standard errors of a lag-one correlation' });
});

test('a meter that is 3 % high and drifts 2 % over the day shows exactly that', () => {
  const day = withSensors({ powerScaleError: 0.03, powerDrift: 0.02 });
  const rows = pairs(day, 'powerW').filter(({ real }) => real > 50);
  near(rows[0].shown / rows[0].real, 1.03, { rel: 1e-4, why: 'start of day' });
  const last = rows[rows.length - 1];
  near(last.shown / last.real, 1.03 * 1.02, {
    rel: 2e-3,
    why: 'end of day, planned length against ridden',
  });
  const middle = rows[Math.floor(rows.length / 2)];
  const part = middle.dayTimeS / last.dayTimeS;
  near(middle.shown / middle.real, 1.03 * (1 + 0.02 * part), { rel: 1e-3, why: 'linear in time' });
});

test('an airspeed sensor 5 % off with 1 % noise shows the air along the bike times 1.05', () => {
  const rows = pairs(
    withSensors({ airspeedScaleError: 0.05, airspeedNoise: 0.01 }),
    'airspeedMps',
  ).filter(({ real }) => real > 3);
  const ratios = rows.map(({ shown, real }) => shown / real);
  const mean = ratios.reduce((sum, r) => sum + r, 0) / ratios.length;
  near(mean, 1.05, { abs: 0.0015, why: 'standard error of the mean 0.0003' });
  near(rms(ratios.map((r) => r / 1.05 - 1)), 0.01, { rel: 0.1, why: 'about 1,400 samples' });
});

test('in calm air the airspeed is the ground speed, and in wind its lap mean is the headwind above it', () => {
  const calm = simulateDay({ ...base, wind: { speedMps: 0 }, sensors: perfect }).runs[0];
  for (let i = 30; i < calm.timeS.length; i += 37) {
    // The sensor shows the mean of the second before, the speed is of the moment.
    const mean = (calm.channels.speedMps[i] + calm.channels.speedMps[i - 1]) / 2;
    near((calm.channels.airspeedMps as Float64Array)[i], mean, {
      abs: 0.01,
      why: 'speed nearly linear within a second',
    });
  }
  const run = truth.runs[0];
  const [from, to] = run.truth.gateTimesS.map(Math.ceil);
  let sum = 0;
  for (let i = from; i < to; i++) {
    const speed = (run.channels.speedMps[i] + run.channels.speedMps[i - 1]) / 2;
    sum += (run.channels.airspeedMps as Float64Array)[i] - speed;
  }
  near(sum / (to - from), run.truth.lapHeadwindMps[0], {
    abs: 0.02,
    why: 'whole seconds against exact gate times',
  });
});

test('positions stray by their white noise and slow wander together, on an invented spot of open ocean', () => {
  const rows = pairs(withSensors({ positionNoiseM: 1, positionWanderM: 3 }), 'latDeg');
  const metres = rows.map(({ shown, real }) => ((shown - real) * Math.PI * 6_371_008.8) / 180);
  near(rms(metres), Math.sqrt(10), {
    rel: 0.4,
    why: 'a wander of a minute has few independent values in three runs',
  });
  const jumps = metres.slice(1).map((m, i) => m - metres[i]);
  near(rms(jumps), Math.sqrt(2 * 1 + 9 * (2 / 60)), {
    rel: 0.1,
    why: 'white part twice, wander moves by 2/60 of its variance a second',
  });
  assert.deepEqual([truth.conditions.course.latDeg, truth.conditions.course.lonDeg], [0.2, -30]);
});

test('altitude comes in steps of its resolution and drifts with the barometer', () => {
  const day = withSensors({ altitudeResolutionM: 0.2, altitudeDriftMPerHour: 3 });
  const rows = pairs(day, 'altitudeM');
  for (const { shown } of rows)
    near(shown / 0.2, Math.round(shown / 0.2), { abs: 1e-6, why: 'multiples of the step' });
  const last = rows[rows.length - 1];
  near(last.shown - last.real, (3 * last.dayTimeS) / 3600, { abs: 0.11, why: 'half a step' });
});

test('gusts have the strength and the time scale asked for, and the direction turns as far as asked', () => {
  const conditions = conditionsOf({
    wind: {
      speedMps: 4,
      fromDeg: 270,
      turningDeg: 30,
      directionWanderDeg: 0,
      gustIntensity: 0.2,
      lateralIntensity: 0.15,
      gustTimeScaleS: 20,
    },
  });
  const n = 200_000;
  // A very long day: the direction stays put while the gusts are counted.
  const wind = windOf(conditions, 1e12);
  const along: number[] = [];
  const across: number[] = [];
  for (let i = 0; i < n; i++) {
    wind.step(1);
    along.push(wind.eastMps); // from the west: blows to the east
    across.push(wind.northMps);
  }
  const mean = along.reduce((sum, v) => sum + v, 0) / n;
  near(mean, 4, { rel: 0.02, why: 'correlated series, 5,000 independent values' });
  near(rms(along.map((v) => v / mean - 1)), 0.2, { rel: 0.05, why: 'same' });
  near(rms(across) / 4, 0.15, { rel: 0.05, why: 'same' });
  let product = 0;
  for (let i = 20; i < n; i++) product += (along[i] - mean) * (along[i - 20] - mean);
  near(product / n / (0.2 * 4) ** 2, Math.exp(-1), {
    abs: 0.06,
    why: 'autocorrelation at the time scale is 1/e',
  });

  const steady = windOf(
    conditionsOf({
      wind: {
        speedMps: 3,
        turningDeg: 30,
        directionWanderDeg: 0,
        gustIntensity: 0,
        lateralIntensity: 0,
      },
    }),
    1000,
  );
  const bearing = () => Math.atan2(steady.eastMps, steady.northMps);
  const start = bearing();
  for (let i = 0; i < 1000; i++) steady.step(1);
  near(Math.cos(bearing() - start), Math.cos(Math.PI / 6), {
    abs: 1e-9,
    why: 'thirty degrees over the day, either way',
  });
});

test('mishaps are put where they are asked for: dropout, spike, gap, braking, sitting up', () => {
  const at = (kind: 'power-dropout' | 'power-spike' | 'gap' | 'braking' | 'sitting-up') =>
    simulateDay({
      ...base,
      sensors: perfect,
      incidents: [{ run: 1, lap: 2, atM: 800, kind, seconds: 12, toSpeedMps: 4 }],
    });
  const clean = truth.runs[0];
  const dropout = at('power-dropout').runs[0].channels.powerW;
  const zeroed = Array.from(dropout).filter((p, i) => p === 0 && clean.channels.powerW[i] > 20);
  assert.equal(zeroed.length, 12);
  const spike = at('power-spike').runs[0].channels.powerW;
  assert.equal(spike.filter((p) => p === 2000).length, 12);
  const gap = at('gap').runs[0];
  assert.equal(clean.timeS.length - gap.timeS.length, 12);
  assert.equal(gap.channels.powerW.length, gap.timeS.length);
  assert.equal(Math.max(...gap.timeS.slice(1).map((t, i) => t - gap.timeS[i])), 13);
  const braked = at('braking').runs[0];
  assert.ok(braked.truth.energy.brakeJ > 2000);
  assert.ok(Math.min(...braked.channels.speedMps.slice(60)) < 4.3);
  const upright = at('sitting-up').runs[0];
  assert.ok(upright.truth.energy.aeroJ !== clean.truth.energy.aeroJ);
  assert.ok(upright.truth.gateTimesS[2] > clean.truth.gateTimesS[2]);
});
