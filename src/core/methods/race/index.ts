/** A race ahead: times of setups on a course, their differences, and the plan of power that loses least. */
export { estimateRace } from './estimate.ts';
export { covarianceOf, sdOf } from './covariance.ts';
export type * from './evidence.ts';
export type { Bike, Rider, YawTable } from './model.ts';
export type { Conditions, Surface } from './road.ts';
export type * from './result.ts';
