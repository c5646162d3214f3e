/** What a result of the bench is made from, what comes of it, and who makes it. */
import type { Problem } from '../core/units/index.ts';
import type { OtherWheel } from './bench-other-wheel.ts';
import type { BenchKind, WheelShapes } from './contract.ts';

export interface BenchInput {
  kind: BenchKind;
  input: string;
  options: unknown;
  /** Of the tension readings, or the one compared with. */
  wheel: OtherWheel | null;
}

export interface BenchOutcome {
  result: unknown;
  problems: readonly Problem[];
  method: string;
  headline: string;
}

/** Makes results, perhaps in a thread beside this one. */
export interface BenchMaker {
  /** A person's mistake is an outcome; rejects when it is our fault. */
  make(input: BenchInput): Promise<BenchOutcome>;
  /** Rejects with `LapbenchError` when the sheet is refused. */
  shapes(sheet: string): Promise<WheelShapes>;
}
