export * from './recording.ts';
export * from './day.ts';
