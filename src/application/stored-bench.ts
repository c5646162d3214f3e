/** The use cases around the bench (`Bench`), over the bench items of a library and a maker of results. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { BenchItemRecord, BenchItems } from '../library/index.ts';
import { wheelSheetData } from '../sheets/index.ts';
import type { Bench, NewBench } from './bench-contract.ts';
import { changedInput } from './bench-edits.ts';
import { firstSheet, firstTitles } from './bench-first-sheet.ts';
import { checkedOptions, wholeOptions } from './bench-options.ts';
import { otherWheelOf, wheelGone, wheelNotThere, type OtherWheel } from './bench-other-wheel.ts';
import { belongsTo, type NamedSetup } from './bench-setups.ts';
import type {
  BenchChange,
  BenchKind,
  BenchSummary,
  BenchView,
  SetupBench,
  WheelShapes,
} from './contract.ts';
import type { WriteOptions } from './days-contract.ts';
import { sha256, type Clock } from './edges.ts';

/** What a result is made from. */
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

/** Makes results; never throws for a person's mistake, that is in the outcome. */
export interface BenchMaker {
  /** Names and versions of all methods: a result of another version is made afresh. */
  version: string;
  make(input: BenchInput): BenchOutcome;
  shapes(sheet: string): WheelShapes;
}

export interface BenchEdges {
  items: Pick<
    BenchItems,
    'list' | 'get' | 'create' | 'update' | 'putResult' | 'remove' | 'restore'
  >;
  maker: BenchMaker;
  now: Clock;
  /** Makes the items of the demo day, and knows their titles. */
  demo: { make: (create: (item: NewBench) => string) => void; has: (title: string) => boolean };
}

export function benchOver(edges: BenchEdges): Bench {
  return new StoredBench(edges);
}

/** As stored: the outcome with the marks of what it was made from. */
interface StoredOutcome {
  /** Of everything: methods, input, options, the other wheel. */
  key: string;
  /** Of the input alone, to find it out when it was altered outside. */
  inputSha256: string;
  version: string;
  madeAt: string;
  result: unknown;
  problems: Problem[];
  /** While there is no result: the newest there was, by the methods of `version`. */
  earlier: { result: unknown; madeAt: string } | null;
}

type Made = Pick<BenchItemRecord, 'kind' | 'input' | 'options'>;

/** Shapes of wheels kept in memory: some 200 kB each. */
const maximumShapes = 20;

class StoredBench implements Bench {
  private readonly items: BenchEdges['items'];
  private readonly maker: BenchMaker;
  private readonly now: Clock;
  private readonly demoItems: BenchEdges['demo'];
  private readonly knownShapes = new Map<string, WheelShapes>();

  constructor({ items, maker, now, demo }: BenchEdges) {
    this.items = items;
    this.maker = maker;
    this.now = now;
    this.demoItems = demo;
  }

  list({ removed = false } = {}): BenchSummary[] {
    const found = this.items.list({ removed });
    return found.map((item) => summaryOf(removed ? item : this.upToDate(item)));
  }

  create({ kind, title, date, setup, input, options, edits }: NewBench): string {
    const whole = {
      kind,
      title: title ?? firstTitles[kind],
      date: date ?? this.now().slice(0, 10),
      setup: setup ?? '',
      input: changedInput({ kind, input: firstSheet(kind) }, { input, edits }),
      options: this.checked(kind, {}, options, null),
    };
    return this.items.create({ ...whole, ...this.made(whole, null) });
  }

  ofSetups(setups: readonly NamedSetup[]): SetupBench[] {
    const items = this.items.list().filter(({ setup }) => setup.trim() !== '');
    return setups.map((setup) => ({
      setup: setup.id,
      items: items
        .filter((item) => belongsTo(item.setup, setup))
        .map((item) => summaryOf(this.upToDate(item))),
    }));
  }

  view(id: string): BenchView {
    return viewOf(this.upToDate(this.item(id)));
  }

  update(id: string, change: BenchChange, { ifChangedAt }: WriteOptions = {}): BenchView {
    const item = this.item(id);
    if (ifChangedAt !== undefined && ifChangedAt !== item.changedAt) {
      throw new LapbenchError({
        code: 'bench-item-changed',
        message: `The bench item was changed at ${item.changedAt}, after this copy was fetched.`,
        remedy: 'Fetch it again and repeat the change.',
      });
    }
    const next = {
      kind: item.kind,
      title: change.title ?? item.title,
      date: change.date ?? item.date,
      setup: change.setup ?? item.setup,
      input: changedInput(item, change),
      options: this.checked(item.kind, item.options, change.options, id),
    };
    const made = this.isMadeFrom(item, next) ? {} : this.made(next, item);
    this.items.update(id, { ...next, ...made });
    return this.view(id);
  }

  remove(id: string): void {
    this.items.remove(this.item(id).id);
  }

  restore(id: string): void {
    const item = this.items.get(id);
    if (!item) throw unknown(id);
    if (item.removedAt !== null) this.items.restore(id);
  }

