/** The wheel out of its sheet: stiffnesses, spokes, comparison term by term, rim fitted to the bench. */
export { estimateWheel } from './estimate.ts';
export type { WheelEvidence } from './estimate.ts';
export type * from './result.ts';
export { underBraking } from './model.ts';
