/** Tyre pressures from load, width and surface, under hard limits; drop, stiffness, and fit on the rim. */
export { estimateTyres } from './estimate.ts';
export type { TyresEvidence } from './estimate.ts';
export type { FitRule, FitVerdict } from './fit.ts';
export type { LimitOf } from './limits.ts';
export type * from './result.ts';
