import type { RecordingLimits } from './limits.ts';
import type { RawSamples } from './raw-samples.ts';
export const readXml = (_b: Uint8Array, _f: string, _l: RecordingLimits): RawSamples => {
  throw new Error('being written');
};
