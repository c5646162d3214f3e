/** What made the noise under braking: spokes, the brake unit, something that turns, or none of these. */
export { estimateBrakeNoise } from './estimate.ts';
export type { BrakeNoiseEvidence } from './estimate.ts';
export type { PluckSession } from './plucks.ts';
export { curveTorquesNm } from './model.ts';
export type * from './result.ts';
