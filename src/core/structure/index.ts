export * from './mechanics.ts';
export * from './load.ts';
export * from './influence.ts';
export * from './collapse.ts';
export { sideOrder } from './spokes.ts';
export type { SpokeRole } from './spokes.ts';
export type { ModelOptions } from './model.ts';
export type { HubReaction } from './hub.ts';
