/** Heat: published formulas at published points. */
import assert from 'node:assert/strict';
import test from 'node:test';
import {
  airConductivity,
  airDensityKgM3,
  aluminiumEnthalpy,
  carbonSteelConductivity,
  chromiumSteelConductivity,
  coolingAir,
  effusivity,
  flatPlate,
  padShare,
  radiatedPerArea,
  steelEnthalpy,
  steelSpecificHeat,
  surfaceRise,
  turningDisc,
  uprightPlate,
  vehicleRotor,
} from '../../../src/core/physics/index.ts';
import { near } from '../../near.ts';

/** The air of the reference table: 20 °C, k 0.0257, ν 1.506e-5, Pr 0.713. */
const air = { conductivity: 0.0257, viscosityM2S: 1.506e-5, prandtl: 0.713, temperatureC: 20 };

test('a rotor of 160 mm at 10 m/s: 12.9, 31.1 and 65.4 W/(m² K), a factor of five', () => {
  const why = 'the table of reference values, computed there with NumPy from the same formulas';
  near(turningDisc(air, 10 / 0.34, 0.08), 12.9, { rel: 0.01, why });
  near(flatPlate(air, 10, 0.16), 31.1, { rel: 0.01, why });
  near(vehicleRotor(air, 10, 0.16), 65.4, { rel: 0.01, why });
  near(vehicleRotor(air, 15, 0.16), 81.8, { rel: 0.01, why });
});

test('the vehicle rotor’s two lines do not meet: 637 and 806 in Nusselt number at Re 2.4e5', () => {
  const speed = (2.4e5 * air.viscosityM2S) / 0.203;
  const nusselt = (h: number): number => (h * 0.203) / air.conductivity;
  near(nusselt(vehicleRotor(air, speed * (1 - 1e-9), 0.203)), 637, { rel: 0.002, why: 'Limpert' });
  near(nusselt(vehicleRotor(air, speed * (1 + 1e-9), 0.203)), 806, { rel: 0.002, why: 'Limpert' });
});

test('air at 20 °C conducts 0.0257 W/(m K), its Prandtl number is 0.71; at 300 °C it conducts 0.0451', () => {
  near(airConductivity(293.15), 0.0257, {
    rel: 0.005,
    why: 'handbook tables, as in the reference',
  });
  near(airConductivity(573.15), 0.0451, { rel: 0.02, why: 'handbook tables, from memory' });
  const made = coolingAir(
    20,
    airDensityKgM3({ temperatureC: 20, pressureHPa: 1013.25, relativeHumidityPercent: 0 }),
  );
  near(made.viscosityM2S, 1.506e-5, { rel: 0.005, why: 'reference table' });
  near(made.prandtl, 0.713, { rel: 0.01, why: 'reference table' });
});

test('with the air of the film instead of the air around, the plate’s value moves by under a tenth', () => {
  const at = (celsius: number): number =>
    flatPlate(coolingAir(celsius, (1.2041 * 293.15) / (celsius + 273.15)), 10, 0.16);
  near(at(210), at(20), { rel: 0.1, why: 'a rotor at 400 °C: the method takes the air around' });
});

test('steel by EN 1993-1-2: 440, 565, 760, 5000 and 650 J/(kg K) at 20, 300, 600, 735 and 1000 °C', () => {
  const why = 'equations 3.2a to 3.2d of EN 1993-1-2:2005 worked out by hand, rounded to 1';
  for (const [celsius, expected] of [
    [20, 440],
    [200, 530],
    [300, 565],
    [600, 760],
    [735, 5000],
    [1000, 650],
  ]) {
    near(steelSpecificHeat(celsius), expected, { abs: 0.6, why });
  }
  near(carbonSteelConductivity(20), 53.3, { abs: 0.05, why: 'EN 1993-1-2, 3.4.1.3' });
  near(carbonSteelConductivity(900), 27.3, { abs: 1e-9, why: 'EN 1993-1-2, 3.4.1.3' });
});

test('between 0 and 100 °C the curve takes the 460 J/(kg K) of a rotor steel’s data sheet', () => {
  near((steelEnthalpy(100) - steelEnthalpy(0)) / 100, 460, { rel: 0.01, why: 'AISI 410, ASM' });
  near(chromiumSteelConductivity(100), 24.9, { abs: 1e-9, why: 'AISI 410, ASM' });
  near(chromiumSteelConductivity(500), 28.7, { abs: 1e-9, why: 'AISI 410, ASM' });
});

test('heat content of steel is the integral of its specific heat, through every branch', () => {
  for (const [from, to] of [
    [0, 500],
    [590, 610],
    [700, 736],
    [733, 800],
    [880, 1100],
  ]) {
    const n = 20_000;
    let sum = 0;
    for (let i = 0; i < n; i++) sum += steelSpecificHeat(from + ((i + 0.5) * (to - from)) / n);
    near(steelEnthalpy(to) - steelEnthalpy(from), (sum * (to - from)) / n, {
      rel: 1e-5,
      why: 'midpoint rule with 20,000 steps',
    });
  }
});

test('melting a kilogram of aluminium from 20 °C takes about 1.08 MJ', () => {
  near(aluminiumEnthalpy(660.33) - aluminiumEnthalpy(20), 1.06e6, {
    rel: 0.04,
    why: 'handbook tables of enthalpy, 1.05 to 1.08 MJ/kg, from memory',
  });
  for (const at of [582, 660.323])
    near(aluminiumEnthalpy(at + 1e-6), aluminiumEnthalpy(at - 1e-6), {
      abs: 0.02,
      why: 'no jump where melting begins or ends',
    });
});

test('a black body at 100 °C among bodies at 0 °C radiates 783.7 W/m²; alike, nothing', () => {
  near(radiatedPerArea(1, 100, 0), 783.7, { abs: 0.1, why: 'σ·(373.15⁴ − 273.15⁴) by hand' });
  assert.equal(radiatedPerArea(0.5, 37, 37), 0);
});

test('under 1 MW/m² for a second the surface of steel rises by 119.5 K', () => {
  near(surfaceRise(1e6, 1, effusivity(25, 7750, 460)), 119.5, {
    abs: 0.1,
    why: 'reference table: 2·q·√(t/(π·k·ρ·c))',
  });
});

test('two like bodies share the heat of friction evenly; a resin pad takes a few per cent', () => {
  const steel = { effusivity: effusivity(25, 7750, 460), areaM2: 0.009 };
  near(padShare(steel, steel), 0.5, { abs: 1e-12, why: 'symmetry' });
  const share = padShare({ effusivity: effusivity(1, 2000, 1000), areaM2: 7e-4 }, steel);
  assert.ok(share > 0.005 && share < 0.05, `${share}`);
});

test('a hot plate in still air is cooled by 5 to 10 W/(m² K)', () => {
  const h = uprightPlate(200, 0.16);
  assert.ok(h > 5 && h < 10, `${h}: usual range of free convection in air, handbooks`);
});
