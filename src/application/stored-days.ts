/** The use cases around stored days (`Days`), over a store and a workbench handed in. */
import type { ColumnMap } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { NamedSetup } from './bench-setups.ts';
import type {
  DayEdit,
  DaySummary,
  DayView,
  FieldDragFinding,
  RecordingTrace,
  StoredRecording,
} from './contract.ts';
import type { DayStore, StoredDay } from './day-store.ts';
import type { DayEvent, Days, WriteOptions } from './days-contract.ts';
import {
  inputOf,
  nameTaken,
  noFindingYet,
  runFiles,
  setupsOf,
  summaryOf,
  toKeep,
  toStore,
  unknownDay,
  withRun,
} from './day-facts.ts';
import { sha256, type Clock } from './edges.ts';
import { plainFileName } from './file-name.ts';
import { findingKey, Reductions, type Outcome } from './reductions.ts';
import {
  columnMapOf,
  checkSheet,
  draftSheet,
  editSheet,
  sheetFacts,
  sheetData,
  storedSheetName,
} from './sheet.ts';
import type { FileRef, Look, Workbench } from './workbench.ts';

export interface DaysEdges {
  store: DayStore;
  workbench: Workbench;
  now: Clock;
  /** The demo day, made when it is asked for. */
  demo: () => Promise<{ sheet: string; files: { file: string; bytes: Uint8Array }[] }>;
}

/** Days over a store; one such object serves one library at a time. */
export function daysOver(edges: DaysEdges): Days {
  return new StoredDays(edges);
}

/** Summaries of recordings kept in memory: some kB each. */
const maximumLooks = 500;

class StoredDays implements Days {
  private readonly store: DayStore;
  private readonly workbench: Workbench;
  private readonly now: Clock;
  private readonly makeDemo: DaysEdges['demo'];
  private readonly reductions: Reductions;
  private readonly listeners = new Map<string, Set<(event: DayEvent) => void>>();
  private readonly bytesOf = (hash: string): Uint8Array => this.store.bytes(hash);
  private readonly looks = new Map<string, Look>();
  private demoUnderWay: Promise<string> | null = null;
  private demoId: string | null = null;

  constructor({ store, workbench, now, demo }: DaysEdges) {
    this.store = store;
    this.workbench = workbench;
    this.now = now;
    this.makeDemo = demo;
    this.reductions = new Reductions(workbench, this.bytesOf, (id, event) => this.emit(id, event));
  }

  list({ removed = false } = {}): DaySummary[] {
    return this.store.list(removed).map(summaryOf);
  }

  create(from: { sheet: string } | { title?: string; date?: string }): string {
    const today = this.now().slice(0, 10);
    const sheet = 'sheet' in from ? from.sheet : draftSheet(from, today);
    return this.store.create({ sheet: toStore(sheet), headline: noFindingYet });
  }

  async view(id: string): Promise<DayView> {
    const day = this.day(id);
    const map = columnMapOf(day.sheet);
    const recordings = await Promise.all(
      day.files.map(async ({ file, sha256: hash, bytes }): Promise<StoredRecording> => {
        const look = await this.lookAt({ file, sha256: hash }, map);
        return { file, sha256: hash, bytes, ...look };
      }),
    );
    const sheetProblems = checkSheet(day.sheet);
    const outcome = this.outcomeOf(day, sheetProblems);
    return {
      id,
      state: day.state,
      changedAt: day.changedAt,
      sheet: day.sheet,
      sheetData: sheetData(day.sheet),
      sheetProblems,
      recordings,
      finding: outcome && 'finding' in outcome ? outcome.finding : null,
      findingProblems: outcome && 'problems' in outcome ? [...outcome.problems] : [],
      reducing: outcome === null,
    };
  }

  setups(id: string): NamedSetup[] {
    return setupsOf(this.day(id).sheet);
  }

  async putSheet(id: string, sheet: string, options: WriteOptions = {}): Promise<DayView> {
    const day = this.dayToWrite(id, options);
    if (sheet !== day.sheet) this.saveSheet(day, sheet);
    return this.view(id);
  }

