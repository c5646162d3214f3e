export * from './field-drag/index.ts';
