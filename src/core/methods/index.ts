export * from './field-drag/index.ts';
export * from './stiffness/index.ts';
export * from './tension/index.ts';
export * from './wheel/index.ts';
export * from './tyres/index.ts';
export * from './gears/index.ts';
export * from './descent/index.ts';
export * from './race/index.ts';
