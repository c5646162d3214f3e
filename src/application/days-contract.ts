/** The use cases around stored days: what the server and the library commands call. */
import type { NamedSetup } from './bench-setups.ts';
import type {
  DayEdit,
  DayEvents,
  DaySummary,
  DayView,
  FieldDragFinding,
  RecordingTrace,
} from './contract.ts';

/** One thing that happened to a day. */
export type DayEvent = {
  [Name in keyof DayEvents]: { name: Name; data: DayEvents[Name] };
}[keyof DayEvents];

/** Guards a write against another window: refused (`DayChangedError`) unless it still holds. */
export interface WriteOptions {
  ifChangedAt?: string;
}

/**
 * Stored days. Every function that names a day throws `LapbenchError` with `day-unknown` when there
 * is none of that id (or, but for `restore`, when it is removed).
 */
export interface Days {
  /** Newest change first. */
  list(options?: { removed?: boolean }): DaySummary[];
  /** From a sheet as text, or a draft with one setup and no runs. Answers the id. */
  create(from: { sheet: string } | { title?: string; date?: string }): string;
  /** Everything the page shows; starts a reduction when one is due. */
  view(id: string): Promise<DayView>;
  /** The setups of the sheet as far as they can be read; a setup without a name goes by its id. */
  setups(id: string): NamedSetup[];
  /** Stores the sheet as it is, sound or not. */
  putSheet(id: string, sheet: string, options?: WriteOptions): Promise<DayView>;
  /** All edits or none; throws `LapbenchError` when one does not fit. */
  edit(id: string, edits: DayEdit[], options?: WriteOptions): Promise<DayView>;
  /**
   * Stores a recording unaltered. `addRun` (default true) adds a run without a setup for a file
   * that the sheet does not name. Throws `NameTakenError` when the name holds other bytes.
   */
  addRecording(
    id: string,
    file: string,
    bytes: Uint8Array,
    options?: { addRun?: boolean },
  ): Promise<{ added: boolean; view: DayView }>;
  removeRecording(id: string, file: string): Promise<DayView>;
  recordingBytes(id: string, file: string): Uint8Array;
  trace(id: string, file: string): Promise<RecordingTrace>;
  /** The finding for the sheet as it stands, waited for; throws `LapbenchError` when refused. */
  finding(id: string): Promise<FieldDragFinding>;
  /** Waits for the finding and keeps it. */
  keep(id: string): Promise<DayView>;
  /** Computes the kept finding afresh with the method of today and keeps it. */
  recompute(id: string): Promise<{ before: FieldDragFinding | null; after: FieldDragFinding }>;
  remove(id: string): void;
  restore(id: string): void;
  /** The demo day's id; makes and keeps the day when the library has none. */
  demo(): Promise<string>;
  /** Calls `listener` on every event of a day; the answer ends it. */
  listen(id: string, listener: (event: DayEvent) => void): () => void;
  close(): Promise<void>;
}
