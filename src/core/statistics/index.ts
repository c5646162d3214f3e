export * from './distributions.ts';
export * from './dunnett.ts';
export * from './linear-algebra.ts';
export * from './restricted-likelihood.ts';
export * from './mixed-model.ts';
