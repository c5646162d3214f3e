export * from './bench-readings.ts';
export * from './column-map.ts';
export * from './recording.ts';
export * from './day.ts';
export * from './wheel.ts';
export * from './sound.ts';
