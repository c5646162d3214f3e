/** Gears: ratios, developments, speeds and steps exactly; climbs by the road load. */
export { estimateGears } from './estimate.ts';
export type { GearsEvidence } from './estimate.ts';
export { steepestStretches } from './steepest.ts';
export type { Ratio } from './ratio.ts';
export type * from './result.ts';