  async edit(id: string, edits: DayEdit[], options: WriteOptions = {}): Promise<DayView> {
    const day = this.dayToWrite(id, options);
    const sheet = editSheet(day.sheet, storedSheetName, edits);
    if (sheet !== day.sheet) this.saveSheet(day, sheet);
    return this.view(id);
  }

  async addRecording(
    id: string,
    given: string,
    bytes: Uint8Array,
    { addRun = true } = {},
  ): Promise<{ added: boolean; view: DayView }> {
    const day = this.day(id);
    const file = plainFileName(given);
    const hash = sha256(bytes);
    const same = day.files.find((one) => one.file === file);
    if (same && same.sha256 !== hash) throw new LapbenchError(nameTaken(file));
    if (same) return { added: false, view: await this.view(id) };
    const named = runFiles(day.sheet).includes(file);
    const sheet = addRun && !named ? withRun(day.sheet, file) : day.sheet;
    this.store.addFile(id, file, bytes, toStore(sheet));
    this.announceChange(id);
    return { added: true, view: await this.view(id) };
  }

  async removeRecording(id: string, file: string): Promise<DayView> {
    const day = this.day(id);
    this.fileOf(day, file);
    const runs = runFiles(day.sheet)
      .flatMap((name, index) => (name === file ? [index + 1] : []))
      .reverse();
    const edits = runs.map((run): DayEdit => ({ op: 'remove-run', run }));
    const sheet = edits.length > 0 ? editSheet(day.sheet, storedSheetName, edits) : day.sheet;
    this.store.removeFile(id, file, toStore(sheet));
    this.announceChange(id);
    return this.view(id);
  }

  recordingBytes(id: string, file: string): Uint8Array {
    return this.store.bytes(this.fileOf(this.day(id), file).sha256);
  }

  async trace(id: string, file: string): Promise<RecordingTrace> {
    const day = this.day(id);
    const { sha256: hash } = this.fileOf(day, file);
    return this.workbench.trace({ file, sha256: hash }, columnMapOf(day.sheet), this.bytesOf);
  }

  async finding(id: string): Promise<FieldDragFinding> {
    const day = this.day(id);
    const problems = checkSheet(day.sheet);
    if (problems.length > 0) throw new LapbenchError(problems);
    const known = this.outcomeOf(day, []);
    const outcome = known ?? (await this.reductions.wait(id, inputOf(day)));
    if ('problems' in outcome) throw new LapbenchError(outcome.problems);
    return outcome.finding;
  }

  async keep(id: string): Promise<DayView> {
    for (;;) {
      const key = findingKey(inputOf(this.day(id)));
      const finding = await this.finding(id);
      const day = this.day(id);
      // The day may have been edited while its finding was made: then that one is for an older sheet.
      if (findingKey(inputOf(day)) !== key) continue;
      const there = day.state === 'kept' && this.store.kept(id)?.key === key;
      if (!there) this.store.keep(id, toKeep(day, finding, key));
      this.announceChange(id);
      return this.view(id);
    }
  }

  async recompute(
    id: string,
  ): Promise<{ before: FieldDragFinding | null; after: FieldDragFinding }> {
    const day = this.day(id);
    const before = this.store.kept(id)?.finding ?? null;
    const input = inputOf(day);
    const key = findingKey(input);
    this.reductions.forget(key);
    const outcome = await this.reductions.wait(id, input);
    if ('problems' in outcome) throw new LapbenchError(outcome.problems);
    const { finding } = outcome;
    this.store.keep(id, toKeep(day, finding, key));
    this.announceChange(id);
    return { before, after: finding };
  }

  remove(id: string): void {
    this.store.remove(this.day(id).id);
  }

  restore(id: string): void {
    const day = this.store.day(id);
    if (!day) throw new LapbenchError(unknownDay(id));
    if (day.removed) this.store.restore(id);
  }

