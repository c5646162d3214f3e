/** The use cases around stored sounds: what the server calls. */
import type {
  Hearing,
  NewSound,
  SoundChange,
  SoundEvents,
  SoundPicture,
  SoundSummary,
  SoundUpload,
  SoundView,
} from './contract.ts';
import type { WriteOptions } from './days-contract.ts';

/** One thing that happened to a sound. */
export type SoundEvent = {
  [Name in keyof SoundEvents]: { name: Name; data: SoundEvents[Name] };
}[keyof SoundEvents];

/**
 * Stored sounds. Every function that names one throws `LapbenchError` with `sound-unknown` when there is none of that
 * id, `sound-removed` (but for `restore`) when it is removed, and `sound-changed` when `ifChangedAt` no longer holds;
 * those that name an upload, `upload-unknown`.
 */
export interface Sounds {
  /** Newest change first. */
  list(options?: { removed?: boolean }): SoundSummary[];
  /** Makes room for a file that comes in pieces. */
  beginUpload(file: string, bytes: number): SoundUpload;
  upload(id: string): SoundUpload;
  /** A piece that begins at `offset`; sent twice it changes nothing. Refused (`upload-offset`) where it leaves a gap. */
  addPiece(id: string, offset: number, bytes: Uint8Array): SoundUpload;
  dropUpload(id: string): void;
  /**
   * A sound on an upload that is whole; its analysis begins. Answers the id. Throws what is wrong with the file when
   * it is no sound that can be read; the upload is then forgotten.
   */
  create(sound: NewSound): Promise<string>;
  /** The sound with what can be made of it as it stands; begins the analysis when one is due. */
  view(id: string): Promise<SoundView>;
  update(id: string, change: SoundChange, options?: WriteOptions): Promise<SoundView>;
  remove(id: string): void;
  restore(id: string): void;
  /** Begins the analysis again after it was stopped. */
  analyse(id: string): Promise<SoundView>;
  /** Stops the analysis under way; the sound stays as it is. */
  stop(id: string): Promise<SoundView>;
  /** The whole sound for drawing; throws `analysis-stopped` while there is no analysis. */
  overview(id: string): SoundPicture;
  /** A few seconds more finely. */
  detail(id: string, fromS: number, toS: number): Promise<SoundPicture>;
  /** A cutting to play: WAV, 16 bit, one channel. */
  piece(id: string, fromS: number, toS: number): Promise<Uint8Array>;
  /** What can be heard in a few plucks; nothing is stored. */
  hear(bytes: Uint8Array): Promise<Hearing>;
  /** Waits until no analysis of this sound is under way. */
  settled(id: string): Promise<void>;
  /** Makes the sounds of the demo, unless the library holds any of them or did once. */
  demo(): Promise<void>;
  /** Calls `listener` on every event of a sound; the answer ends it. */
  listen(id: string, listener: (event: SoundEvent) => void): () => void;
  close(): Promise<void>;
}
