import { test } from 'node:test';
import { near } from '../near.ts';
import { forcesAt, stepSpeed } from '../../src/simulation/motion.ts';
import { moistAirDensityKgM3 } from '../../src/simulation/weather.ts';

const calm = { headwindMps: 0, crosswindMps: 0 };

test('flat, still air, 40 km/h, CdA 0.30, Crr 0.004, 85 kg: 252.06 W air, 37.05 W rolling, 2.085 W bearings', () => {
  // Martin et al. 1998, the model's formula; values computed apart with NumPy (REFERENCES A).
  const v = 40 / 3.6;
  const machine = { massKg: 85, effectiveMassKg: 85, crr: 0.004, bearingLosses: true };
  const f = forcesAt(v, machine, { ...calm, halfRhoCda: 0.5 * 1.225 * 0.3, slope: 0 });
  near(f.aeroN * v, 252.06, { abs: 0.01, why: 'printed to 0.01 W' });
  near(f.rollingN * v, 37.05, { abs: 0.01, why: 'printed to 0.01 W' });
  near(f.bearingN * v, 2.085, { abs: 0.001, why: 'printed to 0.001 W' });
});

test('worked example of the published road model: 158.8 W air, 23.6 W rolling, 1.4 W bearings, 22.1 W grade', () => {
  // Martin et al. 1998, appendix, from memory; the wheels' own 0.0044 m² is part of the drag area here.
  const v = 8.36;
  const machine = { massKg: 90, effectiveMassKg: 90, crr: 0.0032, bearingLosses: true };
  const around = {
    halfRhoCda: 0.5 * 1.2234 * (0.2565 + 0.0044),
    slope: Math.sin(Math.atan(0.003)),
    headwindMps: 10.91 - v,
    crosswindMps: 0,
  };
  const f = forcesAt(v, machine, around);
  near(f.aeroN * v, 158.8, { abs: 0.1, why: 'printed to 0.1 W' });
  near(f.rollingN * v, 23.6, { abs: 0.1, why: 'printed to 0.1 W' });
  near(f.bearingN * v, 1.4, { abs: 0.1, why: 'printed to 0.1 W' });
  near(f.gradeN * v, 22.1, { abs: 0.1, why: 'printed to 0.1 W' });
});

test('riding 12.5 m/s in a wind of 2.5 m/s 45 degrees off the nose: drag acts at an air speed of 14.377 m/s', () => {
  // Vectors (REFERENCES A): 14.377 m/s at 7.063 degrees; the part along the bike is |V| cos(yaw).
  const part = 2.5 * Math.SQRT1_2;
  const machine = { massKg: 85, effectiveMassKg: 85, crr: 0, bearingLosses: false };
  const f = forcesAt(12.5, machine, {
    halfRhoCda: 1,
    slope: 0,
    headwindMps: part,
    crosswindMps: part,
  });
  near(f.aeroN, 14.377 * 14.377 * Math.cos((7.063 * Math.PI) / 180), {
    rel: 2e-4,
    why: 'speed printed to 0.001 m/s',
  });
});

test('a tailwind faster than the bike pushes it', () => {
  const machine = { massKg: 85, effectiveMassKg: 85, crr: 0, bearingLosses: false };
  const f = forcesAt(3, machine, { halfRhoCda: 1, slope: 0, headwindMps: -5, crosswindMps: 0 });
  near(f.aeroN, -4, { abs: 1e-12, why: 'exact: -2 m/s squared, sign kept' });
});

test('85 kg down 10 %, CdA 0.35, Crr 0.005, density 1.2: terminal speed 19.37 m/s', () => {
  // Balance of grade, rolling and drag (REFERENCES E: 19.37 ± 0.02 m/s).
  const machine = { massKg: 85, effectiveMassKg: 86.2, crr: 0.005, bearingLosses: false };
  const around = { ...calm, halfRhoCda: 0.5 * 1.2 * 0.35, slope: -Math.sin(Math.atan(0.1)) };
  let v = 5;
  for (let i = 0; i < 3000; i++) v = stepSpeed(v, 0.1, 0, machine, around);
  near(v, 19.37, { abs: 0.02, why: 'as tabulated' });
});

test('coasting down on the flat follows the arctangent law of coast-down tests', () => {
  // m dv/dt = -(c + k v²) has v(t) = sqrt(c/k) tan(atan(v0 sqrt(k/c)) - t sqrt(c k)/m): White and Korst
  // 1972 (SAE 720099), from memory; checked by putting it back into the equation.
  const machine = { massKg: 83, effectiveMassKg: 84.24, crr: 0.0045, bearingLosses: false };
  const k = 0.5 * 1.2 * 0.24;
  const c = 0.0045 * 83 * 9.80665;
  const law = (t: number) =>
    Math.sqrt(c / k) * Math.tan(Math.atan(12 * Math.sqrt(k / c)) - (t * Math.sqrt(c * k)) / 84.24);
  let v = 12;
  const dt = 0.1;
  for (let i = 1; i <= 900; i++) {
    v = stepSpeed(v, dt, 0, machine, { ...calm, halfRhoCda: k, slope: 0 });
    if (i % 150 === 0)
      near(v, law(i * dt), { abs: 1e-5, why: 'second-order step of 0.1 s: error about 1e-6' });
  }
});

test('halving the step quarters the error: the integration is of second order', () => {
  const machine = { massKg: 83, effectiveMassKg: 84.24, crr: 0.0045, bearingLosses: true };
  const at = (dt: number) => {
    let v = 15;
    for (let i = 0; i < Math.round(20 / dt); i++)
      v = stepSpeed(v, dt, 10, machine, { ...calm, halfRhoCda: 0.4, slope: 0 });
    return v;
  };
  const exact = at(1 / 256);
  near((at(1) - exact) / (at(0.5) - exact), 4, {
    rel: 0.15,
    why: 'leading term of the error only',
  });
});

test('air density agrees with CIPM-2007 to a tenth of a percent though its formula is another', () => {
  // Picard et al. 2008, values computed from the published equation (REFERENCES B).
  const table: [celsius: number, pa: number, humidity: number, density: number][] = [
    [20, 101325, 0.5, 1.19931],
    [15, 101325, 0, 1.22552],
    [0, 101325, 0, 1.29305],
    [25, 100000, 0.6, 1.16043],
    [10, 95000, 0.8, 1.16478],
    [30, 101325, 0.9, 1.14818],
  ];
  for (const [celsius, pa, humidity, density] of table) {
    near(moistAirDensityKgM3(celsius, pa / 100, 100 * humidity), density, {
      rel: 1e-3,
      why: 'ideal gas leaves out compressibility, 4e-4',
    });
  }
});
