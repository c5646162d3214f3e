/**
 * Where readings and reductions are computed: in this thread (`directWorkbench`: one command, one
 * answer) or in a thread beside the server's (`threadWorkbench`), so that the page stays quick
 * while a day is reduced.
 */
import type { ColumnMap } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { FieldDragFinding, RecordingTrace, StoredRecording } from './contract.ts';
import { Desk, type DeskAnswer, type DeskJob } from './desk.ts';

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

/** A workbench on top of anything that answers a desk's jobs one by one. */
export function workbenchOf(
  answer: (job: DeskJob, bytesOf: BytesOf, onProgress?: OnProgress) => Promise<DeskAnswer>,
  close: () => Promise<void>,
): Workbench {
  const ask = async (job: DeskJob, bytesOf: BytesOf, onProgress?: OnProgress) => {
    const result = await answer(job, bytesOf, onProgress);
    if (result.kind === 'refused') throw new LapbenchError(result.problems);
    if (result.kind === 'failed') throw new Error(result.message);
    return result;
  };
  return {
    async reduce(sheet, files, bytesOf, onProgress) {
      const result = await ask({ kind: 'reduce', sheet, files }, bytesOf, onProgress);
      if (result.kind !== 'finding') throw new Error(`unexpected answer ${result.kind}`);
      return result.finding;
    },
    async look(ref, columnMap, bytesOf) {
      const result = await ask({ kind: 'look', ref, columnMap }, bytesOf);
      if (result.kind !== 'look') throw new Error(`unexpected answer ${result.kind}`);
      return result.look;
    },
    async trace(ref, columnMap, bytesOf) {
      const result = await ask({ kind: 'trace', ref, columnMap }, bytesOf);
      if (result.kind !== 'trace') throw new Error(`unexpected answer ${result.kind}`);
      return result.trace;
    },
    close,
  };
}

/** Computes in the calling thread. */
export function directWorkbench(): Workbench {
  const desk = new Desk();
  return workbenchOf(
    async (job, bytesOf, onProgress) => {
      for (const sha256 of desk.missing(job)) desk.give(sha256, bytesOf(sha256));
      return desk.answer(job, onProgress);
    },
    async () => {},
  );
}
