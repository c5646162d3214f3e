/** Stiffness on the bench: from load and dial to N/mm, with the slop apart from it. */
export { estimateStiffness } from './estimate.ts';
export type { StiffnessEvidence } from './estimate.ts';
export type { LoadUnit } from './plausible.ts';
export type * from './result.ts';
