/** A day store in memory, for tests of the use cases apart from the library. */
import type {
  DayStore,
  FindingToKeep,
  KeptFinding,
  NewDay,
  SheetToStore,
  StoredDay,
} from '../../src/application/day-store.ts';
import { sha256 } from '../../src/application/edges.ts';

export class MemoryStore implements DayStore {
  private readonly days = new Map<string, StoredDay>();
  private readonly contents = new Map<string, Uint8Array>();
  private readonly findings = new Map<string, KeptFinding>();
  private count = 0;
  private changes = 0;

  list(removed: boolean): StoredDay[] {
    return [...this.days.values()]
      .filter((day) => day.removed === removed)
      .sort((a, b) => b.changedAt.localeCompare(a.changedAt));
  }

  day(id: string): StoredDay | null {
    return this.days.get(id) ?? null;
  }

  create(day: NewDay): string {
    const id = `day-${++this.count}`;
    this.days.set(id, {
      ...day.sheet.facts,
      id,
      state: 'draft',
      removed: false,
      changedAt: this.moment(),
      sheet: day.sheet.text,
      files: [],
      headline: day.headline ?? '',
    });
    for (const { file, bytes } of day.files ?? []) this.addFile(id, file, bytes, day.sheet);
    if (day.kept) this.keep(id, day.kept);
    return id;
  }

  saveSheet(id: string, sheet: SheetToStore): void {
    this.change(id, { ...sheet.facts, sheet: sheet.text, state: 'draft' });
  }

  addFile(id: string, file: string, bytes: Uint8Array, sheet: SheetToStore): void {
    const hash = sha256(bytes);
    this.contents.set(hash, bytes.slice());
    const files = [...this.days.get(id)!.files, { file, sha256: hash, bytes: bytes.length }];
    this.saveSheet(id, sheet);
    this.change(id, { files });
  }

  removeFile(id: string, file: string, sheet: SheetToStore): void {
    const files = this.days.get(id)!.files.filter((one) => one.file !== file);
    this.saveSheet(id, sheet);
    this.change(id, { files });
  }

  bytes(hash: string): Uint8Array {
    return this.contents.get(hash)!;
  }

  kept(id: string): KeptFinding | null {
    return this.findings.get(id) ?? null;
  }

  keep(id: string, kept: FindingToKeep): void {
    this.findings.set(id, kept);
    this.change(id, { state: 'kept', headline: kept.headline });
  }

  remove(id: string): void {
    this.change(id, { removed: true });
  }

  restore(id: string): void {
    this.change(id, { removed: false });
  }

  close(): void {}

  /** Every change has a moment of its own. */
  private moment(): string {
    return new Date(Date.UTC(2026, 4, 17, 18) + this.changes++).toISOString();
  }

  private change(id: string, part: Partial<StoredDay>): void {
    this.days.set(id, { ...this.days.get(id)!, ...part, changedAt: this.moment() });
  }
}
