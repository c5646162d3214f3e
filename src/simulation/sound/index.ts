export { simulateNoiseRide } from './ride.ts';
export type { HeardPart, NoiseRide, NoiseTruth, TrueTone } from './ride.ts';
export { simulatePlucks } from './plucks.ts';
export type { PluckConditions, SimulatedPlucks } from './plucks.ts';
export { simulateWheel, spokeHz, tensionUnder } from './wheel.ts';
export type { SimulatedSpoke, SimulatedWheel, WheelInput } from './wheel.ts';
export { simulatedWheelSheet } from './wheel-sheet.ts';
export { wireHz } from './spoke-pitch.ts';
export type { Wire } from './spoke-pitch.ts';
export { criticalBandHz } from './filters.ts';
export type {
  NoiseCause,
  NoiseConditions,
  NoiseConditionsInput,
  TurningPart,
} from './conditions.ts';
export { drawNoiseRide, drawnCauses, drawWheel } from './draw.ts';
export type { DrawnRide, DrawOptions } from './draw.ts';
export { noiseDemo, rideCsv } from './demo.ts';
export type { NoiseDemo } from './demo.ts';
