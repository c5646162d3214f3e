/** Field drag: from the recordings of a test day to drag areas, differences and their intervals. */
export { estimateFieldDrag } from './estimate.ts';
export * from './result.ts';
