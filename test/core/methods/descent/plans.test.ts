/** Dragging, pulsing and rides: what is left for the brakes. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { brakePower, dragSteps, roadEnergy } from '../../../../src/core/methods/descent/braking.ts';
import {
  cycleStart,
  PulseTooLong,
  pulseSteps,
} from '../../../../src/core/methods/descent/pulse.ts';
import { rideSteps } from '../../../../src/core/methods/descent/ride.ts';
import { guessOf, unknowns } from '../../../../src/core/methods/descent/spread.ts';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { near } from '../../../near.ts';
import { estimate, gentle, kmh, slope, steep } from './sheets.ts';

const forces = { massKg: 85, cdaM2: 0.35, crr: 0.005, airDensityKgM3: 1.2 };
const sure = guessOf(
  unknowns.map(() => 0),
  { weighed: true, heightDeviation: 0 },
);
const g = 9.80665;

test('the brakes have most to do at 58 % of the speed at which the road holds itself', () => {
  // P = m·g·s·v − k·v³ is greatest at v = v_T/√3; v_T = 19.37 m/s in the table of reference values.
  const power = (speed: number): number =>
    brakePower(dragSteps(slope(1000, 0.1), speed, forces), sure)[0];
  assert.equal(power(19.4), 0);
  assert.ok(power(19.3) > 0);
  const best = 19.37 / Math.sqrt(3);
  assert.ok(power(best) > power(0.95 * best) && power(best) > power(1.05 * best));
});

test('pulses keep the mean speed of the drag and its height: braked within the air’s difference', () => {
  const pulse = { speedMps: kmh(25), onS: 4, offS: 4 };
  const legs = slope(3000, 0.1);
  const { steps, startMps, endMps, lengthM } = pulseSteps(legs, pulse, forces);
  const seconds = steps.dtS.reduce((sum, one) => sum + one, 0);
  near(lengthM / seconds, kmh(25), { rel: 0.01, why: 'the last cycle is cut off at the foot' });
  const heightJ = (forces.massKg * g * lengthM * 0.1) / Math.hypot(1, 0.1);
  const motionJ = 0.5 * forces.massKg * (startMps ** 2 - endMps ** 2);
  const road = roadEnergy(steps, brakePower(steps, sure), { heightJ, motionJ });
  near(road.airJ + road.rollingJ + road.brakedJ - road.pedalledJ, heightJ + motionJ, {
    rel: 1e-3,
    why: 'energy to 0.1 %',
  });
  assert.ok(road.pedalledJ < 1e-3 * heightJ, 'nobody pedals down 10 %');
  assert.ok(Math.max(...steps.speedMps) > kmh(28));
});

test('a cycle begins slower the longer the brakes are off; on 25 % eight seconds off cannot be held', () => {
  const start = (offS: number): number =>
    cycleStart(forces, 0.1, { speedMps: kmh(25), onS: 4, offS });
  assert.ok(start(2) > start(4) && start(4) > start(6));
  assert.throws(
    () => cycleStart(forces, 0.25, { speedMps: kmh(25), onS: 2, offS: 8 }),
    PulseTooLong,
  );
});

test('pulses that cannot keep the speed are refused with the field and what to do', () => {
  const plan = { kind: 'pulse', speedMps: kmh(25), onS: 2, offS: 8 } as const;
  assert.throws(
    () => estimate({ ...steep, plan }, slope(1500, 0.25)),
    (error: unknown) =>
      error instanceof LapbenchError &&
      error.problems[0].code === 'sheet-field' &&
      error.problems[0].place?.field === 'speed.offSeconds' &&
      /Shorten offSeconds/.test(error.problems[0].remedy ?? ''),
  );
});

test('pulses that would tip the bicycle over are said', () => {
  const plan = { kind: 'pulse', speedMps: kmh(25), onS: 1, offS: 4 } as const;
  const { warnings } = estimate({ ...steep, plan }, slope(1500, 0.25));
  assert.match(warnings.map((one) => one.message).join(' '), /times gravity/);
});

test('dragging and pulsing stand side by side, at one mean speed', () => {
  const { dragAndPulse } = estimate(steep, slope(1500, 0.25));
  assert.ok(dragAndPulse);
  const { drag, pulse } = dragAndPulse;
  near(pulse.frontPeakC, drag.frontPeakC, { rel: 0.25, why: 'the height is the same' });
  assert.ok(pulse.fastestKmh > 25);
});

test('roads of any slope and pulses of any length close their energy to 0.1 %', () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          lengthM: fc.double({ min: 50, max: 600, noNaN: true }),
          gradient: fc.double({ min: -0.03, max: 0.2, noNaN: true }),
        }),
        { minLength: 1, maxLength: 6 },
      ),
      fc.double({ min: 0.5, max: 3, noNaN: true }),
      (legs, seconds) => {
        const { steps, startMps, endMps } = pulseSteps(
          legs,
          { speedMps: kmh(25), onS: seconds, offS: seconds },
          forces,
        );
        const powerW = brakePower(steps, sure);
        const heightJ = steps.heightW.reduce((sum, one, i) => sum + one * steps.dtS[i], 0);
        const motionJ = 0.5 * forces.massKg * (startMps ** 2 - endMps ** 2);
        const { pedalledJ, airJ, rollingJ, brakedJ } = roadEnergy(steps, powerW, {
          heightJ,
          motionJ,
        });
        const given = Math.abs(heightJ) + Math.abs(motionJ) + pedalledJ;
        near(airJ + rollingJ + brakedJ, heightJ + motionJ + pedalledJ, {
          abs: 1e-3 * given,
          why: '0.1 % of what was given',
        });
      },
    ),
    { seed: 5, numRuns: 60 },
  );
});

test('a stop on the way is braked to a standstill: 85 kg from 15 m/s are 9562 J', () => {
  const [plain, rested] = [[], [{ afterM: 500, seconds: 60 }]].map((rests) => {
    const steps = dragSteps(slope(1000, 0.1), 15, forces, rests);
    const powerW = brakePower(steps, sure);
    return {
      seconds: steps.dtS.reduce((sum, one) => sum + one, 0),
      joules: powerW.reduce((sum, one, i) => sum + one * steps.dtS[i], 0),
    };
  });
  near(rested.joules - plain.joules, 9562, { abs: 1, why: 'table of reference values, ½·m·v²' });
  near(rested.seconds - plain.seconds, 63, { abs: 1e-6, why: '60 s of rest and 3 s to stop' });
});

test('a ride that rolls freely leaves nothing for the brakes; one that is held leaves what a drag does', () => {
  const n = 121;
  const sine = 0.1 / Math.hypot(1, 0.1);
  const speeds = [10];
  for (let i = 1; i < n; i++) {
    const v = speeds[i - 1];
    const pull = g * sine - 0.005 * g - (0.5 * 1.2 * 0.35 * v * v) / 85;
    speeds.push(v + pull);
  }
  const timeS = speeds.map((_, i) => i);
  const rolling = rideSteps(
    { timeS, speedMps: speeds, sinkMps: speeds.map((v) => v * sine), powerW: null },
    forces,
  );
  const most = Math.max(...brakePower(rolling, sure));
  assert.ok(most < 60, `${most} W of 600: Euler’s steps of a second`);
  const held = rideSteps(
    { timeS, speedMps: speeds.map(() => 10), sinkMps: speeds.map(() => 10 * sine), powerW: null },
    forces,
  );
  near(brakePower(held, sure)[50], 578, { abs: 1, why: 'table of reference values' });
});

test('a speed that the road does not reach is said: the brakes do nothing', () => {
  const { warnings, verdict } = estimate(
    { ...gentle, plan: { kind: 'drag', speedMps: kmh(60) } },
    slope(1000, 0.02),
  );
  assert.match(warnings[0].message, /nothing is left for the brakes/);
  assert.equal(verdict, 'within');
});