  shapes(id: string): WheelShapes {
    const { kind, input } = this.item(id);
    if (kind !== 'wheel') {
      throw new LapbenchError({
        code: 'usage',
        message: `This bench item holds ${kind} readings, not a wheel sheet.`,
        remedy: 'Ask for the shapes of a wheel.',
      });
    }
    const key = sha256(input);
    const known = this.knownShapes.get(key);
    if (known) return known;
    const shapes = this.maker.shapes(input);
    this.knownShapes.set(key, shapes);
    if (this.knownShapes.size > maximumShapes)
      this.knownShapes.delete(this.knownShapes.keys().next().value!);
    return shapes;
  }

  demo(): void {
    // Removed ones count: who took the demo out does not want it back.
    if (this.all().some(({ title }) => this.demoItems.has(title))) return;
    this.demoItems.make((item) => this.create(item));
  }

  verify(): Problem[] {
    return this.all().flatMap(({ id, title, input, result }): Problem[] => {
      const stored = result as StoredOutcome | null;
      if (stored === null || stored.inputSha256 === sha256(input)) return [];
      return [
        {
          code: 'bench-item-altered',
          message: `The bench item ${id} (${title}) is not what was put in: its hash differs.`,
          remedy: 'Go on with a backup of the library, or enter the readings again.',
        },
      ];
    });
  }

  private all(): BenchItemRecord[] {
    return [...this.items.list(), ...this.items.list({ removed: true })];
  }

  private item(id: string): BenchItemRecord {
    const item = this.items.get(id);
    if (!item) throw unknown(id);
    if (item.removedAt === null) return item;
    throw new LapbenchError({
      code: 'bench-item-removed',
      message: `The bench item ${JSON.stringify(id.slice(0, 60))} is removed.`,
      remedy: 'Restore it first.',
    });
  }

  /**
   * The item with a result of today's methods and of the wheel as it stands. Making it anew is no
   * change of the item: its date stays.
   */
  private upToDate(item: BenchItemRecord): BenchItemRecord {
    if (this.isMadeFrom(item, item)) return item;
    const made = this.made(item, item);
    this.items.putResult(item.id, item.changedAt, made);
    return { ...item, ...made };
  }

  /** Whether the stored result of `item` is the one of `from`. */
  private isMadeFrom({ result }: BenchItemRecord, from: Made): boolean {
    return (result as StoredOutcome | null)?.key === this.keyOf(from);
  }

  private made(
    item: Made,
    before: BenchItemRecord | null,
  ): { result: StoredOutcome; method: string; headline: string } {
    const input = this.inputOf(item);
    const { result, problems, method, headline } = this.maker.make(input);
    const gone = otherWheelOf(item) !== null && input.wheel === null ? [wheelGone(item.kind)] : [];
    const { version } = this.maker;
    return {
      result: {
        key: this.keyOf(item),
        inputSha256: sha256(item.input),
        version,
        madeAt: this.now(),
        result,
        problems: [...problems, ...gone],
        earlier: result === null ? earlierOf(before, version) : null,
      },
      method,
      headline,
    };
  }

  private keyOf(item: Made): string {
    return sha256(JSON.stringify([this.maker.version, this.inputOf(item)]));
  }

  private inputOf({ kind, input, options }: Made): BenchInput {
    const whole = wholeOptions(kind, options);
    return { kind, input, options: whole, wheel: this.wheelOf({ kind, options: whole }) };
  }

  private wheelOf(item: Pick<Made, 'kind' | 'options'>): OtherWheel | null {
    const id = otherWheelOf(item);
    const other = id === null ? null : this.items.get(id);
    if (!other || other.kind !== 'wheel' || other.removedAt !== null) return null;
    return { title: other.title, sheet: other.input };
  }

  /** Options after a change; a wheel that is newly referred to has to be there. */
  private checked(
    kind: BenchKind,
    before: unknown,
    change: Record<string, unknown> = {},
    self: string | null,
  ): unknown {
    const options = checkedOptions(kind, before, change);
    const other = otherWheelOf({ kind, options });
    const as = otherWheelOf({ kind, options: wholeOptions(kind, before) });
    if (other === null || other === as) return options;
    if (other === self || this.wheelOf({ kind, options }) === null) {
      throw new LapbenchError(wheelNotThere(kind, other, other === self));
    }
    return options;
  }
}

/** The result that a broken input leaves standing; one of older methods may lack what is shown. */
function earlierOf(before: BenchItemRecord | null, version: string): StoredOutcome['earlier'] {
  const stored = before?.result as StoredOutcome | null | undefined;
  if (!stored || stored.version !== version) return null;
  const { result, madeAt, earlier } = stored;
  return result === null ? earlier : { result, madeAt };
}

function unknown(id: string): LapbenchError {
  return new LapbenchError({
    code: 'bench-item-unknown',
    message: `The library holds no bench item ${JSON.stringify(id.slice(0, 60))}.`,
    remedy: 'Look at the list of bench items.',
  });
}

function summaryOf(item: BenchItemRecord): BenchSummary {
  const { id, kind, title, date, setup, changedAt, headline } = item;
  return { id, kind, title, date, setup, changedAt, headline };
}

function viewOf(item: BenchItemRecord): BenchView {
  const { kind, input, result: stored } = item;
  const options = wholeOptions(kind, item.options);
  const { result, problems, earlier } = stored as StoredOutcome;
  const sheetData = kind === 'wheel' ? wheelSheetData(input) : null;
  return { ...summaryOf(item), input, options, result, problems, earlier, sheetData } as BenchView;
}
