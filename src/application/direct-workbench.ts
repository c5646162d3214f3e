import { LapbenchError } from '../core/units/index.ts';
import { Desk, type DeskAnswer, type DeskJob } from './desk.ts';
import type { BenchMaker } from './bench-making.ts';
import type { BytesOf, OnProgress, Workbench } from './workbench.ts';

/** A workbench on top of anything that answers a desk's jobs one by one. */
export function workbenchOf(
  answer: (job: DeskJob, bytesOf: BytesOf, onProgress?: OnProgress) => Promise<DeskAnswer>,
  close: () => Promise<void>,
): Workbench & BenchMaker {
  const ask = async (job: DeskJob, bytesOf: BytesOf = noBytes, onProgress?: OnProgress) => {
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
    async make(input) {
      const result = await ask({ kind: 'bench', input });
      if (result.kind !== 'bench') throw new Error(`unexpected answer ${result.kind}`);
      return result.outcome;
    },
    async shapes(sheet) {
      const result = await ask({ kind: 'shapes', sheet });
      if (result.kind !== 'shapes') throw new Error(`unexpected answer ${result.kind}`);
      return result.shapes;
    },
    close,
  };
}

function noBytes(sha256: string): never {
  throw new Error(`nothing is stored for this job, not ${sha256}`);
}

/** Computes in the calling thread. */
export function directWorkbench(): Workbench & BenchMaker {
  const desk = new Desk();
  return workbenchOf(
    async (job, bytesOf, onProgress) => {
      for (const sha256 of desk.missing(job)) desk.give(sha256, bytesOf(sha256));
      return desk.answer(job, onProgress);
    },
    async () => {},
  );
}
