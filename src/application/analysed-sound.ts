/** What is kept of a sound beside its bytes. */
import type { PluckSound, SoundFormat, SoundLevels, ToneTrack } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import type { SoundPicture } from './contract-sounds.ts';

/** Goes up when analyses come out otherwise: those that are stored are then made afresh. */
export const soundAnalysisVersion = 'sound 1';

/** Plain data: what is kept of a sound beside its bytes. */
export interface AnalysedSound {
  format: SoundFormat;
  channelUsed: string;
  levels: SoundLevels;
  tracks: ToneTrack[];
  spectrum: { hz: number[]; psdDb: number[] };
  /** Of a recording of plucks; else null. */
  plucks: PluckSound[] | null;
  picture: SoundPicture;
  warnings: Problem[];
}