  demo(): Promise<string> {
    // Two windows asking at once must not make it twice.
    this.demoUnderWay ??= this.findOrMakeDemo().finally(() => (this.demoUnderWay = null));
    return this.demoUnderWay;
  }

  listen(id: string, listener: (event: DayEvent) => void): () => void {
    const listeners = this.listeners.get(id) ?? new Set();
    listeners.add(listener);
    this.listeners.set(id, listeners);
    return () => {
      listeners.delete(listener);
      if (listeners.size === 0) this.listeners.delete(id);
    };
  }

  async close(): Promise<void> {
    await this.workbench.close();
    this.store.close();
  }

  /** Remembered, so that a view need not wait behind a reduction for what was read before. */
  private async lookAt(ref: FileRef, map: ColumnMap | null): Promise<Look> {
    const key = JSON.stringify([ref.sha256, ref.file, map]);
    const known = this.looks.get(key);
    if (known) return known;
    const look = await this.workbench.look(ref, map, this.bytesOf);
    this.looks.set(key, look);
    if (this.looks.size > maximumLooks) this.looks.delete(this.looks.keys().next().value!);
    return look;
  }

  private async findOrMakeDemo(): Promise<string> {
    const last = this.demoId === null ? null : this.store.day(this.demoId);
    if (last && !last.removed) return last.id;
    const demo = await this.makeDemo();
    const { title } = sheetFacts(demo.sheet);
    const there = this.store.list(false).find((day) => day.invented && day.title === title);
    this.demoId = there?.id ?? (await this.keepDemo(demo));
    return this.demoId;
  }

  private async keepDemo({
    sheet,
    files,
  }: Awaited<ReturnType<DaysEdges['demo']>>): Promise<string> {
    const id = this.store.create({ sheet: toStore(sheet), files, headline: noFindingYet });
    await this.keep(id);
    return id;
  }

  private outcomeOf(day: StoredDay, sheetProblems: Problem[]): Outcome | null {
    if (sheetProblems.length > 0) return { problems: sheetProblems };
    const input = inputOf(day);
    const key = findingKey(input);
    if (day.state === 'kept' && !this.reductions.has(key)) {
      const kept = this.store.kept(day.id);
      if (kept?.key === key) this.reductions.know(key, { finding: kept.finding });
    }
    return this.reductions.ask(day.id, input);
  }

  private day(id: string): StoredDay {
    const day = this.store.day(id);
    if (!day) throw new LapbenchError(unknownDay(id));
    if (day.removed) {
      throw new LapbenchError({
        code: 'day-removed',
        message: `The day ${JSON.stringify(id.slice(0, 60))} is removed.`,
        remedy: 'Restore it first.',
      });
    }
    return day;
  }

  private dayToWrite(id: string, { ifChangedAt }: WriteOptions): StoredDay {
    const day = this.day(id);
    if (ifChangedAt !== undefined && ifChangedAt !== day.changedAt) {
      throw new LapbenchError({
        code: 'day-changed',
        message: `The day was changed at ${day.changedAt}, after this copy was fetched.`,
        remedy: 'Fetch it again and repeat the change.',
      });
    }
    return day;
  }

  private fileOf(day: StoredDay, file: string): StoredDay['files'][number] {
    const found = day.files.find((one) => one.file === file);
    if (found) return found;
    throw new LapbenchError({
      code: 'recording-unknown',
      file: file.slice(0, 120),
      message: 'The day holds no recording of this name.',
      remedy: 'Take a name from the list of its recordings.',
    });
  }

  private saveSheet(day: StoredDay, sheet: string): void {
    this.store.saveSheet(day.id, toStore(sheet));
    this.announceChange(day.id);
  }

  private announceChange(id: string): void {
    const { changedAt } = this.day(id);
    this.emit(id, { name: 'changed', data: { changedAt } });
  }

  private emit(id: string, event: DayEvent): void {
    for (const listener of this.listeners.get(id) ?? []) listener(event);
  }
}
