/** Whether the 95 % intervals hold, when everything that is not known is drawn by chance. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { bandOf, guessesOf } from '../../../../src/core/methods/descent/band.ts';
import { dragSteps } from '../../../../src/core/methods/descent/braking.ts';
import { convectionAt } from '../../../../src/core/methods/descent/convection-band.ts';
import { fitCoolDown } from '../../../../src/core/methods/descent/cool-down-fit.ts';
import { prepare, runDescent } from '../../../../src/core/methods/descent/heat.ts';
import { brakeAt, stepBrake, trackC } from '../../../../src/core/methods/descent/model.ts';
import { bodyOf } from '../../../../src/core/methods/descent/parts.ts';
import { guessOf, nothingMeasured } from '../../../../src/core/methods/descent/spread.ts';
import { airDensityKgM3, coolingAir } from '../../../../src/core/physics/index.ts';
import type { Interval } from '../../../../src/core/units/index.ts';
import { brake, gentle, kmh, slope } from './sheets.ts';

const sheet = {
  ...gentle,
  front: brake(160, 'steel', 'metal'),
  rear: brake(160, 'steel', 'metal'),
};
const density = airDensityKgM3({ ...sheet.air, relativeHumidityPercent: 50 });
const air = coolingAir(15, density);
const forces = { massKg: 80, cdaM2: 0.35, crr: 0.006, airDensityKgM3: density };
const bodies = { front: bodyOf(sheet.front), rear: bodyOf(sheet.rear) };
const steps = dragSteps(slope(1200, 0.08), kmh(25), forces);
const descent = prepare(steps, bodies, air, sheet);
const known = { weighed: false, heightDeviation: 0 };

/** Normal numbers of a seeded generator (Numerical Recipes' constants; Box and Muller). */
function chance(seed: number): () => number {
  let state = seed;
  const even = (): number => {
    state = (state * 1664525 + 1013904223) % 2 ** 32;
    return (state + 0.5) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(even())) * Math.cos(2 * Math.PI * even());
}

const holds = ([low, high]: Interval, value: number): boolean => value >= low && value <= high;

test('the interval of the peak holds 90 to 99 % of brakes drawn by chance', () => {
  const normal = chance(11);
  const { peakCi95 } = bandOf(
    descent,
    sheet,
    guessesOf({ knowledge: nothingMeasured, ...known }, 256),
  ).front;
  let held = 0;
  for (let i = 0; i < 200; i++) {
    const truth = guessOf(Array.from({ length: 9 }, normal), known);
    if (holds(peakCi95, runDescent(descent, truth).front.peakC)) held += 1;
  }
  // 200 draws at 95 %: two standard deviations are 3 points.
  assert.ok(held >= 180 && held <= 198, `${held} of 200`);
});

test('narrowed by a cool-down read to 5 K, it still holds, and so does the convection', () => {
  const normal = chance(7);
  const [timeS, trials] = [[0, 10, 20, 30, 40, 50, 60, 70, 80], 60];
  let [peaks, flows] = [0, 0];
  for (let i = 0; i < trials; i++) {
    const truth = guessOf(Array.from({ length: 9 }, normal), known);
    const share = 0.4 + 0.2 * normal();
    const state = brakeAt(bodies.front, truth, 15, {
      trackC: 260,
      carrierC: 15 + share * 245,
      padsC: 200,
      caliperC: 30,
    });
    const rotor = { ...bodies.front, wheelRadiusM: 0.34 };
    const forced = convectionAt(air, kmh(25), rotor, truth.convection);
    const temperatureC = timeS.map(() => {
      const read = trackC(state) + 5 * normal();
      for (let k = 0; k < 10; k++) stepBrake(state, 1, 0, forced);
      return read;
    });
    const fit = fitCoolDown(
      bodies.front,
      {
        brake: 'front',
        speedMps: kmh(25),
        airTemperatureC: 15,
        uncertaintyK: 5,
        timeS,
        temperatureC,
      },
      density,
      0.34,
    );
    if (holds(fit.convectionWPerM2K.ci95, forced)) flows += 1;
    const band = bandOf(descent, sheet, guessesOf({ knowledge: fit.knowledge, ...known }, 64));
    if (holds(band.front.peakCi95, runDescent(descent, truth).front.peakC)) peaks += 1;
  }
  // 60 trials at 95 %: 57, with a standard deviation of 1.7.
  assert.ok(peaks >= 53, `${peaks} of ${trials} peaks`);
  assert.ok(flows >= 53, `${flows} of ${trials} convections`);
});
