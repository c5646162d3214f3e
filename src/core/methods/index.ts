export * from './brake-noise/index.ts';
export * from './field-drag/index.ts';
export * from './stiffness/index.ts';
export * from './tension/index.ts';
export * from './wheel/index.ts';
