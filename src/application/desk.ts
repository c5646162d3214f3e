/**
 * The synchronous work behind a workbench, the same in the calling thread and in a worker: reads
 * recordings, keeps those read last, reduces days and what comes from the bench.
 */
import type { ColumnMap, Recording } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { readRecording } from '../recordings/index.ts';
import { makeBench } from './bench-maker.ts';
import type { BenchInput, BenchOutcome } from './bench-making.ts';
import type { FieldDragFinding, RecordingTrace, WheelShapes } from './contract.ts';
import { summarise, traceOf } from './look.ts';
import { reduceSheetWith } from './reduce.ts';
import { columnMapOf, storedSheetName } from './sheet.ts';
import { wheelShapes } from './wheel-shapes.ts';
import type { FileRef, Look, OnProgress } from './workbench.ts';

export type DeskJob =
  | { kind: 'reduce'; sheet: string; files: FileRef[] }
  | { kind: 'look'; ref: FileRef; columnMap: ColumnMap | null }
  | { kind: 'trace'; ref: FileRef; columnMap: ColumnMap | null }
  | { kind: 'bench'; input: BenchInput }
  | { kind: 'shapes'; sheet: string };

export type DeskAnswer =
  | { kind: 'finding'; finding: FieldDragFinding }
  | { kind: 'look'; look: Look }
  | { kind: 'trace'; trace: RecordingTrace }
  | { kind: 'bench'; outcome: BenchOutcome }
  | { kind: 'shapes'; shapes: WheelShapes }
  | { kind: 'refused'; problems: Problem[] }
  /** Our fault. */
  | { kind: 'failed'; message: string };

type Reading = { recording: Recording } | { problems: Problem[] };

/** Samples kept in memory: some 40 days of 8 h at 1 Hz, about 100 bytes each. */
const maximumSamplesKept = 1_200_000;

export class Desk {
  /** Oldest first: a reading used again moves to the end. */
  private readonly readings = new Map<string, Reading>();
  private readonly bytes = new Map<string, Uint8Array>();

  /** Hashes whose bytes the job needs and the desk has neither read nor been given. */
  missing(job: DeskJob): string[] {
    if (job.kind === 'bench' || job.kind === 'shapes') return [];
    const refs = job.kind === 'reduce' ? job.files : [job.ref];
    const map = job.kind === 'reduce' ? columnMapOf(job.sheet) : job.columnMap;
    return refs
      .filter((ref) => !this.readings.has(keyOf(ref, map)) && !this.bytes.has(ref.sha256))
      .map((ref) => ref.sha256);
  }

  give(sha256: string, bytes: Uint8Array): void {
    this.bytes.set(sha256, bytes);
  }

  answer(job: DeskJob, onProgress: OnProgress = () => {}): DeskAnswer {
    try {
      if (job.kind === 'reduce') {
        return { kind: 'finding', finding: this.reduce(job.sheet, job.files, onProgress) };
      }
      if (job.kind === 'bench') return { kind: 'bench', outcome: makeBench(job.input) };
      if (job.kind === 'shapes') return { kind: 'shapes', shapes: wheelShapes(job.sheet) };
      if (job.kind === 'look') return { kind: 'look', look: this.look(job.ref, job.columnMap) };
      const reading = this.read(job.ref, job.columnMap);
      if ('problems' in reading) return { kind: 'refused', problems: reading.problems };
      return { kind: 'trace', trace: traceOf(reading.recording) };
    } catch (error) {
      if (error instanceof LapbenchError) return { kind: 'refused', problems: [...error.problems] };
      return {
        kind: 'failed',
        message: error instanceof Error ? (error.stack ?? error.message) : String(error),
      };
    } finally {
      this.bytes.clear();
      this.forgetOldest();
    }
  }

  private reduce(sheet: string, files: FileRef[], onProgress: OnProgress): FieldDragFinding {
    const refs = new Map(files.map((ref) => [ref.file, ref]));
    let read = 0;
    return reduceSheetWith(sheet, storedSheetName, (file, day) => {
      const ref = refs.get(file);
      if (!ref) throw new LapbenchError(notStored(file));
      onProgress({ stage: `Reading ${file}`, fraction: read / (refs.size + 1) });
      const reading = this.read(ref, day.csvColumns ?? null);
      read++;
      if (read === refs.size) {
        onProgress({ stage: 'Estimating the day', fraction: read / (refs.size + 1) });
      }
      if ('problems' in reading) throw new LapbenchError(reading.problems);
      return { recording: reading.recording, sha256: ref.sha256 };
    });
  }

  private look(ref: FileRef, columnMap: ColumnMap | null): Look {
    const reading = this.read(ref, columnMap);
    if ('problems' in reading) {
      return { format: 'unreadable', summary: null, problems: reading.problems };
    }
    const { recording } = reading;
    return {
      format: recording.format,
      summary: summarise(recording),
      problems: recording.warnings,
    };
  }

  private read(ref: FileRef, columnMap: ColumnMap | null): Reading {
    const key = keyOf(ref, columnMap);
    let reading = this.readings.get(key);
    if (!reading) {
      const bytes = this.bytes.get(ref.sha256);
      if (!bytes) throw new Error(`bytes of ${ref.file} were not given`);
      reading = readOnce(bytes, ref.file, columnMap);
    }
    this.readings.delete(key);
    this.readings.set(key, reading);
    return reading;
  }

  private forgetOldest(): void {
    let samples = 0;
    for (const [key, reading] of [...this.readings].reverse()) {
      samples += 'recording' in reading ? reading.recording.timeS.length : 0;
      if (samples > maximumSamplesKept) this.readings.delete(key);
    }
  }
}

function readOnce(bytes: Uint8Array, file: string, columnMap: ColumnMap | null): Reading {
  try {
    return { recording: readRecording(bytes, file, { columnMap }) };
  } catch (error) {
    if (error instanceof LapbenchError) return { problems: [...error.problems] };
    throw error;
  }
}

function keyOf(ref: FileRef, columnMap: ColumnMap | null): string {
  return JSON.stringify([ref.sha256, ref.file, columnMap]);
}

function notStored(file: string): Problem {
  return {
    code: 'file-missing',
    file,
    message: 'The day holds no recording of this name.',
    remedy: 'Add the file to the day, or correct the name in the sheet.',
  };
}
