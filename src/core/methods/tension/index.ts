/** Spoke tension: from readings, a gauge or the pitch of plucked spokes to tensions and what to turn. */
export { estimateTension } from './estimate.ts';
export type { TensionEvidence } from './estimate.ts';
export type { KnownSpoke } from './pitch.ts';
export type { TensionUnit } from './plausible.ts';
export { turnsInWords } from './balance.ts';
export type * from './result.ts';
