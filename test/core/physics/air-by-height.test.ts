/** Air at another height, against the standard atmosphere. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { airAtRise, airDensityKgM3 } from '../../../src/core/physics/index.ts';
import { near } from '../../near.ts';

const seaLevel = { temperatureC: 15, pressureHPa: 1013.25, relativeHumidityPercent: 0 };

test('ISO 2533:1975 pressures at 1000, 2000 and 3000 m: 898.746, 794.950, 701.085 hPa', () => {
  const found = [1000, 2000, 3000].map((rise) => airAtRise(seaLevel, rise).pressureHPa);
  near(found, [898.746, 794.95, 701.085], {
    rel: 2e-5,
    why: 'printed digits, geopotential height',
  });
});

test('ISO 2533:1975 densities at 1000 and 2000 m: 1.1116 and 1.0065 kg/m³, real gas within 5 in 10,000', () => {
  const found = [1000, 2000].map((rise) => airDensityKgM3(airAtRise(seaLevel, rise)));
  near(found, [1.1116, 1.0065], {
    rel: 6e-4,
    why: 'CIPM-2007 counts compressibility, ISO does not',
  });
});

test('up and down again is the same air; heights beyond bicycles are refused', () => {
  const up = airAtRise(seaLevel, 800);
  near(airAtRise(up, -800).pressureHPa, 1013.25, { rel: 1e-12, why: 'inverse' });
  assert.throws(() => airAtRise(seaLevel, 9000), RangeError);
});
