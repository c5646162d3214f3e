/** A measured cool-down narrows the band, and finds the convection that made it. */
import assert from 'node:assert/strict';
import test from 'node:test';
import type { Descent, MeasuredCoolDown } from '../../../../src/core/evidence/index.ts';
import { middle95 } from '../../../../src/core/methods/descent/band.ts';
import { convectionAt } from '../../../../src/core/methods/descent/convection-band.ts';
import { fitCoolDown } from '../../../../src/core/methods/descent/cool-down-fit.ts';
import { brakeAt, stepBrake, trackC } from '../../../../src/core/methods/descent/model.ts';
import { bodyOf } from '../../../../src/core/methods/descent/parts.ts';
import { placesOf, nothingMeasured } from '../../../../src/core/methods/descent/spread.ts';
import { airDensityKgM3, coolingAir } from '../../../../src/core/physics/index.ts';
import { near } from '../../../near.ts';
import { brake, estimate, kmh, slope, steep } from './sheets.ts';

const sheet: Descent = {
  ...steep,
  massKg: 88,
  frontShare: 0.6,
  front: brake(160, 'steel', 'metal'),
  rear: brake(160, 'steel', 'metal'),
};
const density = airDensityKgM3({ ...sheet.air, relativeHumidityPercent: 50 });
const air = coolingAir(15, density);

/** Readings of a brake whose convection lies at a place of the band, and how they would be read. */
function readings(place: number, jitter: (i: number) => number = () => 0): MeasuredCoolDown {
  const body = bodyOf(sheet.front);
  const guess = { emissivity: 0.5, massFactor: 1, padFactor: 1, carrierFactor: 1 };
  const state = brakeAt(body, guess, 15, { trackC: 250, carrierC: 109, padsC: 200, caliperC: 30 });
  const forced = convectionAt(air, kmh(25), { ...body, wheelRadiusM: 0.34 }, place);
  const timeS: number[] = [];
  const temperatureC: number[] = [];
  for (let time = 0; time <= 90; time += 10) {
    timeS.push(time);
    temperatureC.push(trackC(state) + jitter(time));
    for (let k = 0; k < 10; k++) stepBrake(state, 1, 0, forced);
  }
  return {
    brake: 'front',
    speedMps: kmh(25),
    airTemperatureC: 15,
    uncertaintyK: 3,
    timeS,
    temperatureC,
  };
}

test('the convection that cooled the brake is found again, from both ends of the band', () => {
  const rotor = { ...bodyOf(sheet.front), wheelRadiusM: 0.34 };
  for (const place of [-1, 0, 1.3]) {
    const { convectionWPerM2K } = fitCoolDown(bodyOf(sheet.front), readings(place), density, 0.34);
    const truth = convectionAt(air, kmh(25), rotor, place);
    const { centre, ci95 } = convectionWPerM2K;
    assert.ok(ci95[0] < truth && truth < ci95[1], `${truth} in ${ci95}`);
    near(centre, truth, {
      rel: 0.15,
      why: 'mass and emissivity are not known to better than that',
    });
    assert.ok(ci95[1] / ci95[0] < 2.2, 'of a factor of eight, two is left');
  }
});

test('a measured cool-down narrows the interval of the peak to less than half', () => {
  const width = (one: Descent): number => {
    const { peakCi95 } = estimate(one, slope(1500, 0.08)).front;
    return peakCi95[1] - peakCi95[0];
  };
  const [without, measured] = [width(sheet), width({ ...sheet, coolDown: readings(0) })];
  assert.ok(measured < 0.5 * without, `${measured.toFixed(0)} of ${without.toFixed(0)} K`);
});

test('a brake that cools fast runs cooler than one that cools slowly', () => {
  const peak = (place: number): number =>
    estimate({ ...sheet, coolDown: readings(place) }, slope(1500, 0.08)).front.peakC;
  assert.ok(peak(1) < peak(-1) - 30);
});

test('readings that no cooling makes are said, and widen the interval again', () => {
  const wild = readings(0, (time) => (time === 0 ? 0 : time % 20 === 0 ? 40 : -40));
  const { warnings, coolDownFit } = estimate({ ...sheet, coolDown: wild }, slope(3000, 0.08));
  assert.equal(warnings[0].code, 'readings-contradict');
  const calm = fitCoolDown(bodyOf(sheet.front), readings(0), density, 0.34).convectionWPerM2K;
  const [low, high] = coolDownFit?.convectionCi95 ?? [0, 0];
  assert.ok(high / low > calm.ci95[1] / calm.ci95[0]);
});

test('a cool-down while standing is said to tell next to nothing, and leaves the band wide', () => {
  const still = { ...readings(0), speedMps: 0 };
  const { warnings, front } = estimate({ ...sheet, coolDown: still }, slope(1000, 0.08));
  assert.match(warnings.map((one) => one.message).join(' '), /while standing/);
  assert.ok(front.peakCi95[1] > 1.4 * front.peakCi95[0]);
});

test('the places of the unknowns are standard normal: mean 0, deviation 1, 95 % within 1.96', () => {
  const places = placesOf(nothingMeasured, 320);
  for (let k = 0; k < places[0].length; k++) {
    const column = places.map((z) => z[k]);
    const mean = column.reduce((sum, one) => sum + one, 0) / column.length;
    const variance = column.reduce((sum, one) => sum + (one - mean) ** 2, 0) / column.length;
    near(mean, 0, { abs: 0.05, why: 'low-discrepancy points' });
    near(variance, 1, { abs: 0.1, why: 'low-discrepancy points' });
    const [low, high] = middle95(column);
    near([low, high], [-1.96, 1.96], { abs: 0.15, why: '320 points' });
  }
});

test('no two unknowns run together in the places that are tried', () => {
  const places = placesOf(nothingMeasured, 320);
  for (let a = 0; a < 9; a++)
    for (let b = 0; b < a; b++) {
      const together = places.reduce((sum, z) => sum + z[a] * z[b], 0) / places.length;
      near(together, 0, { abs: 0.12, why: 'correlation of 320 Halton points in primes to 23' });
    }
});
