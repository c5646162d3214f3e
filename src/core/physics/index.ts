export * from './air-density.ts';
export * from './standard-atmosphere.ts';
export * from './apparent-wind.ts';
export * from './road-load.ts';
export * from './drag-area.ts';
