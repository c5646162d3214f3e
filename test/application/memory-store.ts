/** A day store in memory, for tests of the use cases apart from the library. */
import type {
  DayStore,
  KeptFinding,
  NewDay,
  SheetToStore,
  StoredDay,
} from '../../src/application/day-store.ts';
import type { FileRef } from '../../src/application/workbench.ts';

export class MemoryStore implements DayStore {
  private readonly days = new Map<string, StoredDay>();
  private readonly contents = new Map<string, Uint8Array>();
  private readonly findings = new Map<string, KeptFinding>();
  private count = 0;

  list(removed: boolean): StoredDay[] {
    return [...this.days.values()]
      .filter((day) => day.removed === removed)
      .sort((a, b) => b.changedAt.localeCompare(a.changedAt));
  }

  day(id: string): StoredDay | null {
    return this.days.get(id) ?? null;
  }

  create(day: NewDay, now: string): string {
    const id = `day-${++this.count}`;
    this.days.set(id, {
      ...day.sheet.facts,
      id,
      state: 'draft',
      removed: false,
      changedAt: now,
      sheet: day.sheet.text,
      files: [],
      headline: '',
    });
    for (const { file, sha256, bytes } of day.files ?? []) {
      this.addFile(id, { file, sha256 }, bytes, day.sheet, now);
    }
    if (day.kept) this.keep(id, day.kept, day.kept.headline, now);
    return id;
  }

  saveSheet(id: string, sheet: SheetToStore, now: string): void {
    this.change(id, { ...sheet.facts, sheet: sheet.text, state: 'draft', changedAt: now });
  }

  addFile(id: string, ref: FileRef, bytes: Uint8Array, sheet: SheetToStore, now: string): void {
    this.contents.set(ref.sha256, bytes.slice());
    const files = [...this.days.get(id)!.files, { ...ref, bytes: bytes.length }];
    this.saveSheet(id, sheet, now);
    this.change(id, { files });
  }

  removeFile(id: string, file: string, sheet: SheetToStore, now: string): void {
    const files = this.days.get(id)!.files.filter((one) => one.file !== file);
    this.saveSheet(id, sheet, now);
    this.change(id, { files });
  }

  bytes(sha256: string): Uint8Array {
    return this.contents.get(sha256)!;
  }

  kept(id: string): KeptFinding | null {
    return this.findings.get(id) ?? null;
  }

  keep(id: string, kept: KeptFinding, headline: string, now: string): void {
    this.findings.set(id, kept);
    this.change(id, { state: 'kept', headline, changedAt: now });
  }

  remove(id: string, now: string): void {
    this.change(id, { removed: true, changedAt: now });
  }

  restore(id: string, now: string): void {
    this.change(id, { removed: false, changedAt: now });
  }

  close(): void {}

  private change(id: string, part: Partial<StoredDay>): void {
    this.days.set(id, { ...this.days.get(id)!, ...part });
  }
}
