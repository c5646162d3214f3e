/** Heat of both brakes on a descent, as a band against their limits. */
export { estimateDescent } from './estimate.ts';
export type { DescentEvidence } from './estimate.ts';
export type { DescentVerdict, JudgedLimit } from './limits.ts';
export type * from './result.ts';
