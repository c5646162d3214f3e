/** Invented descents for the tests. */
import type { Descent, DescentBrake, DescentLeg } from '../../../../src/core/evidence/index.ts';
import { estimateDescent, type DescentFinding } from '../../../../src/core/methods/index.ts';

export const brake = (
  rotorMm: DescentBrake['rotorMm'],
  build: DescentBrake['build'],
  pads: DescentBrake['pads'],
): DescentBrake => ({
  rotorMm,
  build,
  pads,
  trackWidthM: null,
  trackThicknessM: null,
  trackMassKg: null,
  carrierMassKg: null,
  padDepthM: null,
});

export const kmh = (value: number): number => value / 3.6;

/** The sheet of the issue: 1500 m of 25 % at 25 km/h, layered rotors of 160 mm, resin pads. */
export const steep: Descent = {
  title: null,
  invented: true,
  course: { kind: 'slope', lengthM: 1500, gradient: 0.25 },
  massKg: 92,
  plan: { kind: 'drag', speedMps: kmh(25) },
  frontShare: 0.7,
  front: brake(160, 'layered', 'resin'),
  rear: brake(160, 'layered', 'resin'),
  fluid: 'dot4',
  air: { temperatureC: 15, pressureHPa: 1000 },
  cdaM2: 0.35,
  crr: 0.006,
  wheelRadiusM: 0.34,
  coolDown: null,
  between: { minutes: null, speedMps: kmh(10) },
};

/** A gentle one on large steel rotors. */
export const gentle: Descent = {
  ...steep,
  massKg: 80,
  plan: { kind: 'drag', speedMps: kmh(30) },
  frontShare: 0.6,
  front: brake(180, 'steel', 'metal'),
  rear: brake(180, 'steel', 'metal'),
};

export const slope = (lengthM: number, gradient: number): DescentLeg[] => [{ lengthM, gradient }];

export const estimate = (sheet: Descent, legs: DescentLeg[], heightDeviation = 0): DescentFinding =>
  estimateDescent({ sheet, legs, ride: null, heightDeviation, warnings: [], inputs: [] });
