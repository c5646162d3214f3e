export { readRecording } from './read-recording.ts';
export type { ReadOptions } from './read-recording.ts';
export { defaultLimits } from './limits.ts';
export type { RecordingLimits } from './limits.ts';
export { writeFit } from './write-fit.ts';
export type { FitToWrite } from './write-fit.ts';
export { readCalibration, readDeflections, readSpokes } from './read-bench.ts';
