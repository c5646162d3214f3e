export * from './convert.ts';
export * from './problem.ts';
