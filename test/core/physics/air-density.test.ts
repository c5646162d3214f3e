import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  airDensityKgM3,
  airViscosityPaS,
  geopotentialHeightM,
  heightBetweenPressuresM,
  moistAir,
  standardAtmosphere,
} from '../../../src/core/physics/index.ts';
import { near } from '../../near.ts';

// Temperature °C, pressure Pa, relative humidity, density kg/m³. Published formula (Picard et al. 2008),
// numbers computed outside the project with NumPy (REFERENCES B, status PF).
const cipmTable: [number, number, number, number][] = [
  [20, 101325, 0.5, 1.19931],
  [20, 101325, 0, 1.20456],
  [15, 101325, 0, 1.22552],
  [0, 101325, 0, 1.29305],
  [25, 100000, 0.6, 1.16043],
  [10, 95000, 0.8, 1.16478],
  [30, 101325, 0.9, 1.14818],
  [35, 99000, 0.4, 1.10987],
];

/** OIML R 111 (2004), appendix E, simplified formula (from memory): a second formula for the same air. */
const oiml = (t: number, pHPa: number, h: number): number =>
  (0.34848 * pHPa - 0.009 * h * Math.exp(0.061 * t)) / (273.15 + t);

test('moist air density follows the CIPM-2007 check table', () => {
  for (const [temperatureC, p, h, expected] of cipmTable) {
    const rho = airDensityKgM3({
      temperatureC,
      pressureHPa: p / 100,
      relativeHumidityPercent: h * 100,
    });
    near(rho, expected, { abs: 1e-5, why: 'CIPM-2007, five decimals' });
  }
});

test('CIPM-2007 at 20 °C, 1013.25 hPa, 50 %: each step of the equation', () => {
  const air = moistAir({ temperatureC: 20, pressureHPa: 1013.25, relativeHumidityPercent: 50 });
  const why = 'REFERENCES B, digits as printed';
  near(air.compressibility, 0.999615, { abs: 1e-6, why });
  near(air.enhancementFactor, 1.00403, { abs: 1e-5, why });
  near(air.vapourMoleFraction, 0.0115893, { abs: 1e-7, why });
  near(air.saturationVapourPressurePa, 2339.16, { abs: 0.01, why });
});

test('two formulas for moist air, CIPM-2007 and OIML R 111, agree within 4 parts in 10 000', () => {
  for (const [t, p, h] of cipmTable) {
    const rho = airDensityKgM3({
      temperatureC: t,
      pressureHPa: p / 100,
      relativeHumidityPercent: h * 100,
    });
    near(rho, oiml(t, p / 100, h * 100), { rel: 4e-4, why: 'OIML accuracy 2e-4 in its own range' });
  }
});

test('damp air is lighter, warm air is lighter, high pressure is heavier', () => {
  const air = {
    temperatureC: fc.double({ min: -10, max: 40, noNaN: true }),
    pressureHPa: fc.double({ min: 700, max: 1050, noNaN: true }),
    relativeHumidityPercent: fc.double({ min: 0, max: 95, noNaN: true }),
  };
  fc.assert(
    fc.property(fc.record(air), (a) => {
      const rho = airDensityKgM3(a);
      const more = (change: Partial<typeof a>): number => airDensityKgM3({ ...a, ...change });
      assert.ok(more({ relativeHumidityPercent: a.relativeHumidityPercent + 5 }) < rho);
      assert.ok(more({ temperatureC: a.temperatureC + 1 }) < rho);
      assert.ok(more({ pressureHPa: a.pressureHPa + 1 }) > rho);
    }),
    { seed: 2007, numRuns: 100 },
  );
});

test('a pressure in pascal, a humidity of 150 % and a missing temperature are refused', () => {
  const good = { temperatureC: 15, pressureHPa: 1013, relativeHumidityPercent: 50 };
  assert.throws(() => airDensityKgM3({ ...good, pressureHPa: 101300 }), /air pressure 101300 hPa/);
  assert.throws(() => airDensityKgM3({ ...good, relativeHumidityPercent: 150 }), /humidity 150/);
  assert.throws(() => airDensityKgM3({ ...good, temperatureC: NaN }), RangeError);
});

test('standard atmosphere, ISO 2533: 1.225 kg/m³ at sea level, 1.1116, 1.0065, 0.9091 above', () => {
  near(standardAtmosphere(0).densityKgM3, 1.225, { abs: 5e-6, why: 'ISO 2533:1975' });
  near(
    [1000, 2000, 3000].map((h) => standardAtmosphere(h).densityKgM3),
    [1.1116, 1.0065, 0.9091],
    { abs: 6e-5, why: 'ISO 2533 table, geopotential, four decimals' },
  );
  near(
    [1000, 2000, 3000].map((h) => standardAtmosphere(h).pressurePa),
    [89874.6, 79495, 70109],
    { rel: 2e-4, why: 'ISO 2533, geopotential' },
  );
  near(
    [1000, 2000, 3000].map((h) => standardAtmosphere(geopotentialHeightM(h)).pressurePa),
    [89876, 79501, 70121],
    { rel: 2e-5, why: 'ISO 2533, geometric' },
  );
  assert.throws(() => standardAtmosphere(20000), RangeError);
});

test('dry CIPM air at 15 °C is 4 parts in 10 000 heavier than the ideal gas of ISO 2533', () => {
  const rho = airDensityKgM3({
    temperatureC: 15,
    pressureHPa: 1013.25,
    relativeHumidityPercent: 0,
  });
  near(rho / standardAtmosphere(0).densityKgM3, 1 + 4.2e-4, { abs: 3e-5, why: 'compressibility' });
});

test('one hectopascal near sea level is 8.33 m; viscosity is 1.7894e-5 Pa s at 15 °C', () => {
  near(heightBetweenPressuresM(1013.25, 1012.25, 288.15), 8.33, { abs: 0.02, why: 'hypsometric' });
  near(
    [273.15, 288.15, 300, 400].map(airViscosityPaS),
    [1.7161e-5, 1.7894e-5, 1.846e-5, 2.2853e-5],
    { abs: 1e-9, why: 'US Standard Atmosphere 1976' },
  );
});
