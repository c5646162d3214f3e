export { openSound } from './open.ts';
export { bytesInMemory, type SoundBytes } from './source.ts';
export { blockSamples, type Sound, type SoundPart } from './sound.ts';
export { mixToMono } from './mix.ts';
export { writeWav, type WavEncoding } from './write-wav.ts';
