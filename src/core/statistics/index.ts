export * from './distributions.ts';
export * from './dunnett.ts';
