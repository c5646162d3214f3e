export * from './convert.ts';
export * from './interval.ts';
export * from './problem.ts';
