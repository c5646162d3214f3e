/** The use cases around the bench: what the server calls for readings and wheel sheets. */
import type { Problem } from '../core/units/index.ts';
import type { NamedSetup } from './bench-setups.ts';
import type {
  BenchChange,
  BenchKind,
  BenchSummary,
  BenchView,
  SetupBench,
  WheelShapes,
} from './contract.ts';
import type { WriteOptions } from './days-contract.ts';

export interface NewBench extends BenchChange {
  kind: BenchKind;
}

/**
 * Bench items. Every function that names one throws `LapbenchError` with `bench-item-unknown` when
 * there is none of that id, `bench-item-removed` (but for `restore`) when it is removed, and
 * `bench-item-changed` when `ifChangedAt` no longer holds.
 */
export interface Bench {
  /** Newest change first. What is made afresh longer than a second and a half shows the headline of before. */
  list(options?: { removed?: boolean }): Promise<BenchSummary[]>;
  /** For each setup the items that belong to it: their `setup` is its id or its name. */
  ofSetups(setups: readonly NamedSetup[]): Promise<SetupBench[]>;
  /** Answers the id. What is not given begins empty, a wheel with a sheet to start from. */
  create(item: NewBench): string;
  /** The item with what can be made of it as it stands. */
  view(id: string): Promise<BenchView>;
  /** Stores the change at once, sound or not, and answers what can be made of it. */
  update(id: string, change: BenchChange, options?: WriteOptions): Promise<BenchView>;
  remove(id: string): void;
  restore(id: string): void;
  /** A wheel's geometry and its answers to one newton round the rim; throws when the sheet is refused. */
  shapes(id: string): Promise<WheelShapes>;
  /** Makes the bench items of the demo day, unless the library holds any of them or did once. */
  demo(): void;
  /** What is stored other than it was put in; nothing when all is sound. */
  verify(): Problem[];
}
