/** The use cases around the bench (`Bench`), over the bench items of a library and a maker of results. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { BenchItemRecord, BenchItems } from '../library/index.ts';
import { wheelSheetData } from '../sheets/index.ts';
import type { Bench, NewBench } from './bench-contract.ts';
import type { BenchInput, BenchMaker, BenchOutcome } from './bench-making.ts';
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

export interface BenchEdges {
  items: Pick<
    BenchItems,
    'list' | 'get' | 'create' | 'update' | 'putResult' | 'remove' | 'restore'
  >;
  maker: BenchMaker;
  /** Names and versions of all methods: a result of another version is made afresh. */
  version: string;
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

/** How long a list waits for results that are made afresh; the rest is there at the next look. */
const patienceMs = 1500;

const notMadeYet = 'No result yet.';

/** Shapes of wheels kept in memory: some 200 kB each. */
const maximumShapes = 20;

class StoredBench implements Bench {
  private readonly items: BenchEdges['items'];
  private readonly maker: BenchMaker;
  private readonly version: string;
  private readonly underWay = new Map<string, Promise<BenchOutcome>>();
  private readonly now: Clock;
  private readonly demoItems: BenchEdges['demo'];
  private readonly knownShapes = new Map<string, WheelShapes>();

  constructor({ items, maker, version, now, demo }: BenchEdges) {
    this.items = items;
    this.maker = maker;
    this.version = version;
    this.now = now;
    this.demoItems = demo;
  }

  async list({ removed = false } = {}): Promise<BenchSummary[]> {
    if (!removed) await this.refresh(this.items.list());
    return this.items.list({ removed }).map(summaryOf);
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
    const result = markedWith(whole.input, null);
    return this.items.create({ ...whole, result, method: '', headline: notMadeYet });
  }

  async ofSetups(setups: readonly NamedSetup[]): Promise<SetupBench[]> {
    const ofAny = (): BenchItemRecord[] =>
      this.items.list().filter((item) => setups.some((setup) => belongsTo(item.setup, setup)));
    await this.refresh(ofAny());
    const items = ofAny();
    return setups.map((setup) => ({
      setup: setup.id,
      items: items.filter((item) => belongsTo(item.setup, setup)).map(summaryOf),
    }));
  }

  async view(id: string): Promise<BenchView> {
    return viewOf(await this.upToDate(this.item(id)));
  }

  async update(
    id: string,
    change: BenchChange,
    { ifChangedAt }: WriteOptions = {},
  ): Promise<BenchView> {
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
    // Stored before anything is made of it: a result may take seconds, and nothing typed may be lost.
    this.items.update(id, { ...next, result: markedWith(next.input, item) });
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

  async shapes(id: string): Promise<WheelShapes> {
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
    const shapes = await this.maker.shapes(input);
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
  private async upToDate(asked: BenchItemRecord): Promise<BenchItemRecord> {
    for (let item = asked; ; item = this.item(item.id)) {
      if (this.isMade(item)) return item;
      // Of the wheel as it stands now: it may be another one by the time this is made.
      const [key, input] = [this.keyOf(item), this.inputOf(item)];
      const made = this.stored(item, input, key, await this.outcomeOf(key, input));
      this.items.putResult(item.id, item.changedAt, made);
      // It may have been changed while this was made; then that result was for what stood before.
      if (this.item(item.id).changedAt === item.changedAt) return { ...item, ...made };
    }
  }

  /** Makes what is out of date, and waits for it a little. */
  private async refresh(items: readonly BenchItemRecord[]): Promise<void> {
    const stale = items.filter((item) => !this.isMade(item));
    if (stale.length === 0) return;
    // What fails here fails in words when the item itself is looked at.
    const made = Promise.allSettled(stale.map((item) => this.upToDate(item)));
    let timer: NodeJS.Timeout | undefined;
    const patience = new Promise((resolve) => (timer = setTimeout(resolve, patienceMs)));
    await Promise.race([made, patience]);
    clearTimeout(timer);
  }

  private isMade(item: BenchItemRecord): boolean {
    return (item.result as StoredOutcome | null)?.key === this.keyOf(item);
  }

  /** Two windows that ask for the same get the same. */
  private outcomeOf(key: string, input: BenchInput): Promise<BenchOutcome> {
    const known = this.underWay.get(key);
    if (known) return known;
    const made = this.maker.make(input).finally(() => this.underWay.delete(key));
    this.underWay.set(key, made);
    return made;
  }

  private stored(
    item: BenchItemRecord,
    input: BenchInput,
    key: string,
    { result, problems, method, headline }: BenchOutcome,
  ): { result: StoredOutcome; method: string; headline: string } {
    const gone = otherWheelOf(input) !== null && input.wheel === null ? [wheelGone(item.kind)] : [];
    return {
      result: {
        key,
        inputSha256: sha256(item.input),
        version: this.version,
        madeAt: this.now(),
        result,
        problems: [...problems, ...gone],
        earlier: result === null ? earlierOf(item, this.version) : null,
      },
      method,
      headline,
    };
  }

  private keyOf(item: Made): string {
    return sha256(JSON.stringify([this.version, this.inputOf(item)]));
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

/** The outcome that stood, with the mark of the input that now stands, until one is made of that. */
function markedWith(input: string, before: BenchItemRecord | null): StoredOutcome {
  const nothing = { version: '', madeAt: '', result: null, problems: [], earlier: null };
  const stood = before?.result as StoredOutcome | null | undefined;
  return { ...(stood ?? { key: '', ...nothing }), inputSha256: sha256(input) };
}

/** The result that a broken input leaves standing; one of older methods may lack what is shown. */
function earlierOf(item: BenchItemRecord, version: string): StoredOutcome['earlier'] {
  const stored = item.result as StoredOutcome | null;
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
