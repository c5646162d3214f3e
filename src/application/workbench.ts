/**
 * Where readings and reductions are computed: in this thread (`direct-workbench.ts`: one command,
 * one answer) or in a thread beside the server's (`thread-workbench.ts`), so that the page stays
 * quick while a day is reduced.
 */
import type { ColumnMap } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import type { FieldDragFinding, RecordingTrace, StoredRecording } from './contract.ts';

/** A stored file by the name the sheet uses; the bytes are fetched by hash when they are needed. */
export interface FileRef {
  file: string;
  sha256: string;
}

/** Gives stored bytes by hash. */
export type BytesOf = (sha256: string) => Uint8Array;

/** How far a reduction has come, for people. */
export type OnProgress = (progress: { stage: string; fraction: number }) => void;

/** What a reader says about a file: what it holds, and what is wrong with it. */
export interface Look {
  format: string;
  summary: StoredRecording['summary'];
  problems: Problem[];
}

export interface Workbench {
  /** Reduces a day. Rejects with `LapbenchError` when there can be no finding. */
  reduce(
    sheet: string,
    files: FileRef[],
    bytesOf: BytesOf,
    onProgress?: OnProgress,
  ): Promise<FieldDragFinding>;
  /** Reads a file and says what it holds; a file that cannot be read is an answer, not a failure. */
  look(ref: FileRef, columnMap: ColumnMap | null, bytesOf: BytesOf): Promise<Look>;
  /** Reads a file for drawing. Rejects with `LapbenchError` when it cannot be read. */
  trace(ref: FileRef, columnMap: ColumnMap | null, bytesOf: BytesOf): Promise<RecordingTrace>;
  close(): Promise<void>;
}
